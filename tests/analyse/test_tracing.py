"""Reading flat artwork: true colours, true shapes, shared outlines, and the laws they obey."""

from __future__ import annotations

from io import BytesIO

import cv2
import numpy as np
import pytest
import resvg_py
import shapely
from numpy.typing import NDArray
from PIL import Image

from analyse.colours.difference import ciede2000
from analyse.colours.lab import lab_to_srgb, srgb_to_lab
from analyse.errors import NothingToSewError
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
    majority,
    seen,
)
from tests.analyse.tracing_laws import enlarged

ROSE = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 300"><g stroke="#5a0d1c" stroke-width="3">
<path d="M150 60C200 50 230 90 210 130 240 150 220 200 180 195 165 220 135 220 120 195 80 200 60 150 90 130 70 90 100 50
150 60Z" fill="#c2213d"/><path d="M150 95C180 90 190 120 170 135 190 150 170 175 150 165 130 175 110 150 130 135 110 120
120 90 150 95Z" fill="#e0566c"/></g><path d="M150 210Q155 250 140 290" stroke="#2f6b2f" stroke-width="7" fill="none"/>
<path d="M150 245Q190 225 205 250 180 270 150 245ZM146 262Q110 245 95 268 118 285 146 262Z" fill="#3f8f3f"
stroke="#205020" stroke-width="2"/></svg>"""


def shown(drawing: Drawing) -> NDArray[np.int64]:
    """The drawing's colour at every pixel, as 0xRRGGBB."""
    around = drawing.background.rgb if drawing.background else WHITE
    rows = np.array([*(colour.rgb for colour in drawing.palette), around])
    return (rows @ np.array([65536, 256, 1]))[drawing.labels]


def outline_apart(one: Drawing, other: Drawing) -> float:
    """RMS distance of one drawing's outlines, every half pixel along them, to the other's."""
    lines = shapely.segmentize(shapely.boundary([region.outline for region in one.regions]), 0.5)
    edges = shapely.union_all(shapely.boundary([region.outline for region in other.regions]))
    shapely.prepare(edges)
    apart = shapely.distance(shapely.points(shapely.get_coordinates(lines)), edges)
    return float(np.sqrt((apart**2).mean()))


def names(drawing: Drawing) -> list[tuple[int, int, int]]:
    return sorted(colour.rgb for colour in drawing.palette)


# ---- colours


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


def test_a_blank_picture_holds_nothing_to_sew() -> None:
    with pytest.raises(NothingToSewError):
        trace(artwork(seen(fine(40, 60))))


def test_a_transparent_picture_holds_nothing_to_sew() -> None:
    with pytest.raises(NothingToSewError, match="transparent throughout"):
        trace(artwork(seen(fine(40, 60)), np.zeros((40, 60), np.uint8)))


def test_a_ring_shows_the_ground_through_its_hole() -> None:
    drawn = fine(160, 160)
    cv2.circle(drawn, (640, 640), 400, RED, 12 * FINE)
    drawing = trace(artwork(seen(drawn)))
    assert drawing.labels[80, 80] == -1
    assert names(drawing) == [RED]


def test_an_eye_in_a_face_is_sewn_though_the_paper_is_white() -> None:
    drawn = fine(240, 240)
    cv2.circle(drawn, (960, 960), 800, GOLD, -1)
    cv2.circle(drawn, (720, 800), 120, WHITE, -1)
    cv2.circle(drawn, (720, 800), 50, BLACK, -1)
    drawing = trace(artwork(seen(drawn)))
    assert drawing.palette[drawing.labels[100, 80]].rgb == WHITE
    assert drawing.labels[5, 5] == -1


def test_opaque_white_is_sewn_where_transparency_is_the_ground() -> None:
    drawn = fine(120, 120)
    cv2.circle(drawn, (480, 480), 320, RED, -1)
    cv2.circle(drawn, (480, 480), 160, WHITE, -1)
    alpha = np.zeros((960, 960), np.uint8)
    cv2.circle(alpha, (480, 480), 320, 255, -1)
    drawing = trace(artwork(seen(drawn), cv2.resize(alpha, (120, 120), interpolation=cv2.INTER_AREA)))
    assert names(drawing) == sorted([RED, WHITE])
    assert drawing.background is None
    disc = max((region.outline for region in drawing.regions), key=lambda outline: outline.bounds[2])
    assert shapely.Polygon(disc.exterior).area == pytest.approx(np.pi * 40**2, rel=0.01)


# ---- outlines


def test_shapes_keep_their_area_and_neighbours_share_their_edge() -> None:
    drawing = trace(artwork(seen(badge())))
    outlines = [region.outline for region in drawing.regions]
    assert shapely.coverage_is_valid(outlines)
    assert sum(outline.area for outline in outlines) == pytest.approx(shapely.union_all(outlines).area, abs=1e-9)
    for region in drawing.regions:
        for other, length in region.touches:
            assert (region.id, pytest.approx(length)) in drawing.regions[other].touches


