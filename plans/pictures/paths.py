"""Outlines as SVG path data, in mm."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from shapely import GeometryCollection, LineString, MultiLineString, MultiPolygon, Polygon, get_parts, simplify
from shapely.geometry.base import BaseGeometry

from analyse.values import Floats

STEP_MM = 0.01
"""Coordinates are written in steps of this, so a finer outline would not show."""


def path_data(shape: BaseGeometry, tolerance_mm: float = STEP_MM) -> str:
    """`d` of an SVG path for areas (with their holes) and lines; off by at most the tolerance, in steps of STEP_MM."""
    fewer = simplify(shape, tolerance_mm, preserve_topology=False)  # ten times faster; to be looked at, not cut up
    return "".join(_ring(points, closed) for points, closed in _rings(shape if fewer.is_empty else fewer))


def line_data(points: Floats, closed: bool = False) -> str:
    """`d` of an SVG path through (N, 2) points."""
    return _ring(points, closed) if len(points) > 1 else ""


def pairs_data(ends: Floats) -> str:
    """`d` of an SVG path through many lines of two points each, (N, 2, 2)."""
    pairs = _pairs(ends.reshape(-1, 2)) if len(ends) else []
    return "".join(f"M{start}L{end}" for start, end in zip(pairs[::2], pairs[1::2], strict=True))


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
    return f"M{'L'.join(_pairs(points))}{'Z' if closed else ''}"


def _pairs(points: Floats) -> list[str]:
    """`12.3 4` for each point: a list prints its numbers faster than any format of ours."""
    text = str((np.round(points[:, :2], 2) + 0.0).tolist())[2:-2] + "]"
    return text.replace(".0,", ",").replace(".0]", "]").replace(",", "")[:-1].split("] [")
