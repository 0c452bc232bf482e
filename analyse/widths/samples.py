"""Where the outlines run: all boundaries of a drawing as one set of sample points and the pieces between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from analyse.values import Floats

Ints = NDArray[np.int64]

GRID_PX = 1e-6  # vertices nearer than this are one: what the coverage functions leave between neighbours


@dataclass(frozen=True, slots=True, eq=False)
class Boundary:
    """Outlines as a graph: points (N, 2); pieces (S, 2) of point indices, each once, low index first.

    left, right: (S,) the polygon on either side of a piece as it runs (x right, y taken as up), -1 for none.
    given: the first so many points are the outlines' own vertices, the rest were put between them.
    """

    points: Floats
    pieces: Ints
    left: Ints
    right: Ints
    given: int


def boundary_of(outlines: Sequence[Polygon]) -> Boundary:
    """The shared boundary graph of polygons that do not overlap: an edge two of them share is one piece."""
    start, end, owner = _directed(outlines)
    both = np.vstack([start, end])
    near = np.round(both / GRID_PX)
    _, first, index = np.unique(near[:, 0] + 1j * near[:, 1], return_index=True, return_inverse=True)
    points = both[first]
    a, b = index[: len(start)], index[len(start) :]
    real = a != b
    a, b, owner = a[real], b[real], owner[real]
    keys, piece = np.unique(np.minimum(a, b) * len(points) + np.maximum(a, b), return_inverse=True)
    left, right = np.full(len(keys), -1), np.full(len(keys), -1)
    left[piece[a < b]] = owner[a < b]
    right[piece[a > b]] = owner[a > b]
    pieces = np.column_stack([keys // len(points), keys % len(points)])
    return Boundary(points, pieces, left, right, len(points))


def _directed(outlines: Sequence[Polygon]) -> tuple[Floats, Floats, Ints]:
    turned = shapely.orient_polygons(np.array(outlines, dtype=object), exterior_cw=False)
    rings, owner = shapely.get_rings(turned, return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    return xy[:-1][same], xy[1:][same], owner[ring[:-1][same]].astype(np.int64)


def densified(boundary: Boundary, step: Floats) -> Boundary:
    """The same boundary with piece i cut into equal pieces no longer than step[i]."""
    start, end = boundary.points[boundary.pieces[:, 0]], boundary.points[boundary.pieces[:, 1]]
    span = end - start
    count = np.maximum(np.ceil(np.hypot(span[:, 0], span[:, 1]) / step - 1e-9), 1).astype(np.int64)
    piece = np.repeat(np.arange(len(count)), count)
    first = np.cumsum(count) - count
    nth = np.arange(len(piece)) - first[piece]
    inner = nth > 0
    at = start[piece[inner]] + span[piece[inner]] * (nth[inner] / count[piece[inner]])[:, None]
    new = np.full(len(piece) + 1, -1)
    new[:-1][inner] = len(boundary.points) + np.arange(len(at))
    a = np.where(inner, new[:-1], boundary.pieces[piece, 0])
    last = nth == count[piece] - 1
    b = np.where(last, boundary.pieces[piece, 1], new[1:])
    swap = a > b
    left, right = boundary.left[piece], boundary.right[piece]
    pieces = np.column_stack([np.where(swap, b, a), np.where(swap, a, b)])
    left, right = np.where(swap, right, left), np.where(swap, left, right)
    return Boundary(np.vstack([boundary.points, at]), pieces, left, right, boundary.given)
