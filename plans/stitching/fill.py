"""How is a shape filled with rows? In row-monotone pieces, one walk over all of them, travel under later rows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.ground import FillPlan, Ground, Place, entered, ground_of, span_at
from plans.stitching.needles import RowRules, needle_points, row_rules, row_starts
from plans.stitching.pieces import BOTTOM, TOP, Pieces
from plans.stitching.runs import Run, choose_sides
from plans.stitching.trails import NOTHING, chained, kept_apart, trail_of, without_long, without_short
from plans.stitching.travel import nearest_span, spans_of_way, stepped, under_row, way_across, way_through
from plans.stitching.walk import Leg, Node, connected, walk
from plans.values import Lay, Move, Trail

SPECK_MM2 = 0.5  # what hangs on a fill by less than a row and is smaller than this is not worth the way to it


def lay_fill(shape: Polygon, plan: FillPlan, trade: Trade, start: Place = None, end: Place = None) -> Trail:
    """Rows over one connected polygon, without a jump. Begins at `start` and ends near `end` where they are given."""
    return lay_ground(ground_of(shape, plan, trade, start), plan, trade, start, end)


def lay_ground(ground: Ground, plan: FillPlan, trade: Trade, start: Place = None, end: Place = None) -> Trail:
    """`lay_fill` over a ground that is cut already, for `plan` and near `start`."""
    if not len(ground.pieces.rows):
        return NOTHING
    rules = row_rules(trade, plan.stitch_mm, turned=plan.turned, shortest_mm=plan.shortest_mm)
    trails: list[Trail] = []
    at = None if start is None else ground.frame.inward(entered(ground.shape, start))
    groups = _groups(ground.pieces, plan.spacing_mm / 2)
    for group, after in zip(groups, [*groups[1:], None], strict=True):
        leave = None if after is None else _towards(ground.pieces, group, after)
        legs = _legs(ground, group, at, end if after is None else None, leave)
        runs = choose_sides(ground.pieces, legs, None if at is None else float(at[0]))
        trails += _sewn(ground, runs, at, rules, plan.lay, trade)
        at = trails[-1].xy[-1]
    uv = without_short(chained(trails), trade.value("stitch.never_under"))
    laid = Trail(ground.frame.outward(uv.xy), uv.move, uv.lay)
    return without_long(laid, rules.longest)


def _groups(pieces: Pieces, pitch_mm: float) -> list[set[int]]:
    """Groups of touching pieces, the largest last, so that the ways to the others lie under it; specks left out."""
    sizes = np.bincount(pieces.piece, pieces.rows.high - pieces.rows.low) * pitch_mm
    groups = sorted(connected(pieces), key=lambda group: (sum(sizes[i] for i in group), min(group)))
    return [group for group in groups[:-1] if sum(sizes[i] for i in group) > SPECK_MM2] + groups[-1:]


def _towards(pieces: Pieces, group: set[int], after: set[int]) -> Node:
    """The piece and end of a group that lie nearest to the group sewn after it: the way there has no rows to come."""
    nodes = [(piece, end) for piece in sorted(group) for end in (TOP, BOTTOM)]
    spans, others = np.array([pieces.end_span(*node) for node in nodes]), np.flatnonzero(_in(pieces, after))
    rows = pieces.rows
    low, high, v = (column[spans][:, None] for column in (rows.low, rows.high, rows.v_of(np.arange(len(rows)))))
    aside = np.maximum(np.maximum(rows.low[others] - high, low - rows.high[others]), 0.0)
    gaps = np.hypot(aside, rows.v_of(others) - v).min(axis=1)
    return nodes[int(np.argmin(gaps))]


def _in(pieces: Pieces, group: set[int]) -> NDArray[np.bool_]:
    return np.isin(pieces.piece, list(group))


def _legs(ground: Ground, group: set[int], at: Floats | None, end: Place, leave: Node | None = None) -> tuple[Leg, ...]:
    """The legs of a group from `at` on, ended near `end` or at the end `leave` of a piece."""
    pieces = ground.pieces
    start, share = min(group), 0.0
    if at is not None:
        among = np.flatnonzero(_in(pieces, group))
        span = span_at(ground, at, among)
        start = int(pieces.piece[span])
        share = float(pieces.rows.row[span] - pieces.rows.row[pieces.members[start][0]])
        share /= max(len(pieces.members[start]) - 1, 1)
    last = None
    if end is not None:
        last = int(pieces.piece[nearest_span(pieces, *ground.frame.inward(end))])
    return walk(pieces, group, start, share, last if last in group else None, leave)


def _sewn(
    ground: Ground, runs: tuple[Run, ...], at: Floats | None, rules: RowRules, lay: Lay, trade: Trade
) -> list[Trail]:
    """The runs with the travel to each and under the last rows that are crossed; their rows are laid all at once."""
    uv, heads, lasts = rows_sewn(ground, runs, rules)
    trails: list[Trail] = []
    for number, (run, head, last, tail) in enumerate(zip(runs, heads, lasts, [*heads[1:], len(uv)], strict=True)):
        if at is not None:
            trails.append(_arrival(ground, run.leg, at, uv[head], number == 0, trade))
        trails += _run_sewn(run, uv[head:last], uv[last:tail], lay, trade)
        at = trails[-1].xy[-1]
    return trails


def _run_sewn(run: Run, before: Floats, last: Floats, lay: Lay, trade: Trade) -> list[Trail]:
    """The rows `before` the last one and that `last` one, with the travel under it where the run ends elsewhere."""
    stitch = trade.value("travel.stitch")
    if run.crosses:
        under = under_row(before[-1], last[0], stitch)
        return [
            trail_of(before, Move.SEW, lay),
            trail_of(under, Move.TRAVEL, Lay.TRAVEL),
            trail_of(last, Move.SEW, lay),
        ]
    if run.back_to is None:
        return [trail_of(np.concatenate([before, last]), Move.SEW, lay)]
    turn = np.array([[run.back_to, last[0, 1]]])
    beyond = (last[:, 0] > run.back_to) == (last[-1, 0] > run.back_to)
    apart = np.abs(last[:, 0] - run.back_to) >= trade.value("stitch.shortest_shaped")
    out, back = np.vstack([before, last[~beyond & apart], turn]), np.vstack([last[beyond & apart][::-1], turn])
    under = stepped(np.vstack([turn, back[:1]]), stitch)[1:-1]
    return [trail_of(out, Move.SEW, lay), trail_of(under, Move.TRAVEL, Lay.TRAVEL), *_arrived(back, lay)]


def _arrived(back: Floats, lay: Lay) -> list[Trail]:
    """Points sewn back from a place that was travelled to."""
    return [trail_of(back[:1], Move.TRAVEL, Lay.TRAVEL), trail_of(back[1:], Move.SEW, lay)]


def rows_sewn(ground: Ground, runs: tuple[Run, ...], rules: RowRules) -> tuple[Floats, list[int], list[int]]:
    """Needle points u, v of all rows of all runs in sewing order; where each run and its last row begin."""
    rows = ground.pieces.rows
    sizes = np.array([len(run.spans) for run in runs])
    heads = np.cumsum(sizes) - sizes
    spans = np.concatenate([run.spans for run in runs])
    way = np.concatenate([run.ways() for run in runs])
    low, high = rows.low[spans], rows.high[spans]
    end = np.where(way > 0, high, low)
    begin = row_starts(low, high, way, rows.pitch, rules, heads)
    begin = np.where(high - low < rules.row_shortest, end, begin)
    origin = float(rows.low.min() + rows.high.max()) / 2
    u, index = needle_points(begin, end, rows.row[spans], origin, rules)
    begins, lasts = np.searchsorted(index, heads), np.searchsorted(index, heads + sizes - 1)
    return np.column_stack([u, rows.v_of(spans)[index]]), begins.tolist(), lasts.tolist()


def _arrival(ground: Ground, leg: Leg, at: Floats, goal: Floats, first: bool, trade: Trade) -> Trail:
    """The travel from `at` to the first needle point of a leg, both left out (`at` itself begins a first leg)."""
    pieces, stitch = ground.pieces, trade.value("travel.stitch")
    lead, entry = np.empty((0, 2)), None
    if first:
        entry = span_at(ground, at, pieces.members[leg.way[0][0]])
        lead = way_across(pieces, ground.in_frame, at, entry, stitch)
    begin = lead[-1] if len(lead) else at
    path = way_through(
        pieces, spans_of_way(pieces, leg.way, entry), (float(begin[0]), float(begin[1])), float(goal[0]), stitch
    )
    path = np.concatenate([lead[:-1], path])
    keep = kept_apart(path, trade.value("stitch.shortest_shaped"))
    return trail_of(path[keep][0 if first else 1 : -1], Move.TRAVEL, Lay.TRAVEL)
