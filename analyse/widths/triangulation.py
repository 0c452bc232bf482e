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


Complex = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, eq=False)
class Triangulation:
    """triangles (T, 3) point indices; edges (E, 2), low first; sides (T, 3): edge opposite corner k.

    twin (T, 3): the same side as seen from beyond, 3 * triangle + k there, -1 for none. across (T, 3): the triangle
    beyond, -1 for none. wall (E,): the edge is a piece of the boundary. owner (T,): the polygon a triangle lies in, -1
    for none.
    """

    boundary: Boundary
    triangles: Ints
    edges: Ints
    sides: Ints
    twin: Ints
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
        edges = _edges(triangles, len(boundary.points))
        missing = ~_among(_keys(boundary), edges[0])
        if not missing.any():
            return _connected(boundary, triangles, edges)
        length = np.hypot(*(boundary.points[boundary.pieces[:, 0]] - boundary.points[boundary.pieces[:, 1]]).T)
        before = len(boundary.points)
        boundary = densified(boundary, np.where(missing, length * 0.51, np.inf))
        few = len(boundary.points) - before <= FEW
        more = inserted(boundary.points, triangles, before) if few else None
        triangles = delaunay(boundary.points) if more is None else more
    return _connected(boundary, triangles, _edges(triangles, len(boundary.points)))


def _facing_distance(boundary: Boundary) -> Floats:
    """Per point, how far off the nearest boundary that faces it lies: about the width there; inf for none."""
    places: Complex = boundary.points @ np.array([1.0, 1.0j])  # as complex numbers: half the arrays
    here, there = _loose(boundary)
    beside = _beside(boundary)
    chord = places[there] - places[here]
    length = np.abs(chord)
    sines = []
    for k in (0, 1):
        along = places[beside[here, k]] - places[here]
        sines.append(np.abs(_cross(along, chord)) / (np.abs(along) * length + 1e-12))
    across = np.minimum(*sines) > LEAST_SINE
    here, there = here[across], there[across]
    at, start = places[here], places[there]
    far = np.minimum(*(np.abs(nearest_on(at, start, places[beside[there, k]]) - at) for k in (0, 1)))
    nearest = np.full(len(places), np.inf)
    np.minimum.at(nearest, here, np.maximum(far, FINEST_STEP_PX))
    return nearest


def _loose(boundary: Boundary) -> tuple[Ints, Ints]:
    """From where to where the Delaunay edges lead that are no pieces of the boundary, either way."""
    triangles, count = delaunay(boundary.points), len(boundary.points)
    a, b = triangles.T.ravel(), triangles[:, [1, 2, 0]].T.ravel()
    once = a < b  # the other triangle beside the edge has it the other way round
    a, b = a[once], b[once]
    loose = ~_among(a * count + b, np.sort(_keys(boundary)))
    a, b = a[loose], b[loose]
    return np.append(a, b), np.append(b, a)


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


def nearest_on(at: Complex, start: Complex, end: Complex) -> Complex:
    """Nearest place to `at` on the piece from start to end."""
    span, off = end - start, at - start
    x, y = span.real, span.imag
    share = (off.real * x + off.imag * y) / np.maximum(x * x + y * y, 1e-18)
    return np.asarray(start + span * np.clip(share, 0.0, 1.0))


def _cross(one: Complex, two: Complex) -> Floats:
    return np.asarray(one.real * two.imag - one.imag * two.real)


def _keys(boundary: Boundary) -> Ints:
    """Each piece as one whole number."""
    return np.asarray(boundary.pieces[:, 0] * len(boundary.points) + boundary.pieces[:, 1])


def _among(keys: Ints, ranked: Ints) -> NDArray[np.bool_]:
    """Which of the keys are among others that rise."""
    return np.asarray(ranked[np.minimum(np.searchsorted(ranked, keys), len(ranked) - 1)] == keys)


def _connected(boundary: Boundary, triangles: Ints, edges: tuple[Ints, Ints, Ints]) -> Triangulation:
    count = len(boundary.points)
    keys, sides, twin = edges
    piece = np.full(len(keys), -1)
    own = _keys(boundary)
    place = np.minimum(np.searchsorted(keys, own), len(keys) - 1)
    found = keys[place] == own
    piece[place[found]] = np.flatnonzero(found)
    across = np.where(twin >= 0, twin // 3, -1)
    owner = _owners(boundary, triangles, sides, across, piece)
    ends = np.column_stack([keys // count, keys % count])
    return Triangulation(boundary, triangles, ends, sides, twin, across, piece >= 0, owner)


def _edges(triangles: Ints, count: int) -> tuple[Ints, Ints, Ints]:
    """The edges' keys, which edge each side (T, 3) is, and the same side as seen from beyond it, -1 for none."""
    one, two = triangles[:, [1, 2, 0]].ravel(), triangles[:, [2, 0, 1]].ravel()
    flat = np.minimum(one, two) * count + np.maximum(one, two)
    order = np.argsort(flat)
    ranked = flat[order]
    fresh = np.append(True, ranked[1:] != ranked[:-1])
    sides, twin = np.empty(len(flat), dtype=np.int64), np.full(len(flat), -1)
    sides[order] = np.cumsum(fresh) - 1
    second = np.flatnonzero(~fresh)
    one, two = order[second - 1], order[second]
    twin[one], twin[two] = two, one
    return ranked[fresh], sides.reshape(-1, 3), twin.reshape(-1, 3)


def _owners(boundary: Boundary, triangles: Ints, sides: Ints, across: Ints, piece: Ints) -> Ints:
    """Known beside the boundary, handed on from there across edges that are no wall."""
    unknown = -2
    at = piece[sides]
    upward = triangles[:, [1, 2, 0]] < triangles[:, [2, 0, 1]]
    wall = np.flatnonzero(at >= 0)
    beside = np.full(at.size, unknown)
    own = at.ravel()[wall]
    beside[wall] = np.where(upward.ravel()[wall], boundary.left[own], boundary.right[own])
    owner = np.append(beside.reshape(-1, 3).max(axis=1), unknown)
    open_ = np.flatnonzero(owner[:-1] == unknown)
    beyond = np.where((at[open_] >= 0) | (across[open_] < 0), len(at), across[open_])
    while True:
        handed = owner[beyond].max(axis=1)
        fresh = handed != unknown
        if not fresh.any():
            return np.where(owner[:-1] == unknown, -1, owner[:-1])
        owner[open_[fresh]] = handed[fresh]
        open_, beyond = open_[~fresh], beyond[~fresh]
