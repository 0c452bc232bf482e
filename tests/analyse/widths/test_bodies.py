"""What lies on a body is not cut out of it; what a stroke runs round is. Common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box
from shapely.ops import unary_union

from analyse.widths.measuring import Measures, measure
from tests.drawings import drawing_of


def measured(ground: Polygon, *on_top: Polygon) -> Measures:
    shown = ground.difference(unary_union(on_top))
    return measure(drawing_of(shown, *on_top, colours=(0, *([1] * len(on_top))), parents=(None, *([0] * len(on_top)))))


def test_a_panel_with_bars_on_it_stays_one_body() -> None:
    bars = [box(40 + 60 * k, 30, 60 + 60 * k, 130) for k in range(5)]
    assert len(measured(box(0, 0, 360, 160), *bars).pieces([0])[0]) == 1


def test_an_eye_runs_on_under_its_highlight() -> None:
    assert len(measured(Point(0, 0).buffer(50, 32), Point(12, -12).buffer(14, 32)).pieces([0])[0]) == 1


def test_a_strip_along_a_frame_is_not_taken_for_detail_because_another_place_is_wide() -> None:
    # a door with two windows is a body; the beam round a strip, far from it, is two strokes
    wall, strip = box(20, 60, 380, 190), box(20, 20, 380, 40)
    door = box(120, 105, 280, 210)
    windows = [box(155, 130, 180, 180), box(220, 130, 245, 180)]
    ground = box(0, 0, 400, 210).difference(wall.difference(door))
    whole = measured(ground, strip, *windows).regions[0].whole.outline
    assert [round(Polygon(ring).area) for ring in whole.interiors if Polygon(ring).bounds == strip.bounds] == [7200]
    assert not any(Polygon(ring).equals(window) for ring in whole.interiors for window in windows)


def test_an_outline_round_fills_is_a_stroke_however_much_of_its_shape_it_covers() -> None:
    fingers = [box(20 + 40 * k, 20, 50 + 40 * k, 120) for k in range(4)]
    pieces = measured(box(8, 8, 182, 132), *fingers).pieces([0])[0]
    assert len(pieces) > 3
    assert max(float(piece.pole[2]) for piece in pieces) < 20


def test_a_wheel_is_a_rim_and_spokes() -> None:
    spokes = [
        LineString([(0, 0), (95 * np.cos(a), 95 * np.sin(a))]).buffer(2) for a in np.arange(0, 2 * np.pi, np.pi / 6)
    ]
    wheel = unary_union([Point(0, 0).buffer(100, 64).difference(Point(0, 0).buffer(90, 64)), *spokes])
    pieces = measure(drawing_of(wheel)).pieces([0])[0]
    assert any(piece.closed for piece in pieces)
    assert sum(float(piece.pole[2]) < 6 for piece in pieces) >= 10


@pytest.mark.parametrize(("count", "hub"), [(4, 14.0), (6, 16.0), (8, 0.0), (12, 0.0)])
def test_spokes_end_at_their_hub_and_the_hub_is_whole(count: int, hub: float) -> None:
    # common practice, no source: a hub is sewn over the ends of its spokes, no spoke runs through it
    ways = 2 * np.pi * np.arange(count) / count
    spokes = [LineString([(0, 0), (95 * np.cos(a), 95 * np.sin(a))]).buffer(4) for a in ways]
    rim = Point(0, 0).buffer(100, 64).difference(Point(0, 0).buffer(90, 64))
    wheel = unary_union([rim, *spokes, Point(0, 0).buffer(max(hub, 1.0), 64)])
    pieces = [piece for piece in measure(drawing_of(wheel)).pieces([0])[0] if piece.outline.area > 30]
    middle = [piece for piece in pieces if piece.outline.distance(Point(0, 0)) < 1]
    own = [piece for piece in pieces if piece not in middle and not piece.closed]
    assert len(middle) == 1
    assert len(own) == count
    assert np.ptp([piece.outline.area for piece in own]) < 0.1 * own[0].outline.area


def test_a_pane_between_bars_no_wider_than_itself_is_no_detail_on_a_body() -> None:
    # a fin of even stroke on a ring, with a body's colour in it: a hand sews the fin's strokes, not a lump
    ring = Point(0, 0).buffer(200, 64).difference(Point(0, 0).buffer(182, 64))
    fin = Polygon([(183, -45), (270, 0), (183, 45)]).buffer(9, join_style="round")
    pane = Polygon([(183, -45), (270, 0), (183, 45)]).buffer(-9).difference(Point(0, 0).buffer(200, 64))
    ground = ring.union(fin.difference(pane)).union(Point(-200, 0).buffer(30))
    whole = measured(ground, pane).regions[0].whole.outline
    assert sum(Polygon(hole).area < 1.2 * pane.area for hole in whole.interiors) == 1


def test_a_highlight_near_an_eyes_edge_lies_on_it() -> None:
    whole = measured(Point(0, 0).buffer(50, 32), Point(16, -16).buffer(19, 32)).regions[0].whole.outline
    assert not whole.interiors


def test_a_net_of_even_strokes_is_no_body_however_much_of_its_shape_it_covers() -> None:
    # panes side by side, no wider than the bars between them: a hand follows the bars
    panes = [box(24 + 60 * k, 24, 60 + 60 * k, 40) for k in range(4)]
    pieces = measured(box(0, 0, 264, 64), *panes).pieces([0])[0]
    assert max(float(piece.pole[2]) for piece in pieces) < 40
    assert all(piece.covered > 0.9 for piece in pieces)


def test_a_wall_runs_on_under_three_windows_though_their_frames_have_the_colour_of_its_own() -> None:
    # common practice, no source: no hand sews the strips of a wall between its windows one by one
    wall = box(0, 0, 84, 400)
    windows = [box(18, 36 + 120 * k, 66, 120 + 120 * k) for k in range(3)]
    bars = [box(18, 36 + 120 * k, 44, 120 + 120 * k) for k in range(3)]
    panes = [window.difference(bar) for window, bar in zip(windows, bars, strict=True)]
    frame = box(-24, -24, 108, 424).difference(wall)
    drawing = drawing_of(
        frame, wall.difference(unary_union(windows)), *bars, *panes,
        colours=(0, 1, 0, 0, 0, 2, 2, 2), parents=(None, 0, *([1] * 6)),
    )  # fmt: skip
    assert len(measure(drawing).pieces([1])[0]) == 1
