"""What edges do to colours, in files of every kind, makes no colour and no shape."""

from __future__ import annotations

from io import BytesIO

import cv2
import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from analyse import read_artwork
from analyse.colours.difference import ciede2000
from analyse.colours.lab import lab_to_srgb, srgb_to_lab
from analyse.tracing import trace
from analyse.values import Drawing
from tests.analyse.made_art import BLACK, BLUE, FINE, GOLD, RED, WHITE, artwork, as_jpeg, at, badge, fine, seen

Picture = NDArray[np.uint8]


def names(drawing: Drawing) -> list[tuple[int, int, int]]:
    return sorted(colour.rgb for colour in drawing.palette)


def passed_around(picture: Picture) -> Picture:
    """Halved, JPEG 60, doubled, JPEG 80."""
    whole = Image.fromarray(picture)
    half = whole.resize((whole.width // 2, whole.height // 2), Image.Resampling.BICUBIC)
    twice = Image.fromarray(as_jpeg(np.asarray(half), 60)).resize(whole.size, Image.Resampling.BICUBIC)
    return as_jpeg(np.asarray(twice), 80)


def sharpened(picture: Picture) -> Picture:
    soft = Image.fromarray(picture).filter(ImageFilter.GaussianBlur(0.8))
    return np.asarray(soft.filter(ImageFilter.UnsharpMask(2, 200, 0)))


def as_gif(picture: Picture, colours: int) -> bytes:
    """An indexed file of a palette of its own, dithered (Floyd and Steinberg 1976)."""
    clean = Image.fromarray(picture)
    palette = clean.quantize(colours)
    kept = BytesIO()
    clean.quantize(palette=palette, dither=Image.Dither.FLOYDSTEINBERG).save(kept, "GIF")
    return kept.getvalue()


def outlined() -> Picture:
    """Yellow shapes in black outlines, thin stripes of yellow between them, an orange bar: drawn fine."""
    drawn = fine(240, 320)
    cv2.rectangle(drawn, at((30, 30))[0].tolist(), at((290, 210))[0].tolist(), (252, 234, 43), -1)
    cv2.rectangle(drawn, at((60, 130))[0].tolist(), at((260, 190))[0].tolist(), (241, 179, 28), -1)
    for x in range(60, 270, 20):
        cv2.line(drawn, at((x, 50))[0].tolist(), at((x + 10, 120))[0].tolist(), BLACK, 12 * FINE)
    cv2.rectangle(drawn, at((30, 30))[0].tolist(), at((290, 210))[0].tolist(), BLACK, 8 * FINE)
    return drawn


@pytest.mark.parametrize("state", [passed_around, sharpened])
@pytest.mark.parametrize("art", [badge, outlined])
def test_neither_bleeding_nor_overshoot_makes_a_colour(art: object, state: object) -> None:
    drawn = art() if callable(art) else fine(9, 9)
    picture = cv2.resize(seen(drawn), None, fx=2.5, fy=2.5, interpolation=cv2.INTER_CUBIC)
    clean = trace(artwork(picture))
    other = trace(artwork(state(picture) if callable(state) else picture))
    assert len(other.palette) == len(clean.palette)
    for colour in other.palette:
        assert min(ciede2000(colour.lab, known.lab) for known in clean.palette) < 5
    assert len(other.regions) <= len(clean.regions) + 2


def test_what_shines_through_two_edges_is_no_colour() -> None:
    # One shape drawn exactly over another, both smoothed: the lower one shows along the edge with up to a quarter.
    over = fine(160, 200)[::FINE, ::FINE].astype(np.float64)
    cover = np.zeros(over.shape[:2])
    cover[40:120, 40:160] = 1
    cover[40, 40:160] = cover[119, 40:160] = cover[40:120, 40] = cover[40:120, 159] = 0.27
    for colour in (GOLD, BLUE):
        over = over + cover[..., None] * (np.array(colour) - over)
    over[50:110, 170:190] = GOLD
    drawing = trace(artwork(np.rint(over).astype(np.uint8)))
    assert names(drawing) == sorted([BLUE, GOLD])
    assert len(drawing.regions) == 2


def test_a_dithered_area_is_the_colour_it_stands_for() -> None:
    picture = seen(fine(200, 200))
    y, x = np.mgrid[:200, :200]
    inside = np.hypot(y - 100, x - 100) < 60
    picture[inside] = np.where((x + y) % 3 == 0, 59, 64)[inside][:, None]
    drawing = trace(artwork(picture))
    assert len(drawing.palette) == 1
    assert ciede2000(drawing.palette[0].lab, srgb_to_lab((62, 62, 62))) < 2
    assert len(drawing.regions) == 1


@pytest.mark.parametrize("colours", [64, 128])
def test_an_indexed_file_reads_as_its_colours_do(colours: int) -> None:
    picture = cv2.resize(seen(badge()), None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC)
    one, other = trace(artwork(picture)), trace(read_artwork(as_gif(picture, colours)))
    assert len(other.palette) == len(one.palette)
    assert len(other.regions) == len(one.regions)


def test_permuted_palette_indices_change_nothing() -> None:
    picture = Image.fromarray(seen(badge())).quantize(32, dither=Image.Dither.NONE)
    turned = picture.remap_palette(list(range(32))[::-1])
    drawings = []
    for indexed in (picture, turned):
        kept = BytesIO()
        indexed.save(kept, "PNG")
        drawings.append(trace(read_artwork(kept.getvalue())))
    one, other = drawings
    assert (np.asarray(picture) != np.asarray(turned)).any()
    assert names(one) == names(other)
    assert (one.labels == other.labels).all()
    assert [region.outline.wkb for region in one.regions] == [region.outline.wkb for region in other.regions]


@pytest.mark.parametrize("state", [lambda picture: picture, passed_around, sharpened])
def test_outlines_tile_whatever_the_file_went_through(state: object) -> None:
    picture = cv2.resize(seen(outlined()), None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC)
    drawing = trace(artwork(state(picture) if callable(state) else picture))
    outlines = [region.outline for region in drawing.regions]
    assert all(outline.geom_type == "Polygon" for outline in outlines)
    assert shapely.is_valid(outlines).all()
    assert shapely.coverage_is_valid(outlines)
    union = shapely.union_all(outlines).area
    assert abs(sum(outline.area for outline in outlines) - union) <= 1e-9 * union


def test_a_white_disc_on_a_wide_body_is_sewn() -> None:
    drawn = fine(240, 240)
    cv2.rectangle(drawn, at((20, 20))[0].tolist(), at((220, 220))[0].tolist(), RED, -1)
    cv2.circle(drawn, at((120, 120))[0].tolist(), 20 * FINE, WHITE, -1)
    drawing = trace(artwork(seen(drawn)))
    assert drawing.palette[drawing.labels[120, 120]].rgb == WHITE
    assert drawing.labels[5, 5] == -1


@pytest.mark.parametrize("apart", [(2.0, 3.0, -3.0), (-3.0, 1.5, 1.5), (3.4, 0.0, 0.0)])
@pytest.mark.parametrize("base", [RED, BLUE, (63, 63, 63), (210, 180, 140)])
def test_colours_three_apart_stay_two(base: tuple[int, int, int], apart: tuple[float, float, float]) -> None:
    lab = srgb_to_lab(base)
    second = lab_to_srgb(lab + np.array(apart) * 3.0 / float(ciede2000(lab, lab + np.array(apart))))
    drawn = fine(140, 220)
    cv2.rectangle(drawn, at((20, 20))[0].tolist(), at((110, 120))[0].tolist(), base, -1)
    cv2.rectangle(drawn, at((110, 20))[0].tolist(), at((200, 120))[0].tolist(), second.tolist(), -1)
    assert len(trace(artwork(seen(drawn))).palette) == 2
