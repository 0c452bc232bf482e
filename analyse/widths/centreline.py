"""Where each stroke runs and how wide it is there: the pruned axis as branches, put right to the exact outline."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analyse.values import Floats
from analyse.widths.medial import Medial
from analyse.widths.samples import Ints
from analyse.widths.triangulation import nearest_on

ROUNDS = 3  # Newton steps; each squares an error that starts at a hundredth of the width


@dataclass(frozen=True, slots=True, eq=False)
class Branch:
    """One run of the axis between ends and junctions.

    polygon: which outline. axis (N, 3): x, y, width; left, right (N, 2): where its discs touch the outline, in order
    along both sides. ends: the nodes (triangles) it runs between, equal and -1 for a closed ring.
    """

    polygon: int
    axis: Floats
    left: Floats
    right: Floats
    ends: tuple[int, int]

    @property
    def closed(self) -> bool:
        """Whether it runs round without an end or a junction."""
        return self.ends == (-1, -1)


def branches_of(medial: Medial) -> tuple[Branch, ...]:
    """Every branch of every polygon's pruned axis; polygons whose axis is a point have none."""
    return tuple(_branch(medial, *walk) for walk in _walks(medial))


def _walks(medial: Medial) -> list[tuple[list[int], list[int], tuple[int, int]]]:
    """Runs of triangles and the sides crossed between them, from node to node, then the closed rings."""
    degree = medial.alive.sum(axis=1)
    nodes = np.flatnonzero((degree == 1) | (degree == 3)).tolist()
    alive, across = medial.alive.tolist(), medial.mesh.across.tolist()
    sides, level = medial.mesh.sides.tolist(), degree.tolist()
    seen: set[int] = set()
    walks = []

    def walk(start: int, k: int) -> tuple[list[int], list[int]]:
        here, triangles, crossed = start, [start], []
        while True:
            edge = sides[here][k]
            seen.add(edge)
            crossed.append(edge)
            here = across[here][k]
            triangles.append(here)
            if level[here] != 2 or here == start:
                return triangles, crossed
            k = next(j for j in range(3) if alive[here][j] and sides[here][j] != edge)

    for node in nodes:
        for k in range(3):
            if alive[node][k] and sides[node][k] not in seen:
                triangles, crossed = walk(node, k)
                walks.append((triangles, crossed, (node, triangles[-1])))
    for node in np.flatnonzero(degree == 2).tolist():
        for k in range(3):
            if alive[node][k] and sides[node][k] not in seen:
                triangles, crossed = walk(node, k)
                walks.append((triangles, crossed, (-1, -1)))
                break
    return walks


def _branch(medial: Medial, triangles: list[int], crossed: list[int], ends: tuple[int, int]) -> Branch:
    mesh = medial.mesh
    polygon = int(mesh.owner[triangles[0]])
    pairs = _left_first(medial, np.array(triangles), np.array(crossed))
    axis, left, right = _put_right(medial, polygon, pairs)
    return Branch(polygon, axis, left, right, ends)


def _left_first(medial: Medial, triangles: Ints, crossed: Ints) -> Ints:
    """The two sites of each crossed side, that on the left hand (as seen, y down) first."""
    mesh = medial.mesh
    sides = mesh.sides[triangles[:-1]]
    k = (sides == crossed[:, None]).argmax(axis=1)
    corner = mesh.triangles[triangles[:-1]]
    rows = np.arange(len(k))
    # out of a counter-clockwise triangle (y up) across side k, corner k+1 is on the right hand: the left with y down
    return np.column_stack([corner[rows, (k + 1) % 3], corner[rows, (k + 2) % 3]])


def _put_right(medial: Medial, polygon: int, pairs: Ints) -> tuple[Floats, Floats, Floats]:
    """Axis points at equal distance from the outline's two sides themselves, not only from its samples."""
    points, rings = medial.mesh.boundary.points, medial.rings
    windows = [_window(medial, rings.find(np.full(len(pairs), polygon), pairs[:, s]), pairs[:, s]) for s in (0, 1)]
    at = points[pairs].mean(axis=1)
    for _ in range(ROUNDS):
        left, right = _touch(at, points, windows[0]), _touch(at, points, windows[1])
        to_left, to_right = left - at, right - at
        far_left, far_right = np.hypot(*to_left.T), np.hypot(*to_right.T)
        lean = to_left / np.maximum(far_left, 1e-9)[:, None] - to_right / np.maximum(far_right, 1e-9)[:, None]
        share = (far_left - far_right) / np.maximum((lean * lean).sum(axis=1), 1e-6)
        at = at + lean * share[:, None]
    left, right = _touch(at, points, windows[0]), _touch(at, points, windows[1])
    width = np.hypot(*(left - at).T) + np.hypot(*(right - at).T)
    return np.column_stack([at, width]), left, right


def _window(medial: Medial, rows: Ints, sites: Ints) -> Ints:
    rings = medial.rings
    return np.column_stack([rings.before[rows], sites, rings.after[rows]])


def _touch(at: Floats, points: Floats, window: Ints) -> Floats:
    one = nearest_on(at, points[window[:, 0]], points[window[:, 1]])
    two = nearest_on(at, points[window[:, 1]], points[window[:, 2]])
    nearer = np.hypot(*(one - at).T) <= np.hypot(*(two - at).T)
    return np.where(nearer[:, None], one, two)
