"""Points put into a Delaunay triangulation, against the geometry library's triangulation of all of them."""

from __future__ import annotations

import numpy as np
import shapely

from analyse.widths.inserting import inserted


def _delaunay(points):
    mesh = shapely.get_coordinates(shapely.delaunay_triangles(shapely.MultiPoint(points))).reshape(-1, 4, 2)[:, :3]
    at = {tuple(xy): i for i, xy in enumerate(points.tolist())}
    triangles = np.array([[at[tuple(corner)] for corner in triangle] for triangle in mesh.tolist()])
    a, b, c = np.moveaxis(points[triangles], 1, 0)
    clockwise = (b - a)[:, 0] * (c - a)[:, 1] < (b - a)[:, 1] * (c - a)[:, 0]
    triangles[clockwise] = triangles[clockwise][:, ::-1]
    return triangles


def _unordered(triangles):
    return {tuple(sorted(triangle)) for triangle in triangles.tolist()}


def test_points_put_in_one_by_one_give_the_triangulation_of_all_points():
    points = np.random.default_rng(5).uniform(0.0, 100.0, (400, 2))
    points = np.vstack([[[-1.0, -1.0], [101.0, -1.0], [-1.0, 101.0], [101.0, 101.0]], points])
    grown = inserted(points, _delaunay(points[:360]), 360)
    assert grown is not None
    assert _unordered(grown) == _unordered(_delaunay(points))


def test_a_point_outside_the_triangulation_is_left_to_a_new_one():
    points = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [9.0, 9.0]])
    assert inserted(points, np.array([[0, 1, 2]]), 3) is None
