"""Which facing points matter: the medial axis of every polygon, pruned so that corners make no twigs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.rings import Rings, rings_of
from analyse.widths.triangulation import Triangulation

TWIG = 1.9  # a branch is real where the outline's way round it exceeds the straight way by this many radii: 0.59 at a
# right-angled corner, 1.73 at one of 60 degrees, 2.0 where a blunt end forks; samples make it vary by a tenth
ROUND_END = 1.05  # a round end's centre has 1.14: a real branch goes on so far while it grows no thinner
STEADY = 0.97  # of its last disc's radius: no thinner than this


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
    ratio = _residual(mesh, rings) / _edge_radius(mesh, radius)
    pruned = _peeled(mesh, alive, ratio >= TWIG)
    return Medial(mesh, rings, _regrown(mesh, alive, pruned, ratio, radius), centre, radius)


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
    points = mesh.boundary.points
    one = rings.find(owner[real], mesh.edges[real, 0], points[mesh.edges[real, 1]], points)
    two = rings.find(owner[real], mesh.edges[real, 1], points[mesh.edges[real, 0]], points)
    arc = np.abs(rings.along[one] - rings.along[two])
    arc = np.minimum(arc, rings.length[rings.ring[one]] - arc)
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


def _regrown(
    mesh: Triangulation, whole: NDArray[np.bool_], pruned: NDArray[np.bool_], ratio: Floats, radius: Floats
) -> NDArray[np.bool_]:
    """Let ends grow again along what was stripped, as far as the centre of a round end."""
    alive = pruned.copy()
    leaves = np.flatnonzero(alive.sum(axis=1) == 1)
    least = STEADY * radius[leaves]
    while leaves.size:
        beyond = mesh.across[leaves]
        open_side = whole[leaves] & ~alive[leaves] & (radius[beyond] >= least[:, None])
        score = np.where(open_side, ratio[mesh.sides[leaves]], 0.0)
        side = score.argmax(axis=1)
        rows = np.arange(len(leaves))
        grows = score[rows, side] >= ROUND_END
        grows &= ~alive[beyond[rows, side]].any(axis=1)
        leaves, side, least, beyond = leaves[grows], side[grows], least[grows], beyond[rows, side][grows]
        alive[leaves, side] = True
        for k in range(3):
            alive[beyond[mesh.sides[beyond, k] == mesh.sides[leaves, side]], k] = True
        leaves = beyond
    return alive
