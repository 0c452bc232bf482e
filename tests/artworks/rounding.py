"""Corners rounded from within and without, so that nothing of a shape is thinner than it may be."""

from __future__ import annotations

import numpy as np
from pen import Path, polygon
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

TOLERANCE = 0.05


def area(path: Path) -> BaseGeometry:
    """A path's filled area: each subpath a polygon, all of them united."""
    return unary_union([Polygon(np.column_stack([c.real, c.imag])).buffer(0) for c in path.flattened(32)])


def outline(shape: BaseGeometry) -> Path:
    """Polygons as a path, holes as subpaths of their own (fill by even-odd)."""
    paths = Path()
    for part in getattr(shape, "geoms", [shape]):
        for edge in (part.exterior, *part.interiors):
            paths += polygon([complex(x, y) for x, y in edge.simplify(TOLERANCE).coords[:-1]])
    return paths


def rounded(shape: BaseGeometry, radius: float) -> Path:
    """The shape with every outer and inner corner rounded to the radius."""
    inner = shape.buffer(-radius, quad_segs=24).buffer(2 * radius, quad_segs=24)
    return outline(inner.buffer(-radius, quad_segs=24))


def banded(path: Path, width: float) -> BaseGeometry:
    """A line as wide as said, with round ends."""
    lines = [LineString(np.column_stack([c.real, c.imag])) for c in path.flattened(32)]
    return unary_union(lines).buffer(width / 2, quad_segs=24)
