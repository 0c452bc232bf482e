"""The cheapest tour through what is to be sewn in one thread: who follows whom, begun and ended at which port."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats, lock
from plans.order.bettering import DIGITS, EVEN, NONE, Table, bettered, costs_of

Ints = NDArray[np.int64]
STARTS, TRIED = 8, 2
"""So many beginnings are tried, and so many of the tours from them bettered."""


@dataclass(frozen=True, slots=True, eq=False)
class Unit:
    """What is sewn in one go. entries, exits: ports, indices into the cost table; inner (E, X): the cost of entering
    at one and leaving by the other, inf where that cannot be."""

    entries: Ints
    exits: Ints
    inner: Floats

    def __post_init__(self) -> None:
        lock(self, "entries", "exits", "inner")

    @property
    def passes(self) -> bool:
        """Whether it has two ends and is left at the one it was not entered at."""
        return self.inner.shape == (2, 2) and bool(np.isinf(self.inner[0, 0]) and np.isinf(self.inner[1, 1]))

    def ways(self) -> tuple[Unit, Unit]:
        """As it is passed through from its first end, and from its other; itself where it has no two ends."""
        if not self.passes:
            return self, self
        first, last = (0, 1), (1, 0)
        one, two = (
            Unit(self.entries[[a]], self.exits[[b]], self.inner[[a]][:, [b]]) for a, b in zip(first, last, strict=True)
        )
        return one, two


Leg = tuple[int, int, int]
"""A unit with the ports it is entered and left by."""


def tour(
    units: Sequence[Unit], before: Iterable[tuple[int, int]], cost: Floats, begin: Floats, end: Floats | None = None
) -> list[Leg]:
    """All units in a cheap order that keeps `before`, with their ports. Deterministic; about n^2.

    cost: (M, M) of ways from port to port. begin, end: (M,) cost of beginning at a port and of ending at one.
    """
    if not units:
        return []
    ending = np.zeros(len(cost)) if end is None else end
    if len(units) == 1:
        return _ported([0], units, cost, begin, ending)
    waits = _waits(len(units), before)
    ways = _ways(units, cost, begin, ending)
    first = np.array(ways[NONE][:-1]).reshape(-1, 2).min(axis=1)
    ready = [unit for unit in range(len(units)) if not waits[unit]]
    starts = sorted(ready, key=lambda unit: (round(float(first[unit]), DIGITS), unit))
    starts = starts[:: max(len(starts) // STARTS, 1)]
    walks = [_facing(walk, ways) for walk in _greedy(starts, units, waits, cost)]
    best = sorted(walks, key=lambda walk: round(costs_of(walk, ways), DIGITS))[:TRIED]
    walk = min((bettered(walk, waits, ways) for walk in best), key=lambda walk: round(costs_of(walk, ways), DIGITS))
    return _ported([state // 2 for state in walk], units, cost, begin, ending)


def _ways(units: Sequence[Unit], cost: Floats, begin: Floats, end: Floats) -> Table:
    """Least costs from unit to unit, 2 u as it is, 2 u + 1 turned round; last from the beginning, and to the end."""
    states = [state for unit in units for state in unit.ways()]
    entries, exits = (np.concatenate([one.entries for one in states]), np.concatenate([one.exits for one in states]))
    from_entry = np.cumsum([0, *(len(one.entries) for one in states[:-1])])
    from_exit = np.cumsum([0, *(len(one.exits) for one in states[:-1])])
    least = np.minimum.reduceat(np.minimum.reduceat(cost[np.ix_(exits, entries)], from_exit), from_entry, axis=1)
    whole = np.zeros((len(states) + 1, len(states) + 1))
    whole[:-1, :-1] = least
    whole[-1, :-1] = np.minimum.reduceat(begin[entries], from_entry)
    whole[:-1, -1] = np.minimum.reduceat(end[exits], from_exit)
    table: Table = whole.tolist()
    return table


def _waits(count: int, before: Iterable[tuple[int, int]]) -> list[int]:
    """For each unit those it waits for, as bits."""
    found = [0] * count
    for first, second in before:
        found[second] |= 1 << first
    return found


def _greedy(starts: Sequence[int], units: Sequence[Unit], waits: list[int], cost: Floats) -> list[list[int]]:
    """From each beginning always to the nearest that waits for nothing: a walk for each, all made at once."""
    owner, onward = np.full(len(cost), NONE), np.full(cost.shape, np.inf)
    for number, unit in enumerate(units):
        owner[unit.entries] = number
        onward[unit.entries] = (unit.inner[:, :, None] + cost[None, unit.exits]).min(axis=1)
    onward = np.round(onward, DIGITS)
    frees = np.array([[bits >> unit & 1 for bits in waits] for unit in range(len(units))])
    waiting = np.tile(frees.sum(axis=0), (len(starts), 1))
    last, every = np.array(starts), np.arange(len(starts))
    way, walks = np.stack([onward[units[start].entries].min(axis=0) for start in starts]), [last]
    while len(walks) < len(units):
        waiting -= frees[last]
        waiting[every, last] = 2 * len(units)  # sewn: whatever is freed later, it is not taken again
        port = np.argmin(np.where((owner >= 0) & (waiting[:, owner] == 0), way, np.inf), axis=1)
        last, way = owner[port], onward[port]
        walks.append(last)
    found: list[list[int]] = np.stack(walks, axis=1).tolist()
    return found


def _facing(walk: list[int], ways: Table) -> list[int]:
    """The states of the units on a walk: turned round where that is how they are best passed through."""
    came: list[tuple[int, int]] = []
    costs = ways[NONE][2 * walk[0]], ways[NONE][2 * walk[0] + 1]
    for one, two in pairwise(walk):
        plain, turned = ways[2 * one], ways[2 * one + 1]
        by = [(costs[0] + plain[state], costs[1] + turned[state]) for state in (2 * two, 2 * two + 1)]
        came.append((int(by[0][1] < by[0][0] - EVEN), int(by[1][1] < by[1][0] - EVEN)))
        costs = min(by[0]), min(by[1])
    last = walk[-1]
    turn = int(costs[1] + ways[2 * last + 1][NONE] < costs[0] + ways[2 * last][NONE] - EVEN)
    states = [2 * last + turn]
    for unit, turns in zip(walk[-2::-1], came[::-1], strict=True):
        turn = turns[turn]
        states.append(2 * unit + turn)
    return states[::-1]


def _ported(walk: list[int], units: Sequence[Unit], cost: Floats, begin: Floats, end: Floats) -> list[Leg]:
    """The walk with the cheapest ports, by dynamic programming."""
    arrive = begin[units[walk[0]].entries]
    came: list[tuple[Ints, Ints]] = []
    for number, unit in enumerate(walk):
        through = arrive[:, None] + units[unit].inner
        entered = np.argmin(np.round(through, DIGITS), axis=0)
        leave = through[entered, np.arange(through.shape[1])]
        if number + 1 == len(walk):
            break
        ways = leave[:, None] + cost[units[unit].exits[:, None], units[walk[number + 1]].entries[None, :]]
        left = np.argmin(np.round(ways, DIGITS), axis=0)
        came.append((entered, left))
        arrive = ways[left, np.arange(ways.shape[1])]
    out = int(np.argmin(np.round(leave + end[units[walk[-1]].exits], DIGITS)))
    legs: list[Leg] = []
    for number in range(len(walk) - 1, -1, -1):
        entry = int(entered[out])
        legs.append((walk[number], int(units[walk[number]].entries[entry]), int(units[walk[number]].exits[out])))
        if number:
            entered, left = came[number - 1]
            out = int(left[entry])
    return legs[::-1]
