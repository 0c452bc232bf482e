"""Widths against closed forms: tests/published/local_thickness_cases.csv names the formula of each."""

from __future__ import annotations

from typing import Literal

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, affinity, box

from analyse.widths.measuring import Shape, measure
from analyse.widths.profile import percentiles_px
from analyse.widths.strokes import covered_by
from tests.drawings import drawing_of
from tests.thickness_shapes import BODIES, STROKES, published_cases, scaled

PX_PER_UNIT = 8.0
TAPERS = ("taper", "eccentric-ring")  # their percentiles also hang on where the axis is taken to end
CASES = published_cases()


def measured(outline: Polygon) -> Shape:
    return measure(drawing_of(outline)).regions[0]


@pytest.mark.parametrize("case", STROKES)
def test_a_stroke_has_the_width_and_length_of_its_closed_form(case: str) -> None:
    shape, row = measured(scaled(STROKES[case], PX_PER_UNIT)), CASES[case]
    low, median, high = (value / PX_PER_UNIT for value in percentiles_px(shape.whole))
    for got, name in ((low, "width_p10"), (median, "width_median"), (high, "width_p90")):
        assert got == pytest.approx(float(row[name]), rel=1e-2 if case in TAPERS else 7e-3), name
    length = sum(branch.length for branch in shape.branches) / PX_PER_UNIT
    assert length == pytest.approx(float(row["axis_length"]), rel=0.02, abs=0.1)


@pytest.mark.parametrize(("case", "a", "b"), [("ellipse-15x5", 15, 5), ("ellipse-12x2", 12, 2)])
def test_a_leaf_is_followed_to_the_ends_of_its_axis(case: str, a: float, b: float) -> None:
    ellipse = affinity.scale(Point(0, 0).buffer(1, 128), a, b)
    shape, row = measured(scaled(ellipse, PX_PER_UNIT)), CASES[case]
    for got, name in zip(percentiles_px(shape.whole), ("width_p10", "width_median", "width_p90"), strict=True):
        assert got / PX_PER_UNIT == pytest.approx(float(row[name]), rel=0.02), name
    length = sum(branch.length for branch in shape.branches) / PX_PER_UNIT
    assert length == pytest.approx(float(row["axis_length"]), rel=0.015)


@pytest.mark.parametrize("end", ["round", "flat", "square"])
def test_a_stroke_that_does_not_taper_ends_where_it_did(end: Literal["round", "flat", "square"]) -> None:
    bar = LineString([(0, 0), (20, 0)]).buffer(1.5, cap_style=end, quad_segs=32)
    (branch,) = measured(scaled(bar, PX_PER_UNIT)).branches
    assert branch.axis[:, 2].min() / PX_PER_UNIT == pytest.approx(3.0, rel=0.03)


@pytest.mark.parametrize("case", BODIES)
def test_the_largest_disc_is_that_of_the_closed_form(case: str) -> None:
    shape = measured(scaled(BODIES[case], PX_PER_UNIT))
    assert shape.pole[2] / PX_PER_UNIT == pytest.approx(float(CASES[case]["disc_max"]), rel=0.01)


def test_corners_make_no_twigs() -> None:
    assert len(measured(scaled(STROKES["bar"], PX_PER_UNIT)).branches) == 1
    assert measured(scaled(BODIES["square"], PX_PER_UNIT)).branches == ()


def test_rings_stay_closed() -> None:
    (branch,) = measured(scaled(STROKES["annulus"], PX_PER_UNIT)).branches
    assert branch.closed


@pytest.mark.parametrize("angle_deg", [7.0, 33.0, 90.0, 151.0])
def test_turning_a_shape_leaves_its_width(angle_deg: float) -> None:
    straight = scaled(STROKES["sine-ribbon"], PX_PER_UNIT)
    turned = affinity.rotate(straight, angle_deg)
    np.testing.assert_allclose(
        percentiles_px(measured(turned).whole), percentiles_px(measured(straight).whole), rtol=5e-3
    )


def test_the_gap_between_two_shapes_is_measured_like_a_stroke() -> None:
    row = CASES["gap-straight"]
    one, two = scaled(Polygon([(0, 0), (9.6, 0), (9.6, 10), (0, 10)]), 8), None
    two = affinity.translate(one, 8 * (9.6 + 0.8), 0)
    background = measure(drawing_of(one, two)).background
    widths = np.concatenate([b.axis[:, 2] for shape in background for b in shape.branches])
    assert widths.min() / 8 == pytest.approx(float(row["width_median"]), rel=5e-3)


@pytest.mark.parametrize("other", [box(0, 0, 100, 20), box(50, 19.9, 150, 40)])
def test_shapes_that_lie_over_one_another_are_measured_all_the_same(other: Polygon) -> None:
    """Drawings made by hand are no exact coverage."""
    both = measure(drawing_of(box(0, 0, 100, 20), other, colours=(0, 1))).regions
    assert [round(shape.outline.area) for shape in both] == [2000, round(other.area)]


def test_an_8_is_covered_by_its_branches_and_not_by_any_one_run() -> None:
    rings = [Point(0, y).buffer(r + 5, 64).difference(Point(0, y).buffer(r - 5, 64)) for y, r in ((0, 20), (44, 24))]
    eight = measured(scaled(rings[0].union(rings[1]), 1.0))
    assert len(eight.outline.interiors) == 2
    assert eight.whole.covered < 0.6
    assert covered_by(eight.branch_runs, eight.outline) > 0.85
