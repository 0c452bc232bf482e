"""Triangles of boundary points: the same however the points lie."""

import numpy as np
import pytest
import shapely
from scipy.spatial import Delaunay
from shapely.geometry.base import BaseGeometry

from analyse.widths.delaunay import FEW, _flipped, _quick, delaunay
from analyse.widths.delaunay import _exact as _delaunay


def as_sets(triangles: np.ndarray) -> set[frozenset[int]]:
    return {frozenset(corners) for corners in triangles.tolist()}


def test_triangles_are_those_of_another_library_even_where_the_first_attempt_fails(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # Source: Qhull, by way of SciPy. GEOS loses its way among some points that lie in rows and columns.
    points = np.random.default_rng(5).uniform(0, 100, (60, 2))
    expected = as_sets(Delaunay(points).simplices)
    assert as_sets(_delaunay(points)) == expected
    real, attempts = shapely.delaunay_triangles, []

    def lost_at_first(line: BaseGeometry) -> BaseGeometry:
        attempts.append(line)
        if len(attempts) == 1:
            raise shapely.GEOSException("LocateFailureException: Could not locate vertex.")
        return real(line)

    monkeypatch.setattr(shapely, "delaunay_triangles", lost_at_first)
    turned = _delaunay(points)
    assert len(attempts) == 2
    assert as_sets(turned) == expected
    first, second, third = np.moveaxis(points[turned], 1, 0)
    assert (np.linalg.det(np.stack([second - first, third - first], axis=1)) > 0).all()


def test_points_by_the_thousand_have_the_triangles_of_another_library() -> None:
    # Source: Qhull, by way of SciPy; all but the rim, where triangles may be as flat as rounding makes them.
    points = np.random.default_rng(7).uniform(0, 1500, (4000, 2))
    quick = _quick(points)
    assert quick is not None
    inside = {t for t in as_sets(Delaunay(points).simplices) if np.ptp(points[list(t)], axis=0).max() < 150}
    assert len(inside - as_sets(quick)) <= 0.001 * len(inside)
    first, second, third = np.moveaxis(points[quick], 1, 0)
    assert (np.linalg.det(np.stack([second - first, third - first], axis=1)) > 0).all()


def test_points_too_near_for_single_precision_are_triangulated_exactly() -> None:
    points = np.random.default_rng(8).uniform(1000, 1500, (FEW + 1, 2))
    points[1] = points[0] + (1e-7, 0.0)
    assert _quick(points) is None
    assert set(np.unique(delaunay(points)).tolist()) == set(range(len(points)))


def test_points_on_a_straight_line_make_no_triangle_and_cost_no_second_attempt() -> None:
    corners = np.array([[0.0, 0.0], [4.0, 0.0], [2.0, 2.0], [0.0, 4.0], [4.0, 4.0]])
    flat = np.array([[1, 2, 3], [0, 1, 3], [1, 4, 2], [4, 3, 2]])  # the first lies on the diagonal from 1 to 3
    mended = _flipped(corners @ (1.0, 1.0j), flat, np.array([0]))
    assert mended is not None
    assert as_sets(mended) == as_sets(Delaunay(corners).simplices)
    sides = corners[mended][:, 1:] - corners[mended][:, :1]
    assert (np.linalg.det(sides) / 2.0).tolist() == pytest.approx(
        [4.0, 4.0, 4.0, 4.0]
    )  # upright, and all of the square
