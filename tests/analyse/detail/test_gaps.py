"""Gaps of cloth: each once, alike ones as one, and what is no gap (facts of the trade)."""

from __future__ import annotations

import pytest
from shapely import LineString, Point, Polygon, box, union_all
from shapely.affinity import translate

from analyse.sizing import size_drawing
from analyse.values import Drawing, Feature
from tests.drawings import drawing_of


def found(drawing: Drawing, kind: str, width_mm: float = 60.0, cloth: str = "twill") -> list[Feature]:
    return [f for f in size_drawing(drawing, width_mm=width_mm, cloth=cloth).detail.features if f.kind == kind]


def test_a_gap_is_listed_once_however_many_things_stand_before_it() -> None:
    """Where its background branches, at the ends and at a nick half way, it is still one gap."""
    upper = box(0, 0, 600, 100).difference(Polygon([(290, 100), (300, 85), (310, 100)]))
    (gap,) = found(drawing_of(upper, box(0, 110, 600, 200)), "gap")
    assert gap.measure == pytest.approx(1.0, abs=0.02)
    assert "a gap" in gap.text


def test_the_teeth_of_a_comb_leave_gaps_that_are_told_as_one_detail() -> None:
    comb = union_all([box(0, 0, 600, 60), *(box(50 * i, 50, 50 * i + 42, 300) for i in range(13))])
    (gaps,) = found(drawing_of(comb), "gap")
    assert gaps.text.startswith("12 gaps")
    assert gaps.measure == pytest.approx(0.8 * 600 / 642, abs=0.02)


def test_gaps_of_another_width_are_another_detail() -> None:
    bars = [box(0, y, 600, y + 40) for y in (0, 46, 92, 150)]
    measures = sorted(gap.measure for gap in found(drawing_of(*bars), "gap"))
    assert measures == pytest.approx([0.6, 1.8], abs=0.02)


def test_the_corner_where_two_shapes_meet_is_no_gap() -> None:
    """Two bars at 40 degrees: no thread closes what only opens."""
    bars = LineString([(0, 0), (600, 0)]).buffer(10).union(LineString([(0, 0), (460, 386)]).buffer(10))
    assert found(drawing_of(bars), "gap") == []


def test_a_counter_is_measured_across_and_alike_ones_are_told_as_one() -> None:
    grid = box(0, 0, 600, 200).difference(union_all([Point(60 + 60 * i, 100).buffer(9) for i in range(9)]))
    (holes,) = found(drawing_of(grid), "counter")
    assert holes.text.startswith("9 openings")
    assert holes.measure == pytest.approx(1.8, abs=0.02)
    assert holes.needs == 0.8


@pytest.mark.parametrize(("cloth", "kind", "needs"), [("twill", "gap", 0.8), ("fleece", "registration", 1.2)])
def test_an_even_keyline_of_cloth_must_cover_what_the_cloth_lets_drift(cloth: str, kind: str, needs: float) -> None:
    """Twice the drift: 0.6 mm on twill, less than any gap asks for; 1.2 mm on fleece (common practice, no source)."""
    disc = Point(300, 300).buffer(200)
    frame = Point(300, 300).buffer(300).difference(Point(300, 300).buffer(209))
    (keyline,) = found(drawing_of(disc, frame), kind, cloth=cloth)
    assert keyline.needs == pytest.approx(needs)
    assert keyline.measure == pytest.approx(0.9, abs=0.02)


def test_what_an_uncertain_edge_leaves_open_is_no_gap() -> None:
    assert found(drawing_of(box(0, 0, 300, 200), box(300.5, 0, 600, 200)), "gap") == []


def test_gaps_of_two_clusters_are_one_detail() -> None:
    """As between the grains of two ears: a practitioner opens them all at once."""
    comb = union_all([box(0, 0, 270, 40), *(box(30 * i, 30, 30 * i + 24, 300) for i in range(9))])
    (gaps,) = (gap for gap in found(drawing_of(comb, translate(comb, 330, 400)), "gap") if gap.measure < 1.0)
    assert gaps.text.startswith("16 gaps")


def test_an_even_gap_is_pointed_at_in_its_middle() -> None:
    (gap,) = found(drawing_of(box(0, 0, 600, 100), box(0, 106, 600, 200)), "gap")
    assert gap.at_mm == pytest.approx((30.0, 10.3), abs=2.0)
