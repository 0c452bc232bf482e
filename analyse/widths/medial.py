"""Which facing points matter: the medial axis of every polygon, pruned so that corners make no twigs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.samples import Boundary, Ints
from analyse.widths.triangulation import Triangulation

TWIG = 1.05  # a branch is real from where the outline's way round it exceeds the straight way by this many radii:
# 0.59 at a right-angled corner, 1.14 at the centre of a round end, 2.0 where a blunt end forks


@dataclass(frozen=True, slots=True, eq=False)
class Rings:
    """Where the samples stand on each polygon's rings, by (polygon, point).

    keys: sorted polygon * N + point. ring, along, length: ring number, way along it, the ring's whole length.
    before, after: the neighbouring points along the ring.
    """

    count: int
    keys: Ints
    ring: Ints
    along: Floats
    length: Floats
    before: Ints
    after: Ints

    def find(self, polygon: Ints, point: Ints) -> Ints:
        """Rows of these (polygon, point) pairs."""
        return np.asarray(np.searchsorted(self.keys, polygon * self.count + point))


def rings_of(boundary: Boundary) -> Rings:
    """Follow every polygon's boundary round, its inside on the left (y taken as up)."""
    a, b = boundary.pieces[:, 0], boundary.pieces[:, 1]
    up, down = boundary.left >= 0, boundary.right >= 0
    start, end = np.append(a[up], b[down]), np.append(b[up], a[down])
    owner = np.append(boundary.left[up], boundary.right[down])
    count = len(boundary.points)
    order = np.argsort(owner * count + start, kind="stable")
    start, end, owner = start[order], end[order], owner[order]
    keys = owner * count + start
    after = np.minimum(np.searchsorted(keys, owner * count + end), len(keys) - 1)
    step = np.hypot(*(boundary.points[end] - boundary.points[start]).T)
    ring, along, length = _followed(after.tolist(), step)
    before = start.copy()
    before[after] = start
    return Rings(count, keys, ring, along, length, before, end)


def _followed(after: list[int], step: Floats) -> tuple[Ints, Floats, Floats]:
    ring = [-1] * len(after)
    chains: list[list[int]] = []
    for first in range(len(after)):
        chain, here = [], first
        while ring[here] < 0:
            ring[here] = len(chains)
            chain.append(here)
            here = after[here]
        if chain:
            chains.append(chain)
    along, length = np.zeros(len(after)), np.zeros(len(after))
    for chain in chains:
        reach = np.cumsum(step[chain])
        along[chain] = reach - step[chain]
        length[chain] = reach[-1]
    return np.array(ring, dtype=np.int64), along, length


@dataclass(frozen=True, slots=True, eq=False)
class Medial:
    """The pruned axis: alive (T, 3), which sides of a triangle the axis crosses; radius (T,) of its circumcircle."""

    mesh: Triangulation
    rings: Rings
    alive: NDArray[np.bool_]
    centre: Floats
    radius: Floats


def medial_axis(mesh: Triangulation) -> Medial:
    """The medial axis of every polygon at once, leaves stripped down to where they matter."""
    rings = rings_of(mesh.boundary)
    centre, radius = _circumcircles(mesh)
    inner = ~mesh.wall & (np.bincount(mesh.sides.ravel(), minlength=len(mesh.edges)) == 2)
    alive = inner[mesh.sides] & (mesh.owner >= 0)[:, None]
    matters = _residual(mesh, rings) >= TWIG * _edge_radius(mesh, radius)
    return Medial(mesh, rings, _peeled(mesh, alive, matters), centre, radius)


def _circumcircles(mesh: Triangulation) -> tuple[Floats, Floats]:
    a, b, c = np.moveaxis(mesh.boundary.points[mesh.triangles], 1, 0)
    one, two = b - a, c - a
    twice = 2.0 * (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    first, second = (one * one).sum(axis=1), (two * two).sum(axis=1)
    x = (two[:, 1] * first - one[:, 1] * second) / np.where(twice == 0, 1e-12, twice)
    y = (one[:, 0] * second - two[:, 0] * first) / np.where(twice == 0, 1e-12, twice)
    offset = np.column_stack([x, y])
    return a + offset, np.hypot(x, y)


def _edge_radius(mesh: Triangulation, radius: Floats) -> Floats:
    """The smaller circumradius beside each edge, no less than half the edge."""
    least = np.full(len(mesh.edges), np.inf)
    np.minimum.at(least, mesh.sides.ravel(), np.repeat(radius, 3))
    chord = np.hypot(*(mesh.boundary.points[mesh.edges[:, 0]] - mesh.boundary.points[mesh.edges[:, 1]]).T)
    return np.asarray(np.maximum(least, chord / 2.0))


def _residual(mesh: Triangulation, rings: Rings) -> Floats:
    """How much longer the outline's way between an edge's ends is than the edge (Ogniewicz and Kuebler 1995)."""
    owner = np.full(len(mesh.edges), -1)
    owner[mesh.sides.ravel()] = np.repeat(mesh.owner, 3)
    residual = np.zeros(len(mesh.edges))
    real = np.flatnonzero((owner >= 0) & ~mesh.wall)
    one = rings.find(owner[real], mesh.edges[real, 0])
    two = rings.find(owner[real], mesh.edges[real, 1])
    arc = np.abs(rings.along[one] - rings.along[two])
    arc = np.minimum(arc, rings.length[one] - arc)
    ends = mesh.boundary.points[mesh.edges[real]]
    chord = np.hypot(*(ends[:, 0] - ends[:, 1]).T)
    residual[real] = np.where(rings.ring[one] == rings.ring[two], arc - chord, np.inf)
    return residual


def _peeled(mesh: Triangulation, alive: NDArray[np.bool_], matters: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Strip leaves inwards, ring by ring of the tree, up to the first side that matters."""
    alive = alive.copy()
    degree = alive.sum(axis=1)
    leaves = np.flatnonzero(degree == 1)
    while leaves.size:
        side = alive[leaves].argmax(axis=1)
        idle = ~matters[mesh.sides[leaves, side]]
        leaves, side = leaves[idle], side[idle]
        beyond = mesh.across[leaves, side]
        edge = mesh.sides[leaves, side]
        alive[leaves, side] = False
        for k in range(3):
            alive[beyond[mesh.sides[beyond, k] == edge], k] = False
        touched = np.unique(np.append(beyond, leaves))
        degree[touched] = alive[touched].sum(axis=1)
        leaves = touched[degree[touched] == 1]
    return alive
