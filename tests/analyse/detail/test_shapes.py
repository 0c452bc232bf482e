"""Strokes, each by its own width, whatever it hangs on; and slivers (facts of the trade, lengths by construction)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box, union_all
from shapely.affinity import translate

from analyse.sizing import size_drawing
from analyse.values import Drawing, Feature
from tests.drawings import drawing_of


def found(drawing: Drawing, *kinds: str, width_mm: float = 60.0) -> list[Feature]:
    features = size_drawing(drawing, width_mm=width_mm).detail.features
    return [feature for feature in features if feature.kind in kinds]


def spoked() -> Drawing:
    """A rim 12 px wide about a hub, with twelve spokes of 3 px."""
    middle = Point(300, 300)
    rim = middle.buffer(300, 64).difference(middle.buffer(288, 64))
    spokes = [LineString([(300, 300), p]).buffer(1.5) for p in middle.buffer(290, 3).exterior.coords[:-1]]
    return drawing_of(union_all([rim, middle.buffer(20), *spokes]))


def test_spokes_are_held_against_their_own_width_and_the_rim_against_its() -> None:
    """Two thirds of the length is spokes, most of the area rim: neither speaks for the other."""
    (spokes,) = found(spoked(), "stroke")
    assert spokes.measure == pytest.approx(0.3, abs=0.01)
    assert spokes.text.startswith("12 strokes")


def test_a_whisker_on_a_broad_shape_is_a_detail() -> None:
    whisker = LineString([(200, 100), (600, 100)]).buffer(2, cap_style="flat")
    (thin,) = found(drawing_of(box(0, 0, 200, 200).union(whisker)), "stroke")
    assert thin.measure == pytest.approx(0.4, abs=0.01)


def test_a_taper_is_no_finer_stroke() -> None:
    """The point of a wedge is as thin as one likes: nobody counts it."""
    drawing = drawing_of(box(0, 0, 200, 200).union(Polygon([(200, 80), (200, 120), (600, 100)])))
    assert found(drawing, "stroke") == []


def test_a_field_with_a_thin_rim_along_others_is_neither_a_stroke_nor_an_outline() -> None:
    """As a shading drawn a little too large shows along the edge of the next field."""
    field = Polygon([(0, 0), (300, 0), (300, 200), (0, 200)])
    rim = box(300, 0, 304, 200)
    beyond, under = box(304, 0, 600, 200), box(0, 200, 600, 400)
    drawing = drawing_of(field.union(rim).buffer(0), beyond, under, colours=(0, 1, 2))
    assert found(drawing, "stroke", "registration") == []


def test_a_field_is_no_outline_however_many_inlets_it_has() -> None:
    """Most of the length of its axis lies in the strips between them, nearly all of its area does not."""
    teeth = union_all([box(12 * i, 0, 12 * i + 8, 150) for i in range(50)])
    field = box(0, 0, 600, 400).difference(teeth).difference(Point(300, 280).buffer(60))
    drawing = drawing_of(field, Point(300, 280).buffer(60), colours=(0, 1), parents=(None, 0))
    assert not [feature for feature in found(drawing, "registration", "stroke") if "outline" in feature.text]


def test_like_strokes_are_one_detail_whatever_body_they_lie_on() -> None:
    """Three strokes on each of two bodies of one colour."""
    bodies = [box(0, 0, 280, 300), box(320, 0, 600, 300)]
    strokes = [box(x + 40, 60 + 80 * k, x + 240, 64 + 80 * k) for x in (0, 320) for k in range(3)]
    cut = [body.difference(union_all(strokes)) for body in bodies]
    drawing = drawing_of(*cut, *strokes, colours=(0, 0, *[1] * 6), parents=(None, None, *[0] * 3, *[1] * 3))
    (six,) = found(drawing, "stroke")
    assert six.text.startswith("6 strokes")


def test_strokes_that_grow_step_by_step_are_not_all_held_against_the_thinnest() -> None:
    bars = [box(0, 40 * k, 600, 40 * k + 2 * 1.08**k) for k in range(12)]
    measures = [feature.measure for feature in found(drawing_of(*bars), "stroke")]
    assert len(measures) >= 5
    assert max(measures) > 2 * min(measures)


def peeking(sliver_px: float) -> Drawing:
    """A disc in a ring of 20 px, and along a third of the ring, outside it, a lens of the disc's colour."""
    shown = np.linspace(-1.0, 1.0, 121)
    turn = np.append(shown, np.linspace(1.0, 2.0 * math.pi - 1.0, 257)[1:-1])
    disc = Polygon([_at(200.0, each) for each in turn])
    ring = Polygon([_at(220.0, each) for each in turn], [disc.exterior.coords])
    rim = [_at(220.5 + sliver_px * (1.0 - each**2), each) for each in shown]
    beyond = Polygon([*(_at(220.0, each) for each in shown), *rim[::-1]])
    return drawing_of(ring, disc, beyond, colours=(0, 1, 1), parents=(None, 0, None))


def _at(radius: float, turn: float) -> tuple[float, float]:
    return 300.0 + radius * math.cos(turn), 300.0 + radius * math.sin(turn)


def test_a_fill_that_shows_past_its_outline_is_a_sliver_to_be_left_out() -> None:
    (sliver,) = [f for f in found(peeking(4), "stroke", width_mm=20.0) if "sliver" in f.text]
    assert sliver.state == "lost"
    assert sliver.cure == "better left out"


def test_a_ring_of_the_same_colour_beyond_an_outline_is_drawn_on_purpose() -> None:
    disc, ring, rim = ([_at(r, k * math.pi / 180) for k in range(360)] for r in (200.0, 220.0, 226.0))
    shapes = Polygon(ring, [disc]), Polygon(disc), Polygon(rim, [ring])
    drawing = drawing_of(*shapes, colours=(0, 1, 1), parents=(None, 0, None))
    assert not [f for f in found(drawing, "stroke", "registration") if "sliver" in f.text]


def test_an_edge_between_two_colours_is_no_stroke() -> None:
    """Less than two pixels wide: an uncertain edge leaves as much."""
    fields = box(0, 0, 300, 400), box(300, 0, 301.5, 400), box(301.5, 0, 600, 400)
    assert found(drawing_of(*fields, colours=(0, 1, 2)), "stroke") == []


@pytest.mark.parametrize(("count", "cure"), [(1, "thicken it by 0.05 mm"), (4, "thicken them by up to 0.05 mm")])
def test_what_is_asked_of_several_is_said_of_several(count: int, cure: str) -> None:
    bars = [box(0, 60 * k, 600, 60 * k + 1.5) for k in range(count)]
    (strokes,) = found(drawing_of(*bars, box(0, 300, 600, 400)), "stroke")
    assert strokes.cure == cure


def test_a_star_on_a_ring_that_something_of_its_colour_lies_in_is_no_sliver() -> None:
    """It lies on the ring with all of its outline, not along an edge of it."""
    star = Polygon([_at(40.0 if k % 2 == 0 else 8.0, k * math.pi / 4) for k in range(8)])
    star = translate(star, 250.0, 0.0)
    disc, ring = Point(300, 300).buffer(200, 64), Point(300, 300).buffer(300, 64)
    drawing = drawing_of(ring.difference(disc).difference(star), disc, star, colours=(0, 1, 1), parents=(None, 0, 0))
    assert not [f for f in found(drawing, "stroke", "registration", "dot") if "sliver" in f.text]
