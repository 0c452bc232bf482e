"""A way that does not show: through cells where thread may run, with short leaps over what lies open."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import Protocol

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.values import Floats
from plans.order.waves import NEAR_CELLS, Cell, Ints, Mask, way_inside

BUCKET = 12
"""Of the leaps between two areas that lie within so many cells the shortest is kept."""
FEW_SHUNNED = 3
"""So many cells of a way may be shunned ones before a way round them is looked for: where it begins and ends."""
EVEN = 1e-9
LEAP_COSTS, OPEN_COSTS = 8.0, 8.0
"""A leap counts as so many cells of hidden way, and each of its cells as so many: to show less is worth a detour."""


@dataclass(frozen=True, slots=True, eq=False)
class Leaps:
    """Short ways over the open: (N, 2) cells x, y where each leaves and lands, and the areas they lie in."""

    leaving: Ints
    landing: Ints
    areas: Ints
    length: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Terrain:
    """Where thread may run: areas (H, W) numbered from 1, 0 where it would show; and the leaps between them.

    nearest_area (H, W): the area nearest to each cell, off (H, W): how many cells away it is.
    """

    areas: NDArray[np.int32]
    nearest_area: NDArray[np.int32]
    off: NDArray[np.float32]
    leaps: Leaps


class Shunned(Protocol):
    """Cells that ways should keep out of: all of them as a mask, or how many of a way's."""

    @property
    def mask(self) -> Mask:
        """(H, W) all of them."""

    def count(self, way: Ints) -> int:
        """How many of the cells (N, 2) x, y of a way are among them."""


def terrain_of(unseen: Mask, leap: float, may_leap: Callable[[Ints, Ints], Mask] | None = None) -> Terrain:
    """The areas of a mask and the short ways between them, `leap` cells long at most; of those that may be gone from
    cells (N, 2) to cells (N, 2)."""
    areas = np.asarray(cv2.connectedComponents(unseen.astype(np.uint8))[1], np.int32)
    off, nearest = cv2.distanceTransformWithLabels(
        (~unseen).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5, labelType=cv2.DIST_LABEL_PIXEL
    )
    row, column = np.nonzero(unseen)
    place = np.zeros((int(nearest.max()) + 1, 2), np.int64)
    place[nearest[row, column]] = np.column_stack([column, row])
    area_of = np.zeros(len(place), np.int32)
    area_of[nearest[row, column]] = areas[row, column]
    nearest_area = area_of[nearest]
    one, two = [], []
    for a, b in ((np.s_[:, :-1], np.s_[:, 1:]), (np.s_[:-1], np.s_[1:])):
        meet = (nearest_area[a] != nearest_area[b]) & (off[a] <= leap) & (off[b] <= leap)
        one.append(place[nearest[a][meet]])
        two.append(place[nearest[b][meet]])
    leaving, landing = np.vstack(one), np.vstack(two)
    if may_leap is not None and len(leaving):
        fine = may_leap(leaving, landing)
        leaving, landing = leaving[fine], landing[fine]
    leaps = _shortest(leaving, landing, areas, leap)
    return Terrain(areas, nearest_area, np.asarray(off, np.float32), leaps)


