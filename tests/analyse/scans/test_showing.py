"""What a source can show is told by its content, whatever its pixels and its name."""

from __future__ import annotations

import base64
import io

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from skimage import data

from analyse import read_artwork
from analyse.files import fonts
from analyse.scans import correct, judge_source
from analyse.scans.showing import Source
from tests.analyse.files.attacks import svg
from tests.analyse.files.test_reading import encoded
from tests.analyse.scans.test_correcting import CORNERS, photographed

Picture = NDArray[np.uint8]


def badge(side: int) -> Image.Image:
    """A flat badge with lettering, drawn at four times its size and shrunk."""
    large = Image.new("RGB", (4 * side, 4 * side), "white")
    pen = ImageDraw.Draw(large)
    unit = 4 * side / 100
    pen.ellipse([8 * unit, 8 * unit, 92 * unit, 92 * unit], fill=(20, 50, 110))
    pen.ellipse([14 * unit, 14 * unit, 86 * unit, 86 * unit], fill=(240, 235, 220))
    pen.rectangle([25 * unit, 60 * unit, 75 * unit, 70 * unit], fill=(190, 40, 40))
    for row, words in enumerate(("SALTMARSH", "Rowing Club")):
        font = ImageFont.truetype(str(fonts.BOLD), round(8 * unit))
        pen.text((28 * unit, (30 + 12 * row) * unit), words, fill=(20, 20, 30), font=font)
    return large.resize((side, side), Image.Resampling.BOX)


def judged(data: bytes) -> Source:
    return judge_source(correct(read_artwork(data)))


@pytest.mark.parametrize("kind", ["png", "jpeg"])
def test_a_flat_badge_is_flat_and_as_sharp_as_its_pixels(kind: str) -> None:
    source = judged(encoded(badge(800), kind))
    assert (source.kind, source.enlarged, source.screenshot, source.watermark) == ("flat", False, False, False)
    assert source.finest_px == pytest.approx(1.0, abs=0.3)
    assert source.notes == ()


@pytest.mark.parametrize("factor", [2, 3, 4, 6])
@pytest.mark.parametrize("way", [Image.Resampling.BICUBIC, Image.Resampling.BILINEAR, Image.Resampling.LANCZOS])
def test_an_enlarged_thumbnail_is_found_out_by_its_spectrum(factor: int, way: Image.Resampling) -> None:
    small = badge(900 // factor).resize((900, 900), way)
    source = judged(encoded(small, "png"))
    assert source.enlarged
    assert factor / 1.35 < source.finest_px < factor * 1.4
    assert any("enlarged" in note for note in source.notes)


def test_a_thumbnail_enlarged_without_smoothing_is_found_exactly() -> None:
    source = judged(encoded(badge(200).resize((800, 800), Image.Resampling.NEAREST), "png"))
    assert source.finest_px == 4.0


def test_a_thumbnail_within_a_document_is_found_out() -> None:
    from reportlab.lib.utils import ImageReader
    from reportlab.pdfgen.canvas import Canvas

    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(500, 500), invariant=1)
    canvas.drawImage(ImageReader(badge(120)), 0, 0, 500, 500)
    canvas.save()
    inside = '<image width="100" height="100" xlink:href="data:image/png;base64,{}"/>'
    named = base64.b64encode(encoded(badge(120), "png")).decode()
    for data_sent in (stream.getvalue(), svg(inside.format(named).encode())):
        artwork = read_artwork(data_sent)
        assert artwork.pictures_within
        source = judge_source(artwork)
        assert source.enlarged
        assert 2000 / 120 / 2 < source.finest_px < 2000 / 120 * 1.5


def test_a_photograph_of_a_thing_says_it_needs_redrawing() -> None:
    for thing in (data.astronaut(), data.coffee(), data.chelsea()):
        source = judged(encoded(Image.fromarray(thing), "jpeg", quality=90))
        assert source.kind == "photograph"
        assert "redrawing" in source.notes[0]


def test_a_photograph_of_a_print_is_no_photograph_of_a_thing() -> None:
    source = judged(photographed(CORNERS))
    assert source.kind == "flat"
    assert source.grain > 1


def test_shading_is_told_from_flat_colour() -> None:
    across = np.linspace(40, 220, 600)[None, :, None] * np.array([1.0, 0.8, 0.5])
    shaded = np.broadcast_to(across, (500, 600, 3)).astype(np.uint8)
    assert judged(encoded(Image.fromarray(shaded), "png")).kind == "shaded"


def test_a_screenshot_is_told_by_its_size_and_bars() -> None:
    screen = np.full((1080, 1920, 3), 255, np.uint8)
    screen[:60] = 40
    screen[300:900, 500:1100] = np.asarray(badge(600))
    assert judged(encoded(Image.fromarray(screen), "png")).screenshot
    without_bars = screen.copy()
    without_bars[:60] = 255
    assert not judged(encoded(Image.fromarray(without_bars), "png")).screenshot
    assert not judged(encoded(Image.fromarray(screen[:, :1900]), "png")).screenshot


def test_a_watermark_that_repeats_is_seen() -> None:
    marked = badge(900).convert("RGBA")
    layer = Image.new("RGBA", (900, 900), (0, 0, 0, 0))
    pen, font = ImageDraw.Draw(layer), ImageFont.truetype(str(fonts.BOLD), 40)
    for y in range(-20, 900, 150):
        for x in range(-40, 900, 230):
            pen.text((x, y), "SAMPLE", fill=(128, 128, 128, 50), font=font)
    marked = Image.alpha_composite(marked, layer).convert("RGB")
    assert judged(encoded(marked, "png")).watermark
    assert judged(encoded(marked, "jpeg", quality=85)).watermark


@pytest.mark.parametrize("quality", [30, 50, 75, 92])
def test_a_jpeg_s_quality_is_read_from_its_tables(quality: int) -> None:
    source = judged(encoded(badge(400), "jpeg", quality=quality))
    assert source.compression == pytest.approx(quality, abs=2)
    assert any("quality" in note for note in source.notes) == (quality < 60)


def test_what_is_asked_of_the_customer_follows_from_real_detail_at_the_size() -> None:
    source = judged(encoded(badge(300).resize((1200, 1200), Image.Resampling.BICUBIC), "png"))
    mm_per_px = 76.2 / 1200
    assert source.detail_per_mm(mm_per_px) == pytest.approx(300 / 76.2, rel=0.35)
    assert "original" in source.asks(mm_per_px)
    assert judged(encoded(badge(900), "png")).asks(76.2 / 900) == ""


def scan(dpi: int | None) -> bytes:
    rng = np.random.default_rng(2)
    page = np.full((700, 500, 3), 244.0)
    cv2.circle(page, (250, 300), 120, (30, 60, 130), -1, cv2.LINE_AA)
    noisy = np.clip(page + rng.normal(0, 2.5, page.shape), 0, 255).astype(np.uint8)
    return encoded(Image.fromarray(noisy), "jpeg", quality=90, **({"dpi": (dpi, dpi)} if dpi else {}))


@pytest.mark.parametrize(("dpi", "believed"), [(300, True), (150, True), (96, False), (72, False), (None, False)])
def test_a_scan_of_paper_states_its_true_size_from_150_dpi(dpi: int | None, believed: bool) -> None:
    artwork = correct(read_artwork(scan(dpi)))
    assert artwork.px_per_mm == (pytest.approx((dpi or 0) / 25.4) if believed else None)


def test_a_clean_picture_s_resolution_is_not_believed() -> None:
    assert correct(read_artwork(encoded(badge(300), "png", dpi=(300, 300)))).px_per_mm is None
