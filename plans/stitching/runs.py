"""At which side does each piece of a fill begin? The least travel over the whole walk, none of it bare."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plans.stitching.pieces import TOP, Pieces
from plans.stitching.rows import Ints
from plans.stitching.walk import Leg

EVEN_DIGITS = 6  # ways that differ by less are even: the first stands, whichever way the shape is turned
MIDDLE_MM = 1.0  # what lies nearer to an end of a row than this is not its middle
BARE_TIMES = 10.0  # a way over rows already sewn counts as so much hidden way


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A leg with its spans in sewing order. begins_low: its first row begins at its low end.

    crosses: its last row is travelled under before it is sewn back, so that the piece ends at its other side.
    back_to: where along u its last row ends, if that is in its middle: it is sewn up to there, travelled under to its
    far end, and sewn back.
    """

    leg: Leg
    spans: Ints
    begins_low: bool
    crosses: bool = False
    back_to: float | None = None

    @property
    def ends_high(self) -> bool:
        """Whether its last row is sewn towards its high end."""
        return (self.begins_low == (len(self.spans) % 2 == 1)) != self.crosses

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
    met = [pieces.end_span(*leg.way[0]) for leg in legs]
    reach = [(float(pieces.rows.low[span]), float(pieces.rows.high[span])) for span in met]
    for leg, (low, high), beyond in zip(legs, reach, [*reach[1:], None], strict=True):
        options = [(*_ends(pieces, run), run) for run in _runs(pieces, leg, beyond)]
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


def _runs(pieces: Pieces, leg: Leg, beyond: tuple[float, float] | None) -> list[Run]:
    """Every way to sew a leg, when the row met next reaches over `beyond`."""
    members = pieces.members[leg.piece]
    spans = members if leg.entry == TOP else members[::-1]
    found: list[Run] = []
    for begins_low in (True, False):
        plain = Run(leg, spans, begins_low)
        found += [plain, Run(leg, spans, begins_low, crosses=True)] if len(spans) > 1 else [plain]
        back_to = None if beyond is None else _back_to(pieces, plain, *beyond)
        found += [] if back_to is None else [Run(leg, spans, begins_low, back_to=back_to)]
    return found


def _back_to(pieces: Pieces, run: Run, low: float, high: float) -> float | None:
    """Where the last row may end in its middle to stand beside what is met next; None where its ends do."""
    last = int(run.spans[-1])
    far = pieces.rows.high[last] if run.ends_high else pieces.rows.low[last]
    near = pieces.rows.low[last] if run.ends_high else pieces.rows.high[last]
    met = float(np.clip(far, low, high))
    inside = min(abs(met - far), abs(met - near)) > MIDDLE_MM and (met - far) * (met - near) < 0
    return met if inside else None


def _ends(pieces: Pieces, run: Run) -> tuple[float, float, float]:
    """Where a run begins and ends along u, and how far it travels under its last row."""
    rows, first, last = pieces.rows, int(run.spans[0]), int(run.spans[-1])
    begin = float(rows.low[first] if run.begins_low else rows.high[first])
    low, high = float(rows.low[last]), float(rows.high[last])
    end = high if run.ends_high else low
    if run.back_to is not None:
        return begin, run.back_to, abs(end - run.back_to)
    return begin, end, high - low if run.crosses else 0.0


def _way(exit_u: float | None, begin: float, low: float, high: float) -> float:
    if exit_u is None:
        return 0.0
    met = min(max(exit_u, low), high)
    return BARE_TIMES * abs(met - exit_u) + abs(begin - met)
