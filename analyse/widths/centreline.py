"""Where each stroke runs and how wide it is there: the pruned axis as branches, put right to the exact outline."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.medial import Medial
from analyse.widths.rings import Rings
from analyse.widths.samples import Ints
from analyse.widths.triangulation import nearest_on

ROUNDS = 5  # Newton steps; each squares an error that starts at a hundredth of the width, or goes a sample along
SETTLED = 1e-9  # of the width: a point so equally far from both sides is not moved on
LEAST_STEP = 0.1
END = (-1, -1)


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """Where one side of a run lies on the outline: ring (N,) and way along it (N,), row by row of the axis."""

    ring: Ints
    way: Floats

    def turned(self) -> Side:
        """The same from the other end."""
        return Side(self.ring[::-1], self.way[::-1])

    def advance(self, rings: Rings) -> Floats:
        """Way gone from the first row to each: along the outline, straight where it changes rings."""
        points = self.points(rings)
        straight = np.hypot(*np.diff(points, axis=0).T)
        steps = np.where(self.ring[1:] == self.ring[:-1], np.abs(np.diff(self.way)), straight)
        return np.concatenate([[0.0], np.cumsum(steps)])

    def points(self, rings: Rings) -> Floats:
        """As points, (N, 2)."""
        if (self.ring == self.ring[0]).all():
            return rings.at(int(self.ring[0]), self.way)
        points = np.empty((len(self.way), 2))
        for ring in np.unique(self.ring).tolist():
            own = self.ring == ring
            points[own] = rings.at(ring, self.way[own])
        return points


@dataclass(frozen=True, slots=True, eq=False)
class Branch:
    """One run of the axis between ends and junctions.

    polygon: which outline. axis (N, 3): x, y, width. left, right: where its discs touch the outline; as the run goes,
    ways on the left (as seen, y down) rise and on the right fall. ends: the nodes it runs between, (-1, -1) for a ring.
    """

    polygon: int
    axis: Floats
    left: Side
    right: Side
    ends: tuple[int, int]

    @property
    def closed(self) -> bool:
        """Whether it runs round without an end or a junction."""
        return self.ends == END

    @property
    def length(self) -> float:
        """Length of the axis in px."""
        return float(np.hypot(*np.diff(self.axis[:, :2], axis=0).T).sum())

    def turned(self) -> Branch:
        """The same from the other end."""
        return Branch(self.polygon, self.axis[::-1], self.right.turned(), self.left.turned(), self.ends[::-1])


def branches_of(medial: Medial) -> tuple[Branch, ...]:
    """Every branch of every polygon's pruned axis; polygons whose axis is a point have none."""
    walks = _walks(medial)
    if not walks:
        return ()
    triangles = np.concatenate([walk[0][:-1] for walk in walks])
    crossed = np.concatenate([walk[1] for walk in walks])
    bounds = np.cumsum([0, *(len(walk[1]) for walk in walks)]).tolist()
    pairs, owner = _left_first(medial, triangles, crossed), medial.mesh.owner[triangles]
    axis, sides = _put_right(medial, owner, pairs)
    return tuple(
        _branch(medial.rings, int(owner[low]), axis[low:high], [side[:, low:high] for side in sides], walk[2])
        for low, high, walk in zip(bounds[:-1], bounds[1:], walks, strict=True)
    )


def _walks(medial: Medial) -> list[tuple[list[int], list[int], tuple[int, int]]]:
    """Runs of triangles and the sides crossed between them, from node to node, then the closed rings."""
    degree = medial.alive.sum(axis=1)
    nodes = np.flatnonzero((degree == 1) | (degree == 3)).tolist()
    middle = np.flatnonzero(degree == 2).tolist()
    across = np.where(medial.alive, medial.mesh.across, -1).tolist()
    sides, level = medial.mesh.sides.tolist(), degree.tolist()
    seen: set[int] = set()
    walks = []
    for node in nodes + middle:
        for k in range(3):
            if across[node][k] < 0 or sides[node][k] in seen:
                continue
            triangles, crossed = _walk(node, k, across, sides, level)
            seen.update(crossed)
            closed = level[node] == 2
            walks.append((triangles, crossed, END if closed else (node, triangles[-1])))
    return walks


def _walk(
    start: int, k: int, across: list[list[int]], sides: list[list[int]], level: list[int]
) -> tuple[list[int], list[int]]:
    here, triangles, crossed = start, [start], []
    while True:
        edge = sides[here][k]
        crossed.append(edge)
        here = across[here][k]
        triangles.append(here)
        if level[here] != 2 or here == start:
            return triangles, crossed
        beyond, own = across[here], sides[here]
        k = 0 if beyond[0] >= 0 and own[0] != edge else 1 if beyond[1] >= 0 and own[1] != edge else 2


