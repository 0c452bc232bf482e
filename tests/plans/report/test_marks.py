"""Marks round the artwork: each line leaves its label freely, and no ring hides what it rings."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from shapely import LineString, Point, box

from analyse.values import Feature
from plans.report.marked import ring_mm
from plans.report.marks import Mark, placed, radius


def feature(x: float, y: float, measure: float = 0.4) -> Feature:
    return Feature("dot", (x, y), measure, 1.0, "mm", 90.0, "lost", weight=0.1)


def lead(mark: Mark) -> LineString:
    return LineString([(mark.x, mark.y), (mark.to_x, mark.to_y)])


@pytest.mark.parametrize("count", [6, 12, 24])
@pytest.mark.parametrize("crowded", [False, True])
def test_no_line_runs_under_another_label(count: int, crowded: bool) -> None:
    """Places all over the picture, and places crowded in its middle; forty pictures of every shape."""
    chance = np.random.default_rng(count)
    for _ in range(40):
        size_mm = (76.0, 76.0 / chance.uniform(0.6, 1.6))
        share = np.clip(chance.normal(0.5, 0.15, (count, 2)), 0, 1) if crowded else chance.uniform(0, 1, (count, 2))
        features = [feature(x, y) for x, y in (share * size_mm).tolist()]
        size = radius(size_mm, count)
        for one, other in permutations(placed(features, size_mm, size), 2):
            label = box(other.x - size, other.y - size, other.x + size, other.y + size)
            assert not lead(one).intersects(label)


def test_places_in_one_corner_spread_over_the_sides() -> None:
    """Twelve details at one spot: labels on one side alone would lead off flat under each other."""
    marks = placed([feature(60 + 0.5 * i, 10) for i in range(12)], (76.0, 60.0), radius((76.0, 60.0), 12))
    assert len({(mark.x < 0, mark.x > 76, mark.y < 0, mark.y > 60) for mark in marks}) > 1


@pytest.mark.parametrize(("measure", "radii"), [(0.0, 0.45), (1.0, 0.8), (9.0, 1.2)])
def test_a_ring_is_as_wide_as_what_it_rings_within_reason(measure: float, radii: float) -> None:
    assert ring_mm(feature(0, 0, measure), 1.0) == pytest.approx(radii)


def test_a_line_runs_over_no_other_marked_place_where_another_side_is_free() -> None:
    """Two places above each other near the bottom: the upper one is marked from elsewhere."""
    size = radius((76.0, 61.0), 2)
    upper, lower = placed([feature(38.0, 34.0), feature(38.0, 55.0)], (76.0, 61.0), size)
    for mark, other in ((upper, lower), (lower, upper)):
        assert lead(mark).distance(Point(other.to_x, other.to_y)) > 0.8 * size


def test_no_line_strikes_through_the_words_it_points_at() -> None:
    """Two lines of lettering, one above the other: both are marked from above or below."""
    size_mm = (76.0, 61.0)
    words = [replace(feature(38.0, y), kind="lettering") for y in (46.0, 55.0)]
    for mark in placed(words, size_mm, radius(size_mm, 2)):
        assert mark.y < 0.0 or mark.y > size_mm[1]
