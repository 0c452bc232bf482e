"""A few more points in a Delaunay triangulation, without making it anew (Bowyer 1981, Watson 1981)."""

from __future__ import annotations

import numpy as np

from analyse.values import Floats
from analyse.widths.samples import Ints

FLAT = 1e-9  # of its sides' product: a triangle with less area is none


def inserted(points: Floats, triangles: Ints, first: int) -> Ints | None:
    """Counter-clockwise Delaunay triangles of all points, given those of the points before `first`.

    None where rounding leaves it open which triangles a point replaces: then they must be made anew.
    """
    corners = points[triangles]
    centre, square = _circles(corners[:, 0], corners[:, 1], corners[:, 2])
    for number in range(first, len(points)):
        off = centre - points[number]
        hit = off[:, 0] ** 2 + off[:, 1] ** 2 < square
        rim = _rim(triangles[hit])
        if rim is None:
            return None
        fresh = np.column_stack([rim, np.full(len(rim), number)])
        one, two = points[rim[:, 0]] - points[number], points[rim[:, 1]] - points[number]
        doubled = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
        if (doubled <= FLAT * np.hypot(*one.T) * np.hypot(*two.T)).any():
            return None
        middle, far = _circles(points[rim[:, 0]], points[rim[:, 1]], points[np.full(len(rim), number)])
        triangles = np.vstack([triangles[~hit], fresh])
        centre, square = np.vstack([centre[~hit], middle]), np.append(square[~hit], far)
    return triangles


def _rim(triangles: Ints) -> Ints | None:
    """The edges round a patch of triangles, (E, 2) in their direction; None for none, or a patch not in one piece."""
    edges = [(t[k], t[(k + 1) % 3]) for t in triangles.tolist() for k in range(3)]
    known = set(edges)
    rim = [(a, b) for a, b in edges if (b, a) not in known]
    leads = dict(rim)
    if not rim or len(rim) != len(triangles) + 2 or len(leads) != len(rim):
        return None
    return np.array(rim)


def _circles(a: Floats, b: Floats, c: Floats) -> tuple[Floats, Floats]:
    """Centres and squared radii of circles through three points."""
    one, two = b - a, c - a
    twice = 2.0 * (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    twice = np.where(twice == 0, 1e-12, twice)
    first, second = one[:, 0] ** 2 + one[:, 1] ** 2, two[:, 0] ** 2 + two[:, 1] ** 2
    x, y = (two[:, 1] * first - one[:, 1] * second) / twice, (one[:, 0] * second - two[:, 0] * first) / twice
    return a + np.column_stack([x, y]), x * x + y * y
