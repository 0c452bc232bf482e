"""What a source can show is told by its content, whatever its pixels and its name."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from skimage import data

from analyse import read_artwork
from analyse.files import fonts
from analyse.scans import correct, judge_source
from analyse.scans.showing import ENOUGH_PER_MM, Source
from tests.analyse.files.attacks import svg
from tests.analyse.files.test_reading import encoded
from tests.analyse.scans.test_correcting import CORNERS, photographed

Picture = NDArray[np.uint8]
IMAGES = Path(__file__).parents[3] / "images"


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
    sent = read_artwork(encoded(badge(200).resize((800, 800), Image.Resampling.NEAREST), "png"))
    assert judge_source(sent).finest_px == 4.0
    source = judge_source(correct(sent))
    assert (source.finest_px, source.enlarged) == (1.0, True)
    assert "of its 800 pixels across about 200 are real" in source.notes[0]


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
    for thing in (data.astronaut(), data.coffee(), data.chelsea(), data.camera(), data.brick(), data.moon()):
        source = judged(encoded(Image.fromarray(thing).convert("RGB"), "jpeg", quality=90))
        assert source.kind == "photograph"
        assert "redrawing" in source.notes[0]


def test_a_photograph_of_a_print_is_no_photograph_of_a_thing() -> None:
    source = judged(photographed(CORNERS))
    assert source.kind == "flat"
    assert source.grain > 1


@pytest.mark.parametrize("name", ["saltmarsh-crest", "fenwick-cycles", "hartwell-varsity", "brockhurst-badger"])
@pytest.mark.parametrize("wide", [200, 300, 400])
def test_a_small_compressed_copy_of_detailed_art_is_no_photograph_of_a_thing(name: str, wide: int) -> None:
    """Hardly a pixel of it is even: ringing lies beside every edge, and edges are everywhere."""
    drawn = read_artwork(IMAGES / f"{name}.svg").rgba
    alpha = drawn[..., 3:] / 255.0
    on_white = (drawn[..., :3] * alpha + 255 * (1 - alpha)).astype(np.uint8)
    high = round(wide * drawn.shape[0] / drawn.shape[1])
    small = Image.fromarray(on_white).resize((wide, high), Image.Resampling.LANCZOS)
    for quality in (40, 60, 80):
        assert judged(encoded(small, "jpeg", quality=quality)).kind != "photograph"


@pytest.mark.parametrize("wide", [300, 600])
def test_a_small_copy_of_a_photograph_still_is_one(wide: int) -> None:
    for thing in (data.astronaut(), data.coffee(), data.chelsea(), data.rocket()):
        small = Image.fromarray(thing)
        small.thumbnail((wide, wide))
        assert judged(encoded(small, "jpeg", quality=60)).kind == "photograph"


def test_shading_is_told_from_flat_colour() -> None:
    across = np.linspace(40, 220, 600)[None, :, None] * np.array([1.0, 0.8, 0.5])
    shaded = np.broadcast_to(across, (500, 600, 3)).astype(np.uint8)
    assert judged(encoded(Image.fromarray(shaded), "png")).kind == "shaded"


def screen(wide: int, high: int) -> Image.Image:
    """A badge in a viewer's window, its name and the time of day in a bar above it."""
    picture = Image.new("RGB", (wide, high), "white")
    pen, bar = ImageDraw.Draw(picture), high // 18
    pen.rectangle([0, 0, wide, bar], fill=(60, 62, 66))
    pen.text((20, bar // 4), "crest.png   10:42", fill="white", font=ImageFont.truetype(str(fonts.BOLD), bar // 2))
    side = min(wide, high) * 6 // 10
    picture.paste(badge(side), ((wide - side) // 2, (high - side) // 2))
    return picture


def test_a_screenshot_is_told_by_its_size_and_a_bar_with_words() -> None:
    whole = screen(1920, 1080)
    assert judged(encoded(whole, "png")).screenshot
    assert not judged(encoded(whole.crop((0, 61, 1920, 1080)), "png")).screenshot
    assert not judged(encoded(whole.crop((0, 0, 1900, 1080)), "png")).screenshot
    bare = whole.copy()
    ImageDraw.Draw(bare).rectangle([0, 0, 1920, 60], fill=(60, 62, 66))
    assert not judged(encoded(bare, "png")).screenshot  # a stripe of the drawing's own


def test_a_screenshot_passed_on_smaller_is_told_by_its_shape() -> None:
    upright = screen(1170, 2532)
    upright.thumbnail((1600, 1600))
    source = judged(encoded(upright, "jpeg", quality=80))
    assert source.screenshot
    assert any("screenshot" in note for note in source.notes)


@pytest.mark.parametrize(("grey", "clear"), [(128, 50), (0, 60), (0, 90), (90, 90)])
@pytest.mark.parametrize("turn_deg", [0, 30])
def test_a_watermark_that_repeats_is_seen(grey: int, clear: int, turn_deg: int) -> None:
    layer = Image.new("RGBA", (1800, 1800), (0, 0, 0, 0))
    pen, font = ImageDraw.Draw(layer), ImageFont.truetype(str(fonts.BOLD), 40)
    for y in range(-20, 1800, 150):
        for x in range(-40, 1800, 230):
            pen.text((x, y), "SAMPLE", fill=(grey, grey, grey, clear), font=font)
    over = layer.rotate(turn_deg, Image.Resampling.BICUBIC).crop((450, 450, 1350, 1350))
    marked = Image.alpha_composite(badge(900).convert("RGBA"), over).convert("RGB")
    assert judged(encoded(marked, "png")).watermark
    assert judged(encoded(marked, "jpeg", quality=85)).watermark


@pytest.mark.parametrize("quality", [35, 60, 85])
def test_what_compression_leaves_beside_edges_is_no_watermark(quality: int) -> None:
    small = badge(300)
    assert not judged(encoded(small, "jpeg", quality=quality)).watermark
    pattern = Image.new("RGB", (600, 600), "white")
    for y in range(0, 600, 100):
        for x in range(0, 600, 100):
            pattern.paste(badge(80), (x + 10, y + 10))
    assert not judged(encoded(pattern, "jpeg", quality=quality)).watermark  # the drawing repeats, and is no watermark


@pytest.mark.parametrize("quality", [30, 50, 75, 92])
def test_a_jpeg_s_quality_is_read_from_its_tables(quality: int) -> None:
    source = judged(encoded(badge(400), "jpeg", quality=quality))
    assert source.compression == pytest.approx(quality, abs=2)
    assert any("quality" in note for note in source.notes) == (quality < 60)


def test_what_is_asked_of_the_customer_follows_from_real_detail_at_the_size() -> None:
    source = judged(encoded(badge(300).resize((1200, 1200), Image.Resampling.BICUBIC), "png"))
    mm_per_px = 76.2 / 1200
    assert source.detail_per_mm(mm_per_px) == pytest.approx(300 / 76.2, rel=0.35)
    assert "original" in source.asks(100 / 1200)
    assert judged(encoded(badge(900), "png")).asks(76.2 / 900) == ""
    assert source.asks(1 / (0.97 * ENOUGH_PER_MM * source.finest_px)) == ""  # nobody draws again for a thirtieth


def scan(dpi: int | None) -> bytes:
    rng = np.random.default_rng(2)
    page = np.full((700, 500, 3), 244.0)
    cv2.circle(page, (250, 300), 120, (30, 60, 130), -1, cv2.LINE_AA)
    noisy = np.clip(page + rng.normal(0, 2.5, page.shape), 0, 255).astype(np.uint8)
    return encoded(Image.fromarray(noisy), "jpeg", quality=90, **({"dpi": (dpi, dpi)} if dpi else {}))


def test_what_is_drawn_has_no_pixels_to_run_short_of() -> None:
    source = judge_source(read_artwork(svg(b'<rect width="90" height="50" fill="#123"/>')))
    assert source.asks(900 / 2000) == ""


@pytest.mark.parametrize(("dpi", "believed"), [(300, True), (150, True), (96, False), (72, False), (None, False)])
def test_a_scan_of_paper_states_its_true_size_from_150_dpi(dpi: int | None, believed: bool) -> None:
    artwork = correct(read_artwork(scan(dpi)))
    assert artwork.px_per_mm == (pytest.approx((dpi or 0) / 25.4) if believed else None)


def test_a_clean_picture_s_resolution_is_not_believed() -> None:
    assert correct(read_artwork(encoded(badge(300), "png", dpi=(300, 300)))).px_per_mm is None
