"""Which boundary points face each other: the Delaunay triangulation of all outlines at once.

Dual to it is the Voronoi diagram of the boundary, whose edges inside a shape are that shape's medial axis
(Brandt and Algazi 1992). One triangulation serves every region and the background between them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.delaunay import delaunay
from analyse.widths.inserting import inserted
from analyse.widths.samples import Boundary, Ints, densified

FIRST_STEP_PX = 12.0  # the first, coarse look at which sides face each other
STEP_PER_WIDTH = (
    0.4  # samples per local width: the axis is put right to the outline itself, so that more change nothing
)
FINEST_STEP_PX = 0.2
COARSEST_STEP_PX = 8.0
LEAST_SINE = 0.5  # a chord nearer than this to the boundary's own run does not lead across
FEW = 100  # so many points are put into a triangulation sooner than it is made anew
REFINEMENTS = 4  # rounds of halving boundary pieces that are no Delaunay edges


@dataclass(frozen=True, slots=True, eq=False)
class Triangulation:
    """triangles (T, 3) point indices; edges (E, 2), low first; sides (T, 3): edge opposite corner k.

    across (T, 3): the triangle beyond that side, -1 for none. wall (E,): the edge is a piece of the boundary.
    owner (T,): the polygon a triangle lies in, -1 for none.
    """

    boundary: Boundary
    triangles: Ints
    edges: Ints
    sides: Ints
    across: Ints
    wall: np.ndarray[tuple[int], np.dtype[np.bool_]]
    owner: Ints


def triangulate(coarse: Boundary) -> Triangulation:
    """Triangulate the boundary, sampled finely where its sides lie close together."""
    boundary = densified(coarse, np.full(len(coarse.pieces), FIRST_STEP_PX))
    facing = _facing_distance(boundary)
    near = facing[boundary.pieces].min(axis=1)
    boundary = densified(boundary, np.clip(near * STEP_PER_WIDTH, FINEST_STEP_PX, COARSEST_STEP_PX))
    triangles = delaunay(boundary.points)
    for _ in range(REFINEMENTS):
        edges = _edges(_key(_corner_pairs(triangles), len(boundary.points)))
        missing = ~_among(_key(boundary.pieces, len(boundary.points)), edges[0])
        if not missing.any():
            return _connected(boundary, triangles, edges)
        length = np.hypot(*(boundary.points[boundary.pieces[:, 0]] - boundary.points[boundary.pieces[:, 1]]).T)
        before = len(boundary.points)
        boundary = densified(boundary, np.where(missing, length * 0.51, np.inf))
        few = len(boundary.points) - before <= FEW
        more = inserted(boundary.points, triangles, before) if few else None
        triangles = delaunay(boundary.points) if more is None else more
    return _connected(boundary, triangles, _edges(_key(_corner_pairs(triangles), len(boundary.points))))


def _facing_distance(boundary: Boundary) -> Floats:
    """Per point, how far off the nearest boundary that faces it lies: about the width there; inf for none."""
    points = boundary.points
    a, b = np.moveaxis(_corner_pairs(delaunay(points)).reshape(-1, 2), 1, 0)
    once = a < b  # the other triangle beside the edge has it the other way round
    a, b = a[once], b[once]
    loose = ~_held(a * len(points) + b, _key(boundary.pieces, len(points)))
    a, b = a[loose], b[loose]
    here, there = np.append(a, b), np.append(b, a)
    beside = _beside(boundary)
    chord, along = points[there] - points[here], points[beside[here]] - points[here][:, None]
    sine = np.abs(cross(along, chord[:, None])) / (_length(along) * _length(chord)[:, None] + 1e-12)
    far = np.min([distance_to(points[here], points[there], points[beside[there, k]]) for k in (0, 1)], axis=0)
    nearest = np.full(len(points), np.inf)
    across = sine.min(axis=1) > LEAST_SINE
    np.minimum.at(nearest, here[across], np.maximum(far[across], FINEST_STEP_PX))
    return nearest


def _beside(boundary: Boundary) -> Ints:
    """Two neighbours of each point along the boundary, (N, 2): where three pieces meet, two of them."""
    one, two = (
        np.append(boundary.pieces[:, 0], boundary.pieces[:, 1]),
        np.append(boundary.pieces[:, 1], boundary.pieces[:, 0]),
    )
    beside = np.empty((len(boundary.points), 2), dtype=np.int64)
    beside[one, 0] = two
    beside[one[::-1], 1] = two[::-1]
    return beside


def cross(one: Floats, two: Floats) -> Floats:
    """Cross product of plane vectors along the last axis."""
    return np.asarray(one[..., 0] * two[..., 1] - one[..., 1] * two[..., 0])


def _length(vectors: Floats) -> Floats:
    return np.asarray(np.hypot(vectors[..., 0], vectors[..., 1]))


def nearest_on(at: Floats, start: Floats, end: Floats) -> Floats:
    """Nearest point to `at` on the piece from start to end; all (N, 2)."""
    span = end - start
    x, y = span[..., 0], span[..., 1]
    off = at - start
    share = (off[..., 0] * x + off[..., 1] * y) / np.maximum(x * x + y * y, 1e-18)
    return np.asarray(start + span * np.clip(share, 0.0, 1.0)[..., None])


def distance_to(at: Floats, start: Floats, end: Floats) -> Floats:
    """Distance of `at` to the piece from start to end."""
    return _length(nearest_on(at, start, end) - at)


def _key(pairs: Ints, count: int) -> Ints:
    return np.asarray(pairs.min(axis=-1) * count + pairs.max(axis=-1))


def _held(keys: Ints, within: Ints) -> NDArray[np.bool_]:
    """Which of the keys are among the others."""
    return _among(keys, np.sort(within))


def _among(keys: Ints, ranked: Ints) -> NDArray[np.bool_]:
    """Which of the keys are among others that rise."""
    return np.asarray(ranked[np.minimum(np.searchsorted(ranked, keys), len(ranked) - 1)] == keys)


def _corner_pairs(triangles: Ints) -> Ints:
    return np.stack([triangles[:, [1, 2]], triangles[:, [2, 0]], triangles[:, [0, 1]]], axis=1)


def _connected(boundary: Boundary, triangles: Ints, edges: tuple[Ints, Ints, Ints]) -> Triangulation:
    count = len(boundary.points)
    pairs = _corner_pairs(triangles)
    keys, sides, across = edges
    piece = np.full(len(keys), -1)
    own = _key(boundary.pieces, count)
    place = np.minimum(np.searchsorted(keys, own), len(keys) - 1)
    found = keys[place] == own
    piece[place[found]] = np.flatnonzero(found)
    owner = _owners(boundary, pairs, sides, across, piece)
    return Triangulation(
        boundary, triangles, np.column_stack([keys // count, keys % count]), sides, across, piece >= 0, owner
    )


def _edges(key: Ints) -> tuple[Ints, Ints, Ints]:
    """From the sides' keys the edges', which edge each side (T, 3) is, and the triangle beyond it, -1 for none."""
    flat = key.ravel()
    order = np.argsort(flat)
    ranked = flat[order]
    fresh = np.append(True, ranked[1:] != ranked[:-1])
    sides, across = np.empty(len(flat), dtype=np.int64), np.full(len(flat), -1)
    sides[order] = np.cumsum(fresh) - 1
    twin = np.flatnonzero(~fresh)
    one, two = order[twin - 1], order[twin]
    across[one], across[two] = two // 3, one // 3
    return ranked[fresh], sides.reshape(-1, 3), across.reshape(-1, 3)


def _owners(boundary: Boundary, pairs: Ints, sides: Ints, across: Ints, piece: Ints) -> Ints:
    """Known beside the boundary, handed on from there across edges that are no wall."""
    unknown = -2
    at = piece[sides]
    upward = pairs[..., 0] < pairs[..., 1]
    beside = np.where(upward, boundary.left[at], boundary.right[at])
    owner = np.where(at >= 0, beside, unknown).max(axis=1)
    beyond = np.where((at >= 0) | (across < 0), len(owner), across)
    while True:
        handed = np.append(owner, unknown)[beyond].max(axis=1)
        fresh = (owner == unknown) & (handed != unknown)
        if not fresh.any():
            return np.where(owner == unknown, -1, owner)
        owner[fresh] = handed[fresh]
