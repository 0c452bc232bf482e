"""Triangles of boundary points: the same however the points lie."""

import numpy as np
import pytest
import shapely
from scipy.spatial import Delaunay
from shapely.geometry.base import BaseGeometry

from analyse.widths.triangulation import _delaunay


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
