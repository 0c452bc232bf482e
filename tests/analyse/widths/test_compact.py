"""A shape that no run follows is crossed straight, the way that leaves it least. Common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Point, Polygon, affinity, box

from analyse.widths.compact import hardly_compact, is_compact, sliced

STAR = Polygon(
    [(50 * r * np.cos(a), 50 * r * np.sin(a)) for a, r in zip(np.arange(8) * np.pi / 4, (1.0, 0.4) * 4, strict=True)]
)


@pytest.mark.parametrize("angle_deg", [0.0, 20.0, 45.0])
def test_a_star_is_crossed_whole_by_parallel_lines(angle_deg: float) -> None:
    star = affinity.rotate(STAR, angle_deg)
    (run,) = sliced([star])
    across = run.right - run.left
    heading = np.unwrap(np.arctan2(across[:, 1], across[:, 0])[np.hypot(*across.T) > 1.0], period=np.pi)
    assert np.ptp(heading) < 1e-6
    assert Polygon(np.vstack([run.left, run.right[::-1]])).area == pytest.approx(star.area, rel=0.02)


def test_a_disc_is_compact_and_a_crescent_or_a_bar_is_not() -> None:
    disc = Point(0, 0).buffer(50, 32)
    crescent = disc.difference(Point(30, 0).buffer(45, 32))
    assert is_compact(disc, 100.0)
    assert not is_compact(crescent, 35.0)
    assert not is_compact(Polygon([(0, 0), (100, 0), (100, 20), (0, 20)]), 20.0)


def test_what_is_clearly_compact_or_clearly_not_is_not_hardly_so() -> None:
    square, long = box(0, 0, 10, 10), box(0, 0, 10, 40)
    between = box(0, 0, 10, 22.2)  # 2.22 squares of its width
    assert [hardly_compact(shape, 10.0) for shape in (square, long, between)] == [False, False, True]
