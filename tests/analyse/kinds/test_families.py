"""What belongs together: fur over a head, scales on a fish, an outline and what it runs round (facts of the trade)."""

from __future__ import annotations

import numpy as np
from shapely import LineString, Point, Polygon, box, union_all
from shapely.affinity import rotate

from analyse.kinds.families import families_of
from analyse.sizing import size_drawing
from analyse.values import Drawing
from analyse.widths.measuring import measure
from tests.drawings import drawing_of


def roles(drawing: Drawing) -> list[str]:
    return [family.role for family in families_of(drawing, measure(drawing))]


def on_body(body: Polygon, *strokes: Polygon) -> Drawing:
    parents = [None, *(0 for _ in strokes)]
    return drawing_of(
        body.difference(union_all(strokes)), *strokes, colours=(0, *(1 for _ in strokes)), parents=parents
    )


def hairs(count: int, width: float = 4.0) -> list[Polygon]:
    return [LineString([(80 + 45 * i, 100), (95 + 45 * i, 160)]).buffer(width / 2) for i in range(count)]


def test_fur_over_a_head_is_one_texture() -> None:
    drawing = on_body(box(0, 0, 600, 400), *hairs(9))
    families = families_of(drawing, measure(drawing))
    assert {family.role for family in families[1:]} == {"texture"}
    assert len({family.name for family in families[1:]}) == 1
    assert {family.body for family in families[1:]} == {0}
    assert families[0].role == ""


def test_marks_set_by_rule_are_a_texture_on_the_bare_cloth_too() -> None:
    marks = [LineString([(60 * i, 50 * j), (60 * i + 36, 50 * j + 20)]).buffer(4) for i in range(6) for j in range(4)]
    families = families_of(drawing_of(*marks), measure(drawing_of(*marks)))
    assert {family.role for family in families} == {"texture"}
    assert len({family.name for family in families}) == 1
    assert {family.body for family in families} == {-1}


def test_stubby_marks_over_a_body_are_a_texture_as_long_ones_are() -> None:
    marks = [
        LineString([(70 + 60 * i, 60 + 60 * j), (95 + 60 * i, 64 + 60 * j)]).buffer(6)
        for i in range(8)
        for j in range(5)
    ]
    assert set(roles(on_body(box(0, 0, 600, 400), *marks))[1:]) == {"texture"}


def test_two_strokes_are_no_texture_and_a_bar_among_hairs_is_none() -> None:
    assert roles(on_body(box(0, 0, 600, 400), *hairs(2)))[1:] == ["", ""]
    mixed = roles(on_body(box(0, 0, 600, 400), *hairs(5), box(60, 250, 500, 290)))
    assert mixed[1:] == ["texture"] * 5 + [""]


def test_an_outline_belongs_to_what_it_runs_round() -> None:
    disc = Point(200, 200).buffer(100)
    ring = disc.buffer(10).difference(disc)
    assert roles(drawing_of(ring, disc, colours=(0, 1), parents=(None, 0))) == ["outline", ""]


def test_an_eye_is_no_outline_of_its_highlight() -> None:
    eye, light = Point(100, 100).buffer(40), Point(110, 90).buffer(14)
    assert roles(drawing_of(eye.difference(light), light, colours=(0, 1), parents=(None, 0))) == ["", ""]


def test_the_ground_between_a_ropes_strands_is_no_outline_of_them() -> None:
    ring = Point(300, 300).buffer(280).difference(Point(300, 300).buffer(230))
    strand = LineString([(300 + 240, 300 - 25), (300 + 270, 300 + 25)]).buffer(7)
    turns = np.arange(0, 360, 12.0)
    strands = [rotate(strand, turn, origin=(300, 300)) for turn in turns]
    found = roles(on_body(ring, *strands))
    assert found[0] == ""
    assert set(found[1:]) == {"texture"}


def test_bars_between_fields_of_two_colours_are_no_texture_of_one() -> None:
    fields = [box(110 * i, 0, 110 * i + 100, 300) for i in range(6)]
    bars = [box(110 * i + 100, 0, 110 * i + 110, 300) for i in range(5)]
    found = roles(drawing_of(*fields, *bars, colours=(0, 1, 0, 1, 0, 1, 2, 2, 2, 2, 2)))
    assert found[6:] == [""] * 5


def test_just_at_a_limit_a_border_keeps_one_kind_all_along() -> None:
    """0.57 and 0.63 mm lie on either side of the 0.6 mm limit; one border is sewn one way."""
    strokes = [
        LineString([(60, 60 + 40 * i), (500, 60 + 40 * i)]).buffer(w / 2) for i, w in enumerate((5.7, 6.3, 6.3, 5.8))
    ]
    sized = size_drawing(on_body(box(0, 0, 600, 400), *strokes), width_mm=60)
    kinds = {part.kind for part in sized.parts if part.family.startswith("texture")}
    assert len(kinds) == 1