def test_a_circle_is_round_and_a_line_is_straight() -> None:
    drawn = fine(200, 200)
    cv2.circle(drawn, (800, 800), 560, RED, -1)
    outline = trace(artwork(seen(drawn))).regions[0].outline
    points = shapely.get_coordinates(shapely.segmentize(outline, 0.5))
    radii = np.hypot(points[:, 0] - 100, points[:, 1] - 100)
    assert np.abs(radii - 70.06).max() < 0.25  # cv2 draws half a sample beyond the radius
    assert len(outline.exterior.coords) < 120


@pytest.mark.parametrize("turn_deg", [0, 7, 30, 45])
def test_corners_stay_sharp_and_sides_straight(turn_deg: float) -> None:
    turn = np.radians(turn_deg)
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    corners = np.array([[-50.0, -35.0], [50, -35], [50, 35], [-50, 35]]) @ spin.T + [80.3, 80.6]
    drawn = fine(160, 160)
    cv2.fillPoly(drawn, [np.rint(corners * FINE * 16 - 8).astype(np.int32)], BLUE, shift=4)
    outline = trace(artwork(seen(drawn))).regions[0].outline
    true = shapely.Polygon(corners)
    points = shapely.get_coordinates(shapely.segmentize(outline.exterior, 0.5))
    assert shapely.distance(shapely.points(points), true.exterior).max() < 0.3
    assert shapely.distance(shapely.points(corners), outline.exterior).max() < 0.3
    assert len(outline.exterior.coords) <= 13


def test_labels_are_what_most_of_the_pixel_shows() -> None:
    drawn = badge()
    right = shown(trace(artwork(seen(drawn)))) == majority(drawn)
    assert right.mean() > 0.998


# ---- laws


@pytest.mark.parametrize("compressed", [False, True])
@pytest.mark.parametrize("change", ["turned", "mirrored"])
def test_turning_or_mirroring_the_picture_does_it_to_the_drawing(change: str, *, compressed: bool) -> None:
    picture = as_jpeg(seen(badge()), 90) if compressed else seen(badge())
    wide = picture.shape[1]
    changed = np.rot90(picture) if change == "turned" else picture[:, ::-1]
    one, other = trace(artwork(picture)), trace(artwork(np.ascontiguousarray(changed)))
    back = np.rot90(shown(other), -1) if change == "turned" else shown(other)[:, ::-1]
    assert (back == shown(one)).mean() >= 0.999
    matrix = [0, -1, 1, 0, wide, 0] if change == "turned" else [-1, 0, 0, 1, wide, 0]
    regions = [shapely.affinity.affine_transform(region.outline, matrix) for region in other.regions]
    edges = shapely.union_all(shapely.boundary(regions))
    lines = shapely.segmentize(shapely.boundary([region.outline for region in one.regions]), 0.5)
    apart = shapely.distance(shapely.points(shapely.get_coordinates(lines)), edges)
    assert np.sqrt((apart**2).mean()) < 0.1


@pytest.mark.parametrize("side", [2, 3])
def test_enlarging_the_picture_enlarges_the_drawing(side: int) -> None:
    picture = seen(badge())
    one = trace(artwork(picture))
    found = enlarged(picture, one, side)
    assert found.holds
    assert (found.labels, found.outlines_px) == (1.0, pytest.approx(0, abs=1e-9))


def test_a_transparent_margin_changes_nothing() -> None:
    picture = seen(badge())
    wide = np.pad(picture, ((30, 20), (40, 10), (0, 0)))
    alpha = np.pad(np.full(picture.shape[:2], 255, np.uint8), ((30, 20), (40, 10)))
    one, other = trace(artwork(picture)), trace(artwork(wide, alpha))
    assert names(one) == names(other)
    assert (shown(other)[30:-20, 40:-10] == shown(one)).mean() >= 0.999


def test_a_far_away_spot_changes_nothing_elsewhere() -> None:
    drawn = np.concatenate([badge(), fine(200, 60)], axis=1)
    spotted = drawn.copy()
    cv2.circle(spotted, at((280, 100))[0].tolist(), 10 * FINE, BLUE, -1)
    one, other = trace(artwork(seen(drawn))), trace(artwork(seen(spotted)))
    assert len(other.regions) == len(one.regions) + 1
    assert (shown(other)[:, :250] == shown(one)[:, :250]).all()
    assert outline_apart(one, other) < 1e-9


def test_the_same_picture_gives_the_same_drawing() -> None:
    one, other = trace(artwork(seen(badge()))), trace(artwork(seen(badge())))
    assert (one.labels == other.labels).all()
    assert [region.outline.wkb for region in one.regions] == [region.outline.wkb for region in other.regions]


def test_a_stem_on_wide_plain_paper_keeps_its_green_in_a_jpeg() -> None:
    """The paper is so plain that nothing drawn would pass for flat if it was asked as well; and no edge is so wide."""
    png = Image.open(BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=ROSE, width=500)))).convert("RGBA")
    paper = Image.new("RGB", png.size, "white")
    paper.paste(png, (0, 0), png)
    palette = trace(artwork(as_jpeg(np.asarray(paper), 80))).palette
    for green in ((63, 143, 63), (47, 107, 47)):
        lab = srgb_to_lab(np.array(green, float))
        assert min(float(ciede2000(lab, np.array(colour.lab))) for colour in palette) < 2.0
