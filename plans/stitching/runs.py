"""At which side does each piece of a fill begin? The least travel over the whole walk, none of it bare."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from plans.stitching.pieces import TOP, Pieces
from plans.stitching.rows import Ints
from plans.stitching.walk import Leg

EVEN_DIGITS = 6  # ways that differ by less are even: the first stands, whichever way the shape is turned
BARE_TIMES = 10.0  # a way over rows already sewn counts as so much hidden way


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A leg with its spans in sewing order. begins_low: its first row begins at its low end.

    crosses: its last row is travelled under before it is sewn back, so that the piece ends at its other side.
    """

    leg: Leg
    spans: Ints
    begins_low: bool
    crosses: bool

    def ways(self) -> Ints:
        """+1 or -1 for each row: the way it is sewn along u."""
        way = np.where((np.arange(len(self.spans)) % 2 == 0) == self.begins_low, 1, -1)
        if self.crosses:
            way[-1] *= -1
        return way


def choose_sides(pieces: Pieces, legs: tuple[Leg, ...], at_u: float | None) -> tuple[Run, ...]:
    """The legs with the sides that make the least travel in all, begun at `at_u`; by dynamic programming."""
    chosen: list[list[tuple[float, int, Run]]] = []
    before: list[tuple[float, float | None]] = [(0.0, at_u)]
    for leg in legs:
        met = pieces.end_span(*leg.way[0])
        low, high = float(pieces.rows.low[met]), float(pieces.rows.high[met])
        options = [(*_ends(pieces, run), run) for run in _runs(pieces, leg)]
        ranked: list[tuple[float, int, Run]] = []
        for begin, _, under, run in options:
            ways = [round(cost + _way(exit_u, begin, low, high), EVEN_DIGITS) for cost, exit_u in before]
            least = int(np.argmin(ways))
            ranked.append((round(ways[least] + under, EVEN_DIGITS), least, run))
        chosen.append(ranked)
        before = [(cost, end) for (cost, _, _), (_, end, _, _) in zip(ranked, options, strict=True)]
    return _traced(chosen)


def _traced(chosen: list[list[tuple[float, int, Run]]]) -> tuple[Run, ...]:
    runs: list[Run] = []
    index = min(range(len(chosen[-1])), key=lambda i: chosen[-1][i][0]) if chosen else 0
    for ranked in reversed(chosen):
        _, came, run = ranked[index]
        runs.append(run)
        index = came
    return tuple(reversed(runs))


def _runs(pieces: Pieces, leg: Leg) -> list[Run]:
    members = pieces.members[leg.piece]
    spans = members if leg.entry == TOP else members[::-1]
    crossing = (False, True) if len(spans) > 1 else (False,)
    return [Run(leg, spans, low, cross) for low, cross in product((True, False), crossing)]


def _ends(pieces: Pieces, run: Run) -> tuple[float, float, float]:
    """Where a run begins and ends along u, and how far it travels under its last row."""
    rows, first, last = pieces.rows, int(run.spans[0]), int(run.spans[-1])
    begin = rows.low[first] if run.begins_low else rows.high[first]
    ends_high = (run.begins_low == (len(run.spans) % 2 == 1)) != run.crosses
    low, high = float(rows.low[last]), float(rows.high[last])
    return float(begin), high if ends_high else low, high - low if run.crosses else 0.0


def _way(exit_u: float | None, begin: float, low: float, high: float) -> float:
    if exit_u is None:
        return 0.0
    met = min(max(exit_u, low), high)
    return BARE_TIMES * abs(met - exit_u) + abs(begin - met)
