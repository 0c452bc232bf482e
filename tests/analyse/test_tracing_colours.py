"""Which colours a picture is read in: each that was drawn, none that an edge, a JPEG or a gradient made."""

from __future__ import annotations

from io import BytesIO

import cv2
import numpy as np
import pytest
import resvg_py
from PIL import Image

from analyse.colours.difference import ciede2000
from analyse.colours.lab import lab_to_srgb, srgb_to_lab
from analyse.tracing import trace
from analyse.values import Drawing
from tests.analyse.made_art import (
    BLACK,
    BLUE,
    FINE,
    GOLD,
    RED,
    WHITE,
    artwork,
    as_jpeg,
    at,
    badge,
    fine,
    seen,
)

ROSE = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 300"><g stroke="#5a0d1c" stroke-width="3">
<path d="M150 60C200 50 230 90 210 130 240 150 220 200 180 195 165 220 135 220 120 195 80 200 60 150 90 130 70 90 100 50
150 60Z" fill="#c2213d"/><path d="M150 95C180 90 190 120 170 135 190 150 170 175 150 165 130 175 110 150 130 135 110 120
120 90 150 95Z" fill="#e0566c"/></g><path d="M150 210Q155 250 140 290" stroke="#2f6b2f" stroke-width="7" fill="none"/>
<path d="M150 245Q190 225 205 250 180 270 150 245ZM146 262Q110 245 95 268 118 285 146 262Z" fill="#3f8f3f"
stroke="#205020" stroke-width="2"/></svg>"""


def names(drawing: Drawing) -> list[tuple[int, int, int]]:
    return sorted(colour.rgb for colour in drawing.palette)


@pytest.mark.parametrize("quality", [None, 90, 75])
def test_colours_are_found_and_edges_make_none(quality: int | None) -> None:
    picture = seen(badge())
    drawing = trace(artwork(picture if quality is None else as_jpeg(picture, quality)))
    assert drawing.background is not None
    assert drawing.background.name == "white"
    found = srgb_to_lab(names(drawing))
    true = srgb_to_lab(sorted([RED, BLUE, GOLD, BLACK]))
    assert len(found) == len(true)
    assert ciede2000(found, true).max() < (0.01 if quality is None else 3)


def test_two_reds_that_differ_by_three_stay_two() -> None:
    red = srgb_to_lab(RED)
    second = lab_to_srgb(red + np.array([2.0, 3.0, -3.0]))
    assert 2.3 < ciede2000(red, srgb_to_lab(second)) < 3.3  # CIEDE2000: Sharma, Wu, Dalal 2005
    drawn = fine(120, 200)
    cv2.rectangle(drawn, (160, 160), (800, 800), RED, -1)
    cv2.rectangle(drawn, (800, 160), (1440, 800), second.tolist(), -1)
    assert len(trace(artwork(seen(drawn))).palette) == 2


@pytest.mark.parametrize("quality", [50, 75, 90])
def test_compression_never_makes_two_of_one_red(quality: int) -> None:
    drawn = fine(200, 200)
    cv2.circle(drawn, (800, 800), 560, RED, -1)
    cv2.circle(drawn, (800, 800), 240, WHITE, -1)
    assert len(trace(artwork(as_jpeg(seen(drawn), quality))).palette) == 1


def test_twenty_colours_are_twenty() -> None:
    drawn = fine(200, 200)
    colours = [(60 * a + 10, 70 * b + 5, 200 - 40 * c) for a in range(4) for b in range(3) for c in range(2)][:20]
    for number, colour in enumerate(colours):
        y, x = divmod(number, 5)
        cv2.circle(drawn, at((25 + 37 * x, 25 + 37 * y))[0].tolist(), 14 * FINE, colour, -1)
    assert len(trace(artwork(seen(drawn))).palette) == 20


@pytest.mark.parametrize("width_px", [0.6, 1.0, 1.6, 3.0])
def test_a_hairline_keeps_its_colour_and_its_width(width_px: float) -> None:
    drawn = fine(120, 240)
    cv2.rectangle(drawn, at((20, 20))[0].tolist(), at((60, 100))[0].tolist(), BLUE, -1)
    ends = np.array([[80.0, 40.0], [220.0, 71.0]])
    way = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    across = np.array([-way[1], way[0]]) * width_px / 2
    corners = [ends[0] + across, ends[1] + across, ends[1] - across, ends[0] - across]
    cv2.fillPoly(drawn, [np.rint(np.array(corners) * FINE * 16).astype(np.int32)], BLUE, shift=4)
    drawing = trace(artwork(seen(drawn)))
    assert names(drawing) == [BLUE]
    thin = sum(region.outline.area for region in drawing.regions if region.outline.bounds[0] > 70)
    length = float(np.hypot(*(ends[1] - ends[0])))
    assert thin / length == pytest.approx(width_px, abs=0.3)


def test_a_hairline_of_a_colour_of_its_own_is_found() -> None:
    drawn = fine(160, 240)
    cv2.rectangle(drawn, at((20, 20))[0].tolist(), at((220, 140))[0].tolist(), BLUE, -1)
    cv2.line(drawn, at((40, 40))[0].tolist(), at((200, 117))[0].tolist(), GOLD, int(1.6 * FINE))
    found = trace(artwork(seen(drawn)))
    assert len(found.palette) == 2
    assert min(ciede2000(srgb_to_lab(GOLD), np.array([colour.lab for colour in found.palette]))) < 3


def test_at_most_so_many_colours_and_it_says_what_was_merged() -> None:
    drawing = trace(artwork(seen(badge())), max_colours=3)
    assert len(drawing.palette) == 3
    assert len(drawing.notes) == 1
    assert "merged into" in drawing.notes[0]


def test_a_gradient_is_named_and_cut_into_few_steps() -> None:
    picture = seen(fine(200, 260))
    ramp = np.linspace(0, 1, 200)[None, :, None]
    picture[40:160, 30:230] = np.rint((1 - ramp) * np.array(BLUE) + ramp * np.array((160, 220, 250)))
    drawing = trace(artwork(picture))
    assert len(drawing.shadings) == 1
    assert drawing.shadings[0].text.startswith("linear gradient")
    assert 2 <= len(drawing.palette) <= 5
    assert drawing.shadings[0].regions == tuple(range(len(drawing.regions)))
    ends = ciede2000(srgb_to_lab(BLUE), srgb_to_lab((160, 220, 250)))
    assert drawing.shadings[0].span == pytest.approx(ends, rel=0.15)


def test_flat_art_has_no_shadings() -> None:
    assert trace(artwork(seen(badge()))).shadings == ()


# ---- what lies behind


def test_a_stem_on_wide_plain_paper_keeps_its_green_in_a_jpeg() -> None:
    """The paper is so plain that nothing drawn would pass for flat if it was asked as well; and no edge is so wide."""
    png = Image.open(BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=ROSE, width=500)))).convert("RGBA")
    paper = Image.new("RGB", png.size, "white")
    paper.paste(png, (0, 0), png)
    palette = trace(artwork(as_jpeg(np.asarray(paper), 80))).palette
    for green in ((63, 143, 63), (47, 107, 47)):
        lab = srgb_to_lab(np.array(green, float))
        assert min(float(ciede2000(lab, np.array(colour.lab))) for colour in palette) < 2.0
