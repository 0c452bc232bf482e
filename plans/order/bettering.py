"""How is a walk through units made cheaper? Short runs of it are moved or turned round, for as long as that helps.

A walk is a list of states: 2 u is unit u as it is, 2 u + 1 the same turned round.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

Table = list[list[float]]
"""Least costs from state to state; the last row from the beginning, the last column to the end."""
LONGEST_MOVED, NEAREST, ROUNDS = 3, 8, 6
"""Up to so many neighbours are moved, next to their nearest, in so many rounds at most."""
EVEN, DIGITS = 1e-9, 9
NONE = -1
"""What lies before the first unit and behind the last."""


def bettered(walk: list[int], waits: list[int], ways: Table) -> list[int]:
    """The walk with short runs of it moved or turned round for as long as that makes it cheaper.

    waits: for each unit those it waits for, as bits; kept.
    """
    table = np.round(np.array(ways)[:-1, :-1], DIGITS)
    table = np.minimum(np.minimum(table[::2, ::2], table[1::2, ::2]), np.minimum(table[::2, 1::2], table[1::2, 1::2]))
    np.fill_diagonal(table, np.inf)
    near = np.argsort(table, axis=1, kind="stable")[:, :NEAREST].tolist()
    place = _places(walk)
    for _ in range(ROUNDS):
        before = walk
        for unit in range(len(walk)):
            for other in near[unit]:
                changed = walk if unit == other else _changed(walk, place[unit], place[other], ways, waits)
                if changed is not walk:
                    walk, place = changed, _places(changed)
        if walk == before:
            break
    return walk


def _places(walk: list[int]) -> list[int]:
    """Where on a walk each unit stands."""
    place = [0] * len(walk)
    for number, state in enumerate(walk):
        place[state // 2] = number
    return place


def _changed(walk: list[int], here: int, there: int, ways: Table, waits: list[int]) -> list[int]:
    """The walk itself, or a cheaper one in which those that stand `here` and `there` are neighbours."""
    closed = [NONE, *walk, NONE]
    for begin, end, at, back in (*_moves(closed, here, there, ways), *_turns(closed, here, there, ways)):
        run, rest = walk[begin:end], walk[:begin] + walk[end:]
        changed = rest[:at] + (_back(run) if back else run) + rest[at:]
        if costs_of(changed, ways) < costs_of(walk, ways) - EVEN and _keeps(changed, waits):
            return changed
    return walk


Change = tuple[int, int, int, bool]
"""What makes a walk cheaper, as it seems: first and behind of a run, where in the rest it belongs, if turned round."""


def _moves(closed: list[int], here: int, there: int, ways: Table) -> Iterator[Change]:
    """Changes that move a run from `here` on beside `there`. closed: the walk with NONE before it and behind."""
    for end in range(here + 1, min(here + LONGEST_MOVED, len(closed) - 2) + 1):
        if here <= there < end:
            continue
        ahead, first, last, behind = closed[here], closed[here + 1], closed[end], closed[end + 1]
        gain = ways[ahead][first] + ways[last][behind] - ways[ahead][behind]
        size = end - here
        for at in (there, there + 1) if there < here else (there - size, there - size + 1):
            one = closed[at] if at <= here else closed[at + size]
            two = closed[at + 1] if at < here else closed[at + size + 1]
            for back, to, off in ((False, first, last), (True, last ^ 1, first ^ 1)):
                if ways[one][to] + ways[off][two] - ways[one][two] < gain - EVEN:
                    yield here, end, at, back


def _turns(closed: list[int], here: int, there: int, ways: Table) -> Iterator[Change]:
    """Changes that turn the run between two units round."""
    low, high = sorted((here, there))
    for begin, end in ((low + 1, high + 1), (low, high), (low, high + 1)):
        one, first, last, two = closed[begin], closed[begin + 1], closed[end], closed[end + 1]
        if ways[one][last ^ 1] + ways[first ^ 1][two] < ways[one][first] + ways[last][two] - EVEN:
            yield begin, end, begin, True


def _back(run: list[int]) -> list[int]:
    return [state ^ 1 for state in reversed(run)]


def costs_of(walk: list[int], ways: Table) -> float:
    """What a walk costs from the beginning to the end."""
    return sum(ways[one][two] for one, two in pairwise((NONE, *walk, NONE)))


def _keeps(walk: list[int], waits: list[int]) -> bool:
    done = 0
    for state in walk:
        if waits[state // 2] & ~done:
            return False
        done |= 1 << state // 2
    return True
