"""Where a point stands on an outline: every polygon's rings, followed round with the way along them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.lines import APART, measured, spread, summed
from analyse.widths.samples import Boundary, Ints

TURNS = 3  # turns of a ring over which its vertices are listed, so that a stretch may run over its end
BARELY_PX = 1e-7  # a vertex nearer to a stretch's end than this lies at the end


Complex = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, eq=False)
class Rings:
    """Samples on each polygon's rings, its inside on the left (y taken as up), by rows sorted by (polygon, point).

    keys: polygon * count + point. ring, along: ring number and way along it. site: the point; before, after: its
    neighbours; back, ahead: their rows. twice: a ring comes by here more than once.
    places: all rings' points in order as complex numbers, each ring's first repeated at its end; heading: the way on
    from each, of unit length; ways: the way to each, in one measure that runs on from ring to ring; base: where a ring
    begins in it; first, last: its first point, and its last before the first comes again. owners: its polygon.
    corners: ways of the outline's own vertices, three turns of each ring, in a measure of their own where a ring begins
    at thrice.
    """

    count: int
    keys: Ints
    ring: Ints
    along: Floats
    site: Ints
    before: Ints
    after: Ints
    back: Ints
    ahead: Ints
    twice: NDArray[np.bool_]
    places: Complex
    heading: Complex
    ways: Floats
    base: Floats
    first: Ints
    last: Ints
    owners: Ints
    length: Floats
    corners: Floats
    thrice: Floats

    def find(self, polygon: Ints, point: Ints, toward: Ints, points: Floats) -> Ints:
        """Rows of these (polygon, point) pairs; where a ring comes by twice, the time that sees the point `toward`."""
        keys = polygon * self.count + point
        rows = np.searchsorted(self.keys, keys)
        for k in np.flatnonzero(self.twice[rows]).tolist():
            last, here, seen = (
                int(np.searchsorted(self.keys, keys[k], side="right")),
                points[point[k]],
                points[toward[k]],
            )
            each = [(_turn_to(points, here, self.after[r], self.before[r], seen), r) for r in range(rows[k], last)]
            rows[k] = min(each)[1]
        return np.asarray(rows)

    def at(self, ring: Ints, way: Floats) -> Floats:
        """Points at these ways along rings; ways may run over a ring's ends."""
        inside = self.base[ring] + np.mod(way, self.length[ring])
        row = np.minimum(self.ways.searchsorted(inside, side="right") - 1, self.last[ring])
        at = self.places[row] + (inside - self.ways[row]) * self.heading[row]
        return np.asarray(at.view(np.float64).reshape(*at.shape, 2))

    def snapped(self, ring: Ints, way: Floats, near: float) -> Floats:
        """The ways within one turn, and that of the nearest sample where one lies nearer than `near`."""
        way = np.mod(way, self.length[ring])
        inside = self.base[ring] + way
        row = np.minimum(self.ways.searchsorted(inside, side="right") - 1, self.last[ring])
        low, high = self.ways[row] - self.base[ring], self.ways[row + 1] - self.base[ring]
        nearest = np.where(way - low <= high - way, low, high)
        way = np.where(np.abs(nearest - way) < near, nearest, way)
        return np.asarray(np.where(way >= self.length[ring], 0.0, way))

    def between(self, ring: Ints, start: Floats, end: Floats) -> tuple[Floats, Ints]:
        """Ways of the outline's own vertices strictly between two ways, start < end < start + the ring's length.

        Stretch after stretch in one array, and which stretch each belongs to.
        """
        shift = np.floor(start / self.length[ring]) * self.length[ring] - self.thrice[ring]
        low = self.corners.searchsorted(start - shift + BARELY_PX)
        high = self.corners.searchsorted(end - shift - BARELY_PX)
        count = np.maximum(high - low, 0)
        which = np.repeat(np.arange(len(count)), count)
        return self.corners[spread(low, count)] + shift[which], which

    def vertices(self, ring: int) -> Floats:
        """The outline's own vertices on a ring, (N, 2)."""
        length = float(self.length[ring])
        ways, _ = self.between(np.array([ring]), np.array([-2.0 * BARELY_PX]), np.array([length - 2.0 * BARELY_PX]))
        return self.at(np.full(len(ways), ring), ways)

    def turns(self, ring: Ints, way: Floats, reach: Floats) -> Floats:
        """How much the outline turns at these ways, in degrees, outward positive: read over `reach` either way."""
        before, here, after = (self.at(ring, way + step) for step in (-reach, 0.0, reach))
        one, two = here - before, after - here
        cross = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
        return np.asarray(np.degrees(np.arctan2(cross, (one * two).sum(axis=1))))

    def sharpest(self, ring: Ints, start: Floats, end: Floats, reach: Floats) -> tuple[Floats, Floats]:
        """Way and inward turn (degrees, positive) of the sharpest inward turn on each stretch, read at two scales."""
        inner, which = self.between(ring, start, end)
        order = np.argsort(
            np.concatenate([3 * np.arange(len(ring)), 3 * which + 1, 3 * np.arange(len(ring)) + 2]), kind="stable"
        )
        ways = np.concatenate([start, inner, end])[order]
        stretch = np.concatenate([np.arange(len(ring)), which, np.arange(len(ring))])[order]
        wide = -self.turns(ring[stretch], ways, reach[stretch])
        score = wide - self.turns(ring[stretch], ways, reach[stretch] / 4.0)
        best = np.lexsort((-np.arange(len(ways)), score, stretch))
        best = best[np.searchsorted(stretch[best], np.arange(len(ring)), side="right") - 1]
        return ways[best], wide[best]


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
    ahead, twice = _following(boundary.points, keys, owner * count + end, start, end)
    chains = _chains(ahead.tolist())
    size = np.array([len(chain) for chain in chains], dtype=np.int64)
    rows = np.array([row for chain in chains for row in (*chain, chain[0])], dtype=np.int64)
    places: Complex = boundary.points[start[rows]] @ np.array([1.0, 1.0j])
    steps = np.append(np.diff(places), 0.0)
    span = np.abs(steps)
    first = np.cumsum(size + 1) - size - 1
    number = np.repeat(np.arange(len(size)), size + 1)
    lines = measured(summed(span[:-1], first, number), first, number)
    own = np.ones(len(rows), dtype=bool)
    own[lines.last] = False
    ring, along = np.empty(len(keys), dtype=np.int64), np.empty(len(keys))
    ring[rows[own]], along[rows[own]] = lines.owner[own], lines.along[own]
    back = np.empty_like(ahead)
    back[ahead] = np.arange(len(ahead))
    length = np.maximum(lines.length, BARELY_PX)
    thrice = np.cumsum(TURNS * length + APART) - TURNS * length - APART
    given = own & (start[rows] < boundary.given)
    corners = np.concatenate(
        [thrice[lines.owner[given]] + lines.along[given] + k * length[lines.owner[given]] for k in range(TURNS)]
    )
    return Rings(
        count, keys, ring, along, start, start[back], end, back, ahead, twice,
        places, steps / np.maximum(span, BARELY_PX**2), lines.measure, lines.base, lines.first, lines.last - 1,
        owner[rows[lines.first]], length, np.sort(corners), thrice,
    )  # fmt: skip


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
