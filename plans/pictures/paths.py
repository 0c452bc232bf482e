"""Outlines as SVG path data, in mm."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from shapely import GeometryCollection, LineString, MultiLineString, MultiPolygon, Polygon, get_parts, simplify
from shapely.geometry.base import BaseGeometry

from analyse.values import Floats


def path_data(shape: BaseGeometry, tolerance_mm: float = 0.01) -> str:
    """`d` of an SVG path for areas (with their holes) and lines; off by at most the tolerance, in steps of 0.01."""
    return "".join(_ring(points, closed) for points, closed in _rings(simplify(shape, tolerance_mm)))


def line_data(points: Floats, closed: bool = False) -> str:
    """`d` of an SVG path through (N, 2) points."""
    return _ring(points, closed) if len(points) > 1 else ""


def _rings(shape: BaseGeometry) -> Iterable[tuple[Floats, bool]]:
    for piece in get_parts(shape):
        if isinstance(piece, Polygon):
            yield from (
                (np.asarray(ring.coords)[:-1], True) for ring in (piece.exterior, *piece.interiors) if not ring.is_empty
            )
        elif isinstance(piece, LineString):
            yield np.asarray(piece.coords), False
        elif isinstance(piece, MultiPolygon | MultiLineString | GeometryCollection):
            yield from _rings(piece)


def _ring(points: Floats, closed: bool) -> str:
    pairs = [f"{_number(x)} {_number(y)}" for x, y in np.round(points[:, :2], 2).tolist()]
    return f"M{'L'.join(pairs)}{'Z' if closed else ''}"


def _number(value: float) -> str:
    return f"{value + 0.0:.2f}".rstrip("0").rstrip(".")
