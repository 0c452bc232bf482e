"""The cheapest tour through what is to be sewn in one thread: who follows whom, begun and ended at which port."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats, lock

Ints = NDArray[np.int64]
Table = list[list[float]]
STARTS, TRIED = 8, 2
"""So many beginnings are tried, and so many of the tours from them bettered."""
LONGEST_MOVED, NEAREST, ROUNDS = 3, 8, 6
"""A tour is bettered by moving up to so many neighbours, next to their nearest, in so many rounds at most."""
EVEN, DIGITS = 1e-9, 9
NONE = -1
"""What lies before the first unit and behind the last."""


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
    waits = _waits(len(units), before)
    ways = _ways(units, cost, begin, ending)
    first = np.array(ways[NONE][:-1]).reshape(-1, 2).min(axis=1)
    ready = [unit for unit in range(len(units)) if not waits[unit]]
    starts = sorted(ready, key=lambda unit: (round(float(first[unit]), DIGITS), unit))
    starts = starts[:: max(len(starts) // STARTS, 1)]
    walks = [_facing(_greedy(start, units, waits, cost), units, cost, begin, ending) for start in starts]
    best = sorted(walks, key=lambda walk: round(_costs(walk, ways), DIGITS))[:TRIED]
    walk = min((_bettered(walk, waits, ways) for walk in best), key=lambda walk: round(_costs(walk, ways), DIGITS))
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


def _greedy(start: int, units: Sequence[Unit], waits: list[int], cost: Floats) -> list[int]:
    """From a beginning always to the nearest that waits for nothing."""
    owner = np.full(len(cost), -1)
    entry = np.zeros(len(cost), np.int64)
    for number, unit in enumerate(units):
        owner[unit.entries], entry[unit.entries] = number, np.arange(len(unit.entries))
    walk, done = [start], 1 << start
    leave = units[start].inner.min(axis=0)
    while len(walk) < len(units):
        ready = np.array([not done >> unit & 1 and not waits[unit] & ~done for unit in range(len(units))])
        way = (leave[:, None] + cost[units[walk[-1]].exits]).min(axis=0)
        way[(owner < 0) | ~ready[owner]] = np.inf
        port = int(np.argmin(np.round(way, DIGITS)))
        walk.append(int(owner[port]))
        done |= 1 << walk[-1]
        leave = units[walk[-1]].inner[entry[port]]
    return walk


def _facing(walk: list[int], units: Sequence[Unit], cost: Floats, begin: Floats, end: Floats) -> list[int]:
    """The states of the units on a walk: turned round where that is how they are best passed through."""
    legs = _ported(walk, units, cost, begin, end)
    return [2 * unit + int(units[unit].passes and entry != units[unit].entries[0]) for unit, entry, _ in legs]


def _bettered(walk: list[int], waits: list[int], ways: Table) -> list[int]:
    """The walk with short runs of it moved or turned round for as long as that makes it cheaper."""
    table = np.round(np.array(ways)[:-1, :-1], DIGITS)
    table = np.minimum(np.minimum(table[::2, ::2], table[1::2, ::2]), np.minimum(table[::2, 1::2], table[1::2, 1::2]))
    np.fill_diagonal(table, np.inf)
    near = np.argsort(table, axis=1, kind="stable")[:, :NEAREST].tolist()
    for _ in range(ROUNDS):
        before = walk
        for unit in range(len(walk)):
            for other in near[unit]:
                walk = _changed(walk, unit, other, ways, waits)
        if walk == before:
            break
    return walk


def _changed(walk: list[int], unit: int, other: int, ways: Table, waits: list[int]) -> list[int]:
    """The walk, or a cheaper one in which `unit` and `other` are neighbours."""
    if unit == other:
        return walk
    units = [state // 2 for state in walk]
    here, there = units.index(unit), units.index(other)
    for changed in (*_moved(walk, here, there, ways), *_turned(walk, here, there, ways)):
        if _costs(changed, ways) < _costs(walk, ways) - EVEN and _keeps(changed, waits):
            return changed
    return walk


def _moved(walk: list[int], here: int, there: int, ways: Table) -> Iterator[list[int]]:
    """Walks with a run from `here` on moved beside `there`, where that seems cheaper."""
    for size in range(1, LONGEST_MOVED + 1):
        if here <= there < here + size or here + size > len(walk):
            continue
        run, rest = walk[here : here + size], walk[:here] + walk[here + size :]
        ahead, behind = _between(rest, here)
        gain = ways[ahead][run[0]] + ways[run[-1]][behind] - ways[ahead][behind]
        at = there if there < here else there - size
        for place in (at, at + 1):
            one, two = _between(rest, place)
            for part in (run, _back(run)):
                if ways[one][part[0]] + ways[part[-1]][two] - ways[one][two] < gain - EVEN:
                    yield rest[:place] + part + rest[place:]


def _turned(walk: list[int], here: int, there: int, ways: Table) -> Iterator[list[int]]:
    """Walks with the run between two units turned round, where that seems cheaper."""
    low, high = sorted((here, there))
    for begin, end in ((low + 1, high + 1), (low, high), (low, high + 1)):
        run, back = walk[begin:end], _back(walk[begin:end])
        one, two = _between(walk[:begin] + walk[end:], begin)
        if ways[one][back[0]] + ways[back[-1]][two] < ways[one][run[0]] + ways[run[-1]][two] - EVEN:
            yield walk[:begin] + back + walk[end:]


def _between(walk: list[int], place: int) -> tuple[int, int]:
    """What lies before a place in a walk and behind it."""
    return (walk[place - 1] if place else NONE), (walk[place] if place < len(walk) else NONE)


def _back(run: list[int]) -> list[int]:
    return [state ^ 1 for state in reversed(run)]


def _costs(walk: list[int], ways: Table) -> float:
    return sum(ways[one][two] for one, two in pairwise((NONE, *walk, NONE)))


def _keeps(walk: list[int], waits: list[int]) -> bool:
    done = 0
    for state in walk:
        if waits[state // 2] & ~done:
            return False
        done |= 1 << state // 2
    return True


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
