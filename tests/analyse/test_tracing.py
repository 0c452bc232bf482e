"""Reading flat artwork: true colours, true shapes, shared outlines, and the laws they obey."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

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