def _left_first(medial: Medial, triangles: Ints, crossed: Ints) -> Ints:
    """The two sites of each crossed side, that on the left hand (as seen, y down) first."""
    mesh = medial.mesh
    k = (mesh.sides[triangles] == crossed[:, None]).argmax(axis=1)
    corner = mesh.triangles[triangles]
    rows = np.arange(len(k))
    # out of a counter-clockwise triangle (y up) across side k, corner k+1 is on the right hand: the left with y down
    return np.column_stack([corner[rows, (k + 1) % 3], corner[rows, (k + 2) % 3]])


def _put_right(medial: Medial, owner: Ints, pairs: Ints) -> tuple[Floats, list[Floats]]:
    """Axis points at equal distance from the outline's two sides themselves, not only from its samples.

    Returns x, y, width, and for either side (2, N): ring and way of the touching points.
    """
    points, rings = medial.mesh.boundary.points, medial.rings
    rows = [rings.find(owner, pairs[:, s], points[pairs[:, 1 - s]], points) for s in (0, 1)]
    at = points[pairs].mean(axis=1)
    moving = np.arange(len(at))
    for _ in range(ROUNDS):
        one, two = (_touch(at[moving], rings, row[moving], points) for row in rows)
        rows[0][moving], rows[1][moving] = one[2], two[2]
        to_left, to_right = one[0] - at[moving], two[0] - at[moving]
        far_left, far_right = _length(to_left), _length(to_right)
        lean = to_left / np.maximum(far_left, 1e-9)[:, None] - to_right / np.maximum(far_right, 1e-9)[:, None]
        share = (far_left - far_right) / np.maximum(lean[:, 0] ** 2 + lean[:, 1] ** 2, 1e-6)
        at[moving] += lean * share[:, None]
        moving = moving[np.abs(far_left - far_right) > SETTLED * (far_left + far_right)]
    touching = [_touch(at, rings, row, points) for row in rows]
    width = sum(_length(point - at) for point, _, _ in touching)
    sides = [np.vstack([rings.ring[row], rings.along[row] + t[1]]) for row, t in zip(rows, touching, strict=True)]
    return np.column_stack([at, width]), sides


def _touch(at: Floats, rings: Rings, row: Ints, points: Floats) -> tuple[Floats, Floats, Ints]:
    """Nearest point on the two pieces beside a site, its way from the site, and the row of the nearest site."""
    before, site, after = points[rings.before[row]], points[rings.after[rings.back[row]]], points[rings.after[row]]
    one, two = nearest_on(at, before, site), nearest_on(at, site, after)
    nearer: NDArray[np.bool_] = _length(one - at) <= _length(two - at)
    point = np.where(nearer[:, None], one, two)
    off = _length(point - site)
    other = np.where(nearer[:, None], before, after)
    beyond = _length(point - other) < off
    return (
        point,
        np.where(nearer, -off, off),
        np.where(beyond, np.where(nearer, rings.back[row], rings.ahead[row]), row),
    )


def _length(vectors: Floats) -> Floats:
    return np.asarray(np.hypot(vectors[:, 0], vectors[:, 1]))


def _branch(rings: Rings, polygon: int, axis: Floats, sides: list[Floats], ends: tuple[int, int]) -> Branch:
    left, right = (_steady(rings, side, sign) for side, sign in zip(sides, (1.0, -1.0), strict=True))
    rows = _spaced(axis)
    return Branch(
        polygon, axis[rows], Side(left.ring[rows], left.way[rows]), Side(right.ring[rows], right.way[rows]), ends
    )


def _spaced(axis: Floats) -> Ints:
    """Rows no nearer to each other than LEAST_STEP widths, both ends kept: nearer ones only add the samples' jitter."""
    run = axis[1:, :2] - axis[:-1, :2]
    number = np.zeros(len(axis))
    (np.hypot(run[:, 0], run[:, 1]) / np.maximum(LEAST_STEP * axis[1:, 2], 1e-9)).cumsum(out=number[1:])
    whole = np.floor(number)
    kept = np.append(True, whole[1:] > whole[:-1])
    kept[-1] = True
    return np.flatnonzero(kept)


def _steady(rings: Rings, side: Floats, sign: float) -> Side:
    """The side's ways without wrapping round the ring, and never turning back."""
    ring = side[0].astype(np.int64)
    length = rings.length[ring[0]]
    turns = np.zeros(len(ring))
    np.round((side[1][1:] - side[1][:-1]) / -length).cumsum(out=turns[1:])
    return Side(ring, np.asarray(sign * np.maximum.accumulate(sign * (side[1] + turns * length))))