def _shortest(one: Ints, two: Ints, areas: NDArray[np.int32], leap: float) -> Leaps:
    """Of the leaps between two areas the shortest of each neighbourhood."""
    length = np.hypot(*(one - two).T)
    fine = length <= leap
    one, two, length = one[fine], two[fine], length[fine]
    ends = np.column_stack([areas[one[:, 1], one[:, 0]], areas[two[:, 1], two[:, 0]]]).astype(np.int64)
    low, high = ends.min(axis=1), ends.max(axis=1)
    x, y = ((one + two) // (2 * BUCKET)).T
    key = ((low * (int(areas.max()) + 1) + high) << 32) + (x << 16) + y
    by_length = np.lexsort((one[:, 0], one[:, 1], length))
    _, first = np.unique(key[by_length], return_index=True)
    kept = by_length[np.sort(first)]
    return Leaps(one[kept], two[kept], ends[kept], length[kept])


def way_between(
    terrain: Terrain, start: Cell, end: Cell, most: float, leap: float, shunned: Shunned | None = None
) -> list[Ints]:
    """Ways (N, 2) of cells x, y from `start` to `end`, one behind the other, each within one area.

    Between two of them lies a leap, all leaps together `leap` cells at most; the ways together are at most `most` cells
    long. Empty where there is none. The ends are moved to the nearest cell of an area. Cells that are `shunned` are
    gone round, however long that is within `most`; where they cannot be, they count as leapt over.
    """
    begin, goal = _on_area(terrain, start), _on_area(terrain, end)
    if begin is None or goal is None:
        return []
    stations = _stations(terrain, begin, goal, most, leap)
    found = []
    shown = sum(hypot(b[0] - a[0], b[1] - a[1]) for (_, a), (b, _) in pairwise(stations))
    for first, second in stations:
        part = way_inside(terrain.areas, first, second, int(most))
        if part is None:
            return []
        if shunned is not None and shunned.count(part) > FEW_SHUNNED:
            round_it = way_inside(terrain.areas, first, second, int(most), shunned.mask)
            part = part if round_it is None else round_it
            shown += max(shunned.count(part) - 2 * NEAR_CELLS, 0)
        found.append(part)
    return found if sum(map(len, found)) <= most and shown <= leap else []


def _stations(terrain: Terrain, start: Cell, end: Cell, most: float, leap: float) -> list[tuple[Cell, Cell]]:
    """For each area on the cheapest way the cells where it is entered and left, by Dijkstra's search over leaps.

    Within an area ways count as straight. Empty where more than `leap` cells would show.
    """
    areas, leaps = terrain.areas, terrain.leaps
    if areas[start[1], start[0]] == areas[end[1], end[0]]:
        return [(start, end)]
    ends = np.array([start, end])
    round_about = np.hypot(*np.moveaxis(leaps.leaving[:, None] - ends[None], -1, 0)).sum(axis=1)
    near = np.flatnonzero(round_about <= most)
    xy = np.vstack([leaps.leaving[near], leaps.landing[near], ends])
    count, length = len(near), leaps.length[near].tolist()
    came = _dijkstra(xy, areas[xy[:, 1], xy[:, 0]], length)
    legs = list(_legs(xy, came, 2 * count + 1, count)) if came[2 * count + 1] >= 0 else []
    shown = sum(hypot(b[0] - a[0], b[1] - a[1]) for (_, a), (b, _) in pairwise(legs))
    return legs if shown <= leap else []


def _dijkstra(xy: Ints, area: Ints, length: list[float]) -> Ints:
    """For each place the one it is best come to from, -1 where none leads there; from the last but one to the last.

    The first and second half of the others are the two ends of leaps. What lies nearer to the goal is looked at first
    (Hart, Nilsson and Raphael, 1968): no way is shorter than the straight one.
    """
    count = len(length)
    begin, goal = 2 * count, 2 * count + 1
    best, came = np.full(len(xy), np.inf), np.full(len(xy), -1)
    best[begin] = 0.0
    ahead = np.hypot(*(xy - xy[goal]).T)
    inside = {number: np.flatnonzero(area == number) for number in set(area.tolist())}
    queue, done = [(float(ahead[begin]), begin)], set()
    while queue:
        _, node = heapq.heappop(queue)
        if node == goal:
            break
        if node in done:
            continue
        done.add(node)
        nodes = inside[int(area[node])]
        costs = best[node] + np.hypot(*(xy[nodes] - xy[node]).T)
        better = costs < best[nodes] - EVEN
        fresh = nodes[better]
        best[fresh], came[fresh] = costs[better], node
        for at, other in zip((best[fresh] + ahead[fresh]).tolist(), fresh.tolist(), strict=True):
            heapq.heappush(queue, (at, other))
        other = (node + count) % begin if node < begin else goal
        leapt = best[node] + LEAP_COSTS + OPEN_COSTS * length[node % count] if node < begin else np.inf
        if leapt < best[other] - EVEN:
            best[other], came[other] = leapt, node
            heapq.heappush(queue, (float(leapt + ahead[other]), other))
    return came


def _legs(xy: Ints, came: Ints, goal: int, count: int) -> Iterator[tuple[Cell, Cell]]:
    nodes = [goal]
    while came[nodes[-1]] >= 0:
        nodes.append(int(came[nodes[-1]]))
    nodes.reverse()
    begin = nodes[0]
    for before, after in pairwise(nodes):
        if before < 2 * count and after == (before + count) % (2 * count):
            yield _cell(xy[begin]), _cell(xy[before])
            begin = after
    yield _cell(xy[begin]), _cell(xy[goal])


def _cell(xy: Ints) -> Cell:
    return int(xy[0]), int(xy[1])


def _on_area(terrain: Terrain, at: Cell, reach: int = NEAR_CELLS) -> Cell | None:
    """The cell of an area nearest to `at`, looked for `reach` cells about."""
    low_x, low_y = max(at[0] - reach, 0), max(at[1] - reach, 0)
    row, column = np.nonzero(terrain.areas[low_y : at[1] + reach + 1, low_x : at[0] + reach + 1])
    if not len(row):
        return None
    off = np.hypot(row + low_y - at[1], column + low_x - at[0])
    first = int(np.argmin(off))
    return int(column[first]) + low_x, int(row[first]) + low_y


def straightened(points: Floats, tolerance_mm: float) -> Floats:
    """A way with its steps straightened as far as `tolerance_mm` lets it."""
    if len(points) < 3:
        return points
    line = shapely.LineString(points).simplify(tolerance_mm, preserve_topology=False)
    return np.asarray(shapely.get_coordinates(line))
