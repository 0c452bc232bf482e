"""Where a point stands on an outline: every polygon's rings, followed round with the way along them."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.samples import Boundary, Ints


@dataclass(frozen=True, slots=True, eq=False)
class Rings:
    """Samples on each polygon's rings, its inside on the left (y taken as up), by rows sorted by (polygon, point).

    keys: polygon * count + point. ring, along: ring number and way along it. before, after: neighbouring points;
    back, ahead: their rows. twice: a ring comes by here more than once. xy: each ring's points in order, the first
    repeated at the end; ways: the way to each; owners: its polygon; corners: ways of the outline's own vertices.
    """

    count: int
    keys: Ints
    ring: Ints
    along: Floats
    before: Ints
    after: Ints
    back: Ints
    ahead: Ints
    twice: NDArray[np.bool_]
    xy: tuple[Floats, ...]
    ways: tuple[Floats, ...]
    owners: tuple[int, ...]
    length: Floats
    corners: tuple[Floats, ...]
    _thrice: dict[int, Floats] = field(default_factory=dict)

    def find(self, polygon: Ints, point: Ints, toward: Floats, points: Floats) -> Ints:
        """Rows of these (polygon, point) pairs; where a ring comes by twice, the time that sees `toward` (N, 2)."""
        keys = polygon * self.count + point
        rows = np.searchsorted(self.keys, keys)
        for k in np.flatnonzero(self.twice[rows]).tolist():
            last = int(np.searchsorted(self.keys, keys[k], side="right"))
            here = points[point[k]]
            each = [(_turn_to(points, here, self.after[r], self.before[r], toward[k]), r) for r in range(rows[k], last)]
            rows[k] = min(each)[1]
        return np.asarray(rows)

    def at(self, ring: int, way: Floats) -> Floats:
        """Points at these ways along a ring; ways may run over its ends."""
        ways, xy = self.ways[ring], self.xy[ring]
        inside = way % ways[-1]
        row = np.minimum(ways.searchsorted(inside, side="right") - 1, len(ways) - 2)
        low, start = ways[row], xy[row]
        share = (inside - low) / (ways[row + 1] - low)
        return np.asarray(start + (xy[row + 1] - start) * share[:, None])

    def point(self, ring: int, way: float) -> tuple[float, float]:
        """One point at a way along a ring."""
        ways, xy = self.ways[ring], self.xy[ring]
        inside = way % float(ways[-1])
        row = min(bisect_right(ways, inside) - 1, len(ways) - 2)
        low, high = float(ways[row]), float(ways[row + 1])
        (x, y), (to_x, to_y) = xy[row].tolist(), xy[row + 1].tolist()
        share = (inside - low) / (high - low)
        return x + (to_x - x) * share, y + (to_y - y) * share

    def nearest_vertex(self, ring: int, way: float) -> float:
        """Way of the vertex nearest along a ring; way from 0 to its length."""
        ways = self.ways[ring]
        row = min(bisect_right(ways, way), len(ways) - 1)
        low, high = float(ways[row - 1]), float(ways[row])
        return low if way - low <= high - way else high

    def between(self, ring: int, start: float, end: float) -> Floats:
        """Ways of the outline's own vertices strictly between two ways, start < end < start + its length."""
        length = float(self.ways[ring][-1])
        if ring not in self._thrice:
            own = self.corners[ring]
            self._thrice[ring] = np.concatenate([own, own + length, own + 2.0 * length])
        shift = math.floor(start / length) * length
        first, last = self._thrice[ring].searchsorted((start - shift + 1e-7, end - shift - 1e-7)).tolist()
        return np.asarray(self._thrice[ring][first:last] + shift)

    def turns(self, ring: int, way: Floats, reach: float) -> Floats:
        """How much the outline turns at these ways, in degrees, outward positive: read over `reach` either way."""
        before, here, after = (self.at(ring, way + step) for step in (-reach, 0.0, reach))
        one, two = here - before, after - here
        cross = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
        return np.asarray(np.degrees(np.arctan2(cross, (one * two).sum(axis=1))))

    def sharpest(self, ring: int, start: float, end: float, reach: float) -> tuple[float, float]:
        """Way and inward turn (degrees, positive) of the sharpest inward turn on a stretch, read at two scales."""
        ways = np.concatenate([[start], self.between(ring, start, end), [end]])
        wide = -self.turns(ring, ways, reach)
        best = int((wide - self.turns(ring, ways, reach / 4.0)).argmax())
        return float(ways[best]), float(wide[best])


