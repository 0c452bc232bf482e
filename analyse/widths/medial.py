"""Which facing points matter: the medial axis of every polygon, pruned so that corners make no twigs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.rings import Rings, rings_of
from analyse.widths.samples import Ints
from analyse.widths.triangulation import Triangulation

TWIG = 1.9  # a branch is real where the outline's way round it exceeds the straight way by this many radii: 0.59 at a
# right-angled corner, 1.73 at one of 60 degrees, 2.0 where a blunt end forks; samples make it vary by a tenth
ROUND_END = 1.05  # a round end's centre has 1.14: a real branch goes on so far while it grows no thinner
STEADY = 0.97  # of its last disc's radius: no thinner than this
TAPER_LOOK = 0.5  # radii back from its end over which a branch shows whether it tapers,
TAPERS = 0.1  # by losing this much of its radius for each unit of length
TIP = 0.45  # a branch that tapers goes on so far: an ellipse is found to the ends of its axis, and hardly farther
JITTER = 0.02  # of its radius: so far the samples may move a disc to and fro
MOST_STEPS = 64  # triangles looked back over
STRAIGHT_ON = 0.7  # cosine of the turn within which it goes on: at a corner's fork it would turn by half a right angle


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
    alive = ~mesh.wall[mesh.sides] & (mesh.across >= 0) & (mesh.owner >= 0)[:, None]
    ends = mesh.boundary.points[mesh.edges]
    chord = np.hypot(ends[:, 0, 0] - ends[:, 1, 0], ends[:, 0, 1] - ends[:, 1, 1])
    ratio = _residual(mesh, rings, chord) / _edge_radius(mesh, radius, chord)
    pruned = _peeled(mesh, alive, ratio >= TWIG)
    ended = _regrown(mesh, alive, pruned, ratio, radius)
    return Medial(mesh, rings, _tapered(mesh, alive, ended, ratio, (centre, radius)), centre, radius)


def _circumcircles(mesh: Triangulation) -> tuple[Floats, Floats]:
    x, y = (column[mesh.triangles.T] for column in np.ascontiguousarray(mesh.boundary.points.T))
    (one_x, two_x), (one_y, two_y) = x[1:] - x[0], y[1:] - y[0]
    twice = 2.0 * (one_x * two_y - one_y * two_x)
    twice[twice == 0] = 1e-12
    first, second = one_x * one_x + one_y * one_y, two_x * two_x + two_y * two_y
    off_x, off_y = (two_y * first - one_y * second) / twice, (one_x * second - two_x * first) / twice
    return np.column_stack([x[0] + off_x, y[0] + off_y]), np.hypot(off_x, off_y)


def _edge_radius(mesh: Triangulation, radius: Floats, chord: Floats) -> Floats:
    """The smaller circumradius beside each edge, no less than half the edge."""
    beside = np.minimum(radius[:, None], np.where(mesh.across >= 0, radius[mesh.across], np.inf))
    least = np.full(len(mesh.edges), np.inf)
    least[mesh.sides] = beside
    return np.asarray(np.maximum(least, chord / 2.0))


def _residual(mesh: Triangulation, rings: Rings, chord: Floats) -> Floats:
    """How much longer the outline's way between an edge's ends is than the edge (Ogniewicz and Kuebler 1995)."""
    owner = np.full(len(mesh.edges), -1)
    owner[mesh.sides] = mesh.owner[:, None]
    residual = np.zeros(len(mesh.edges))
    real = np.flatnonzero((owner >= 0) & ~mesh.wall)
    points, own = mesh.boundary.points, owner[real]
    low, high = mesh.edges[real].T
    one, two = rings.find(own, low, high, points), rings.find(own, high, low, points)
    arc = np.abs(rings.along[one] - rings.along[two])
    arc = np.minimum(arc, rings.length[rings.ring[one]] - arc)
    residual[real] = np.where(rings.ring[one] == rings.ring[two], arc - chord[real], np.inf)
    return residual


def _peeled(mesh: Triangulation, alive: NDArray[np.bool_], matters: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Strip leaves inwards, ring by ring of the tree, up to the first side that matters."""
    alive = alive.copy()
    flat, idle, twin = alive.ravel(), ~matters[mesh.sides.ravel()], mesh.twin.ravel()
    degree = alive.sum(axis=1)
    leaves = np.flatnonzero(degree == 1)
    while leaves.size:
        stripped = 3 * leaves + alive[leaves].argmax(axis=1)
        stripped = stripped[idle[stripped]]
        flat[stripped] = False
        back = twin[stripped]
        flat[back] = False
        degree[stripped // 3] = 0
        beyond = back // 3
        degree[beyond] = alive[beyond].sum(axis=1)
        leaves = np.unique(beyond[degree[beyond] == 1])
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
        _join(mesh, alive, leaves, side)
        leaves = beyond
    return alive


def _join(mesh: Triangulation, alive: NDArray[np.bool_], leaves: Ints, side: Ints) -> None:
    """Mark the leaves' sides as part of the axis, seen from both."""
    alive[leaves, side] = True
    alive.ravel()[mesh.twin[leaves, side]] = True


def _tapered(
    mesh: Triangulation,
    whole: NDArray[np.bool_],
    pruned: NDArray[np.bool_],
    ratio: Floats,
    discs: tuple[Floats, Floats],
) -> NDArray[np.bool_]:
    """Let branches that taper grow on, straight ahead and ever thinner, to where their tip is round."""
    centre, radius = discs
    alive = pruned.copy()
    leaves = np.flatnonzero(alive.sum(axis=1) == 1)
    heading, slope = _run_out(mesh, alive, leaves, discs)
    tapers = slope <= -TAPERS
    leaves, heading = leaves[tapers], heading[tapers]
    while leaves.size:
        beyond = mesh.across[leaves]
        step = centre[beyond] - centre[leaves][:, None]
        far = np.maximum(np.hypot(step[..., 0], step[..., 1]), 1e-12)
        ahead = (step * heading[:, None]).sum(axis=2) >= STRAIGHT_ON * far
        ahead |= far < JITTER * radius[leaves][:, None]
        thinner = radius[beyond] <= (1.0 + JITTER) * radius[leaves][:, None]
        open_side = whole[leaves] & ~alive[leaves] & thinner & (beyond >= 0)
        score = np.where(open_side & ahead, ratio[mesh.sides[leaves]], 0.0)
        side = score.argmax(axis=1)
        rows = np.arange(len(leaves))
        grows = (score[rows, side] >= TIP) & ~alive[beyond[rows, side]].any(axis=1)
        taken = (step[rows, side] / far[rows, side][:, None])[grows]
        weight = np.minimum(far[rows, side] / radius[leaves], 1.0)[grows]
        heading = heading[grows] + weight[:, None] * taken
        leaves, side, beyond = leaves[grows], side[grows], beyond[rows, side][grows]
        heading /= np.maximum(np.hypot(heading[:, 0], heading[:, 1]), 1e-12)[:, None]
        _join(mesh, alive, leaves, side)
        leaves = beyond
    return alive


def _run_out(
    mesh: Triangulation, alive: NDArray[np.bool_], leaves: Ints, discs: tuple[Floats, Floats]
) -> tuple[Floats, Floats]:
    """How each branch runs out at its leaf: its heading, and by how much its radius grows along it."""
    centre, radius = discs
    here, before = leaves.copy(), np.full(len(leaves), -1)
    going = np.ones(len(leaves), dtype=bool)
    degree = alive.sum(axis=1)
    for _ in range(MOST_STEPS):
        back = centre[leaves] - centre[here]
        going &= (np.hypot(back[:, 0], back[:, 1]) < TAPER_LOOK * radius[leaves]) & (degree[here] <= 2)
        if not going.any():
            break
        on = alive[here] & (mesh.across[here] != before[:, None])
        going &= on.any(axis=1)
        further = mesh.across[here, on.argmax(axis=1)]
        before = np.where(going, here, before)
        here = np.where(going, further, here)
    back = centre[leaves] - centre[here]
    length = np.hypot(back[:, 0], back[:, 1])
    long = length >= TAPER_LOOK * radius[leaves]
    slope = np.where(long, (radius[leaves] - radius[here]) / np.maximum(length, 1e-12), 0.0)
    return back / np.maximum(length, 1e-12)[:, None], slope
