"""Regions are cut as by hand: pieces tile them, columns' stitch lines cover them and do not cross."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box
from shapely.ops import unary_union

from analyse.widths.axes import axes_apart
from analyse.widths.cuts import uncut
from analyse.widths.measuring import measure
from analyse.widths.sides import runs_of
from analyse.widths.strokes import Stroke, stroke_of
from analyse.widths.tracks import track_of
from tests.drawings import drawing_of

T = box(0, 0, 240, 30).union(box(105, 30, 135, 160))
L = LineString([(0, 0), (120, 0), (120, 200)]).buffer(12, join_style="mitre", cap_style="flat")
X = LineString([(0, 0), (200, 160)]).buffer(14).union(LineString([(0, 160), (200, 0)]).buffer(14))
Y = LineString([(100, 90), (100, 200)]).buffer(13).union(LineString([(20, 0), (100, 90), (180, 0)]).buffer(13))
RING_WITH_TAIL = Point(0, 0).buffer(60).difference(Point(0, 0).buffer(35)).union(box(45, -12, 150, 12))
BODY_WITH_ARM = Point(0, 0).buffer(80, 64).union(box(60, -8, 220, 8))
CRESCENT = Point(0, 0).buffer(100, 64).difference(Point(45, 0).buffer(85, 64))
LEAF = Point(0, -120).buffer(150, 64).intersection(Point(0, 120).buffer(150, 64))
S_BEND = LineString([(0, 0), (80, 0), (110, 40), (70, 80), (30, 120), (60, 160), (140, 160)]).buffer(14)


def pieces_of(shape: Polygon) -> tuple[Stroke, ...]:
    return measure(drawing_of(shape)).pieces([0])[0]


@pytest.mark.parametrize("shape", [T, L, X, Y, RING_WITH_TAIL, BODY_WITH_ARM, CRESCENT, LEAF, S_BEND])
def test_pieces_tile_their_region(shape: Polygon) -> None:
    whole = measure(drawing_of(shape)).regions[0].outline
    pieces = [piece.outline for piece in pieces_of(shape)]
    assert whole.symmetric_difference(shape).area < 1e-3
    assert sum(piece.area for piece in pieces) == pytest.approx(whole.area, rel=1e-9)
    assert shapely.union_all(pieces).symmetric_difference(shape).area < 1e-3
    for i, one in enumerate(pieces):
        assert all(one.intersection(other).area < 1e-6 for other in pieces[i + 1 :])


@pytest.mark.parametrize(("shape", "count"), [(T, 2), (L, 2), (X, 3), (Y, 2), (CRESCENT, 1), (LEAF, 1), (S_BEND, 1)])
def test_a_shape_is_cut_into_as_many_columns_as_by_hand(shape: Polygon, count: int) -> None:
    assert len(pieces_of(shape)) == count


@pytest.mark.parametrize("shape", [T, L, X, Y, RING_WITH_TAIL, CRESCENT, LEAF, S_BEND])
def test_stitch_lines_cover_each_piece_and_do_not_cross(shape: Polygon) -> None:
    for piece in pieces_of(shape):
        assert piece.covered > 0.95
        lines = shapely.linestrings(np.stack([piece.run.left, piece.run.right], axis=1))
        assert not shapely.crosses(lines[:-1], lines[1:]).any()


def test_the_bar_of_a_t_stays_whole_and_the_stem_is_cut_off_at_its_side() -> None:
    bar, stem = sorted((piece.outline for piece in pieces_of(T)), key=lambda outline: -outline.bounds[2])
    assert bar.symmetric_difference(box(0, 0, 240, 30)).area < 1
    assert stem.symmetric_difference(box(105, 30, 135, 160)).area < 1


def test_the_longer_leg_of_a_corner_keeps_the_corner() -> None:
    longer = max((piece.outline for piece in pieces_of(L)), key=lambda outline: outline.area)
    assert longer.symmetric_difference(box(108, -12, 132, 200)).area < 5


@pytest.mark.parametrize("gap", [0.0, 10.0, 30.0])
def test_two_spines_that_spread_from_one_foot_leave_the_stroke_they_stand_on_whole(gap: float) -> None:
    bar, feet = box(0, 0, 300, 30), (137 - gap / 2, 163 + gap / 2)
    spines = [LineString([(feet[0], 15), (feet[0] - 57, 130)]), LineString([(feet[1], 15), (feet[1] + 57, 130)])]
    pieces = [piece.outline for piece in pieces_of(shapely.union_all([bar, *(spine.buffer(12) for spine in spines)]))]
    assert len(pieces) == 3
    assert any(piece.symmetric_difference(bar).area < 1 for piece in pieces)


@pytest.mark.parametrize(("apart", "wide"), [(34.0, 36.0), (38.0, 36.0), (42.0, 30.0)])
def test_the_stroke_between_two_that_end_near_each_other_on_either_side_stays_whole(apart: float, wide: float) -> None:
    bar = box(0, 0, 400, 24)
    up, down = box(150, 12, 150 + wide, 140), box(150 + apart, -120, 150 + apart + wide, 12)
    pieces = [piece.outline for piece in pieces_of(shapely.union_all([bar, up, down]))]
    assert any(piece.symmetric_difference(bar).area < 1 for piece in pieces)


@pytest.mark.parametrize(("half", "tip"), [(8, 4), (8, 12), (8, 16), (12, 18), (12, 24)])
def test_an_arm_is_cut_from_a_body_however_it_is_pointed(half: float, tip: float) -> None:
    spear = Polygon([(60, -half), (60, half), (200, half), (200 + tip, 0), (200, -half)])
    arm, body = sorted(
        (piece.outline for piece in pieces_of(Point(0, 0).buffer(80, 64).union(spear))), key=lambda o: o.area
    )
    assert body.symmetric_difference(Point(0, 0).buffer(80, 64)).area < 0.02 * body.area
    assert arm.bounds[0] > 75


def test_an_arm_is_cut_from_a_body_at_its_neck() -> None:
    arm = min((piece.outline for piece in pieces_of(BODY_WITH_ARM)), key=lambda outline: outline.area)
    assert arm.bounds[0] == pytest.approx(np.sqrt(80**2 - 8**2), abs=8)


@settings(derandomize=True, deadline=None, max_examples=15)
@given(angle=st.floats(35, 145), width=st.floats(6, 40), length=st.floats(3, 9), reach=st.floats(0.25, 0.75))
def test_any_two_strokes_that_meet_tile(angle: float, width: float, length: float, reach: float) -> None:
    foot = np.array([reach * length * width, 0.0])
    tip = foot + length * width * np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
    shape = LineString([(0, 0), (length * width, 0)]).buffer(width / 2).union(LineString([foot, tip]).buffer(width / 2))
    pieces = pieces_of(shape)
    assert sum(piece.outline.area for piece in pieces) == pytest.approx(shape.area, rel=1e-6)
    assert all(piece.outline.is_valid for piece in pieces)


@pytest.mark.parametrize("points", [5, 6, 7])
@pytest.mark.parametrize("turn_deg", [0.0, 8.0])
def test_a_star_stays_whole(points: int, turn_deg: float) -> None:
    # common practice, no source: a hand fills it, or crosses it straight; its points are no strokes
    ways = np.radians(turn_deg) + np.pi * np.arange(2 * points) / points
    reach = np.where(np.arange(2 * points) % 2, 40.0, 100.0)
    assert len(pieces_of(Polygon(np.column_stack([reach * np.cos(ways), reach * np.sin(ways)])))) == 1


def test_a_body_that_forks_into_two_legs_is_parted_from_both_alike() -> None:
    legs = [Polygon([(s * 4, 160), (s * 62, 160), (s * 110, 520), (s * 90, 520)]) for s in (-1, 1)]
    pieces = pieces_of(unary_union([box(-62, -40, 62, 170), *legs]))
    mirrored = [shapely.transform(piece.outline, lambda xy: xy * (-1.0, 1.0)) for piece in pieces]
    assert len(pieces) == 3
    for other in mirrored:
        assert min(other.symmetric_difference(piece.outline).area for piece in pieces) < 0.05 * other.area


@pytest.mark.parametrize("apart", [68, 76])
def test_two_strokes_that_bend_near_each_other_are_followed_whole_and_what_joins_them_is_a_rung(apart: float) -> None:
    rails = [LineString([(s * 60, -200), (s * apart / 2, 0), (s * 72, 200)]).buffer(22) for s in (-1, 1)]
    pieces = pieces_of(unary_union([*rails, box(-apart / 2, -22, apart / 2, 22)]))
    areas = sorted(piece.outline.area for piece in pieces)
    assert len(pieces) == 3
    assert areas[1] == pytest.approx(areas[2], rel=0.01)


@pytest.mark.parametrize(("angle_deg", "at", "quad"), [(80, 20, 8), (80, 20, 16), (17, -24, 4)])
def test_a_stroke_cut_through_its_round_end_is_followed_to_the_cut(angle_deg: float, at: float, quad: int) -> None:
    # the cut may leave a crumb of axis in its corner, apart from the rest
    stroke = LineString([(0, 0), (400, 60), (700, 0)]).buffer(28, quad)
    ahead = 2000.0 * np.array([np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
    aside = np.array([-ahead[1], ahead[0]])
    place = np.array([at, 0.0])
    cut = stroke.difference(Polygon([place - ahead, place + ahead, place + ahead + aside, place - ahead + aside]))
    assert stroke_of(axes_apart([cut]), 0, uncut(cut)).covered > 0.95


@pytest.mark.parametrize("past", [0.0, 1.0, 4.0])
def test_sides_that_pass_each_other_at_a_tip_have_met_there(past: float) -> None:
    taper = Polygon([(0, -30), (400, 0), (0, 30)])
    axes = axes_apart([taper])
    track = track_of((max(axes.branches[0], key=lambda b: b.length),), axes.rings)
    tip, sides = (-1 if track.axis[-1, 0] > 200 else 0), []
    for side, other in ((track.left, track.right), (track.right, track.left)):
        way, sign = side.way.copy(), np.sign(np.diff(side.way).mean())
        whole = float(axes.rings.length[0])
        there = other.way[tip] + round((side.way[tip] - other.way[tip]) / whole) * whole
        way[tip] = (side.way[tip] + there) / 2 + (past / 2 + 0.01) * sign * (1 if tip else -1)
        sides.append(replace(side, way=way))
    axis = track.axis.copy()
    axis[tip, 2] = 0.5
    met = replace(track, axis=axis, left=sides[0], right=sides[1])
    (run,) = runs_of([met], axes.rings, [(True, True)], [np.empty((0, 2))])
    assert np.hypot(*np.diff(run.line[:, :2], axis=0).T).sum() < 440