def rings_of(boundary: Boundary) -> Rings:
    """Follow every polygon's boundary round."""
    a, b = boundary.pieces[:, 0], boundary.pieces[:, 1]
    up, down = boundary.left >= 0, boundary.right >= 0
    start, end = np.append(a[up], b[down]), np.append(b[up], a[down])
    owner = np.append(boundary.left[up], boundary.right[down])
    count = len(boundary.points)
    order = np.argsort(owner * count + start, kind="stable")
    start, end, owner = start[order], end[order], owner[order]
    keys = owner * count + start
    after, twice = _following(boundary.points, keys, owner * count + end, start, end)
    step = np.hypot(*(boundary.points[end] - boundary.points[start]).T)
    chains = _chains(after.tolist())
    ring, along = np.zeros(len(keys), dtype=np.int64), np.zeros(len(keys))
    xy, ways, corners = [], [], []
    for number, chain in enumerate(chains):
        way = np.concatenate([[0.0], np.cumsum(step[chain])])
        ring[chain], along[chain] = number, way[:-1]
        xy.append(boundary.points[start[[*chain, chain[0]]]])
        ways.append(way)
        corners.append(way[:-1][start[chain] < boundary.given])
    back = np.empty_like(after)
    back[after] = np.arange(len(after))
    owners = tuple(int(owner[chain[0]]) for chain in chains)
    length = np.array([way[-1] for way in ways])
    return Rings(
        count,
        keys,
        ring,
        along,
        start[back],
        end,
        back,
        after,
        twice,
        tuple(xy),
        tuple(ways),
        owners,
        length,
        tuple(corners),
    )


def _following(points: Floats, keys: Ints, wanted: Ints, start: Ints, end: Ints) -> tuple[Ints, NDArray[np.bool_]]:
    """The row each row leads to; where several leave one point, the first clockwise from the way back."""
    after = np.minimum(np.searchsorted(keys, wanted), len(keys) - 1)
    twice = np.zeros(len(keys), dtype=bool)
    twice[1:] |= keys[1:] == keys[:-1]
    twice[:-1] |= keys[1:] == keys[:-1]
    for row in np.flatnonzero(twice[after]).tolist():
        last = int(np.searchsorted(keys, wanted[row], side="right"))
        here, back = points[end[row]], start[row]
        after[row] = min(
            (_turn_to(points, here, end[r], back, points[end[r]], clockwise=True), r) for r in range(after[row], last)
        )[1]
    return after, twice


def _turn_to(
    points: Floats, here: Floats, after: int, before: int, toward: Floats, *, clockwise: bool = False
) -> float:
    """How far outside the sector from `after` counter-clockwise to `before` a point lies (0: inside).

    clockwise: instead, the clockwise turn from `before` to the point.
    """
    out, back, aim = (
        math.atan2(float(p[1] - here[1]), float(p[0] - here[0])) for p in (points[after], points[before], toward)
    )
    if clockwise:
        return (back - aim - 1e-12) % math.tau
    sector, turn = (back - out) % math.tau, (aim - out) % math.tau
    return 0.0 if turn <= sector + 1e-9 else min(turn - sector, math.tau - turn)


def _chains(after: list[int]) -> list[list[int]]:
    seen = [False] * len(after)
    chains: list[list[int]] = []
    for first in range(len(after)):
        chain, here = [], first
        while not seen[here]:
            seen[here] = True
            chain.append(here)
            here = after[here]
        if chain:
            chains.append(chain)
    return chains
