"""How is a shape filled with rows? In row-monotone pieces, one walk over all of them, travel under later rows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.compensation import compensated_rows, polygons
from plans.stitching.needles import RowRules, needle_points, row_rules, row_starts
from plans.stitching.pieces import Pieces, cut_pieces
from plans.stitching.rows import Frame, Ints, frame_of, picked
from plans.stitching.runs import Run, choose_sides
from plans.stitching.trails import NOTHING, chained, kept_apart, trail_of, without_long, without_short
from plans.stitching.travel import (
    inside_way,
    kept_inside,
    nearest_span,
    route,
    spans_of_way,
    stepped,
    under_row,
    way_through,
)
from plans.stitching.walk import Leg, connected, walk
from plans.values import Lay, Move, Trail


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """One connected polygon cut into rows and pieces, ready to be sewn or travelled over.

    over: the close rows that open ones lie under; ways between open rows are found along those.
    """

    shape: Polygon
    frame: Frame
    pieces: Pieces
    over: Ground | None = None


@dataclass(frozen=True, slots=True)
class FillPlan:
    """How to fill: angle_deg of the rows, spacing_mm across two lines, stitch_mm along a row, compensation, lay.

    turned: rows begin inside their edge, as the top of a fill does and open underlay rows do not.
    """

    angle_deg: float
    spacing_mm: float
    stitch_mm: float
    pull_mm: float = 0.0
    push_mm: float = 0.0
    lay: Lay = Lay.TOP
    turned: bool = True


Place = tuple[float, float] | None


def lay_fill(shape: Polygon, plan: FillPlan, trade: Trade, start: Place = None, end: Place = None) -> Trail:
    """Rows over one connected polygon, without a jump. Begins at `start` and ends near `end` where they are given."""
    return lay_ground(ground_of(shape, plan, trade, start), plan, trade, start, end)


def lay_ground(ground: Ground, plan: FillPlan, trade: Trade, start: Place = None, end: Place = None) -> Trail:
    """`lay_fill` over a ground that is cut already, for `plan` and near `start`."""
    if not len(ground.pieces.rows):
        return NOTHING
    rules = row_rules(trade, plan.stitch_mm, turned=plan.turned)
    trails: list[Trail] = []
    at = None if start is None else ground.frame.inward(start)
    for group in _in_reach(ground.pieces, at):
        runs = choose_sides(ground.pieces, _legs(ground, group, at, end), None if at is None else float(at[0]))
        trails += _sewn(ground, runs, at, rules, plan.lay, trade)
        at = trails[-1].xy[-1]
    uv = without_short(chained(trails), trade.value("stitch.never_under"))
    laid = Trail(ground.frame.outward(uv.xy), uv.move, uv.lay)
    if ground.over is not None:
        laid = kept_inside(laid, ground.shape, trade.value("travel.stitch"))
    return without_long(laid, rules.longest)


def ground_of(shape: Polygon, plan: FillPlan, trade: Trade, start: Place = None) -> Ground:
    """The shape cut for `plan`."""
    frame = frame_of(shape, plan.angle_deg, start)
    rows = compensated_rows(shape, frame, plan.spacing_mm / 2, plan.pull_mm, plan.push_mm, trade)
    rows = picked(rows, rows.high - rows.low >= trade.value("stitch.never_under"))
    return Ground(shape, frame, cut_pieces(rows))


def hidden_way(ground: Ground, start: Floats, goal: Floats, stitch_mm: float) -> Floats:
    """Points from `start` to `goal` (both included) through the ground, no step over `stitch_mm`."""
    pieces, (a, b) = ground.pieces, ground.frame.inward(np.array([start, goal]))
    spans = route(pieces, nearest_span(pieces, *a), nearest_span(pieces, *b)) if len(pieces.rows) else None
    if spans is None or shapely.covers(ground.shape, shapely.LineString([start, goal])):
        return stepped(inside_way(ground.shape, np.array([start, goal])), stitch_mm)
    uv = way_through(pieces, spans, (float(a[0]), float(a[1])), float(b[0]), stitch_mm)
    return np.concatenate([ground.frame.outward(uv[:-1]), [goal]])


def _in_reach(pieces: Pieces, at: Floats | None) -> list[set[int]]:
    """Groups of touching pieces, the one at hand first, then from top to bottom."""
    groups = list(connected(pieces))
    if at is not None and len(groups) > 1:
        near = int(pieces.piece[nearest_span(pieces, float(at[0]), float(at[1]))])
        groups.sort(key=lambda group: near not in group)
    return groups


def _legs(ground: Ground, group: set[int], at: Floats | None, end: Place) -> tuple[Leg, ...]:
    pieces = ground.pieces
    start, share = min(group), 0.0
    if at is not None:
        span = nearest_span(pieces, float(at[0]), float(at[1]))
        if int(pieces.piece[span]) in group:
            start = int(pieces.piece[span])
            share = float(pieces.rows.row[span] - pieces.rows.row[pieces.members[start][0]])
            share /= max(len(pieces.members[start]) - 1, 1)
    last = None
    if end is not None:
        last = int(pieces.piece[nearest_span(pieces, *ground.frame.inward(end))])
    return walk(pieces, group, start, share, last if last in group else None)


def _sewn(
    ground: Ground, runs: tuple[Run, ...], at: Floats | None, rules: RowRules, lay: Lay, trade: Trade
) -> list[Trail]:
    """The runs with the travel to each and under the last rows that are crossed; their rows are laid all at once."""
    sizes = np.array([len(run.spans) for run in runs])
    heads = np.cumsum(sizes) - sizes
    uv, index = _rows_sewn(ground, runs, heads, rules)
    cuts = np.searchsorted(index, [heads, heads + sizes - 1, heads + sizes]).T
    trails: list[Trail] = []
    for number, (run, (head, last, tail)) in enumerate(zip(runs, cuts.tolist(), strict=True)):
        if at is not None:
            trails.append(_arrival(ground, run.leg, at, uv[head], number == 0, trade))
        if run.crosses:
            under = under_row(uv[last - 1], uv[last], trade.value("travel.stitch"))
            trails += [trail_of(uv[head:last], Move.SEW, lay), trail_of(under, Move.TRAVEL, Lay.TRAVEL)]
            head = last  # noqa: PLW2901
        trails.append(trail_of(uv[head:tail], Move.SEW, lay))
        at = uv[tail - 1]
    return trails


def _rows_sewn(ground: Ground, runs: tuple[Run, ...], heads: Ints, rules: RowRules) -> tuple[Floats, Ints]:
    """Needle points u, v of all rows of all runs in sewing order, and the number of each one's row in that order."""
    rows = ground.pieces.rows
    spans = np.concatenate([run.spans for run in runs])
    way = np.concatenate([run.ways() for run in runs])
    low, high = rows.low[spans], rows.high[spans]
    end = np.where(way > 0, high, low)
    begin = row_starts(low, high, way, rows.pitch, rules, heads)
    begin = np.where(high - low < rules.row_shortest, end, begin)
    origin = float(rows.low.min() + rows.high.max()) / 2
    u, index = needle_points(begin, end, rows.row[spans], origin, rules)
    return np.column_stack([u, rows.v[spans][index]]), index


def _arrival(ground: Ground, leg: Leg, at: Floats, goal: Floats, first: bool, trade: Trade) -> Trail:
    """The travel from `at` to the first needle point of a leg, both left out (`at` itself begins a first leg)."""
    pieces, stitch = ground.pieces, trade.value("travel.stitch")
    if ground.over is not None:
        ends = ground.frame.outward(np.array([at, goal]))
        way = ground.frame.inward(hidden_way(ground.over, ends[0], ends[1], stitch))
        return trail_of(way[1:-1], Move.TRAVEL, Lay.TRAVEL)
    start = nearest_span(pieces, float(at[0]), float(at[1])) if first else None
    if start is not None and int(pieces.piece[start]) != leg.way[0][0]:
        ends = ground.frame.outward(np.array([at, goal]))
        path = ground.frame.inward(stepped(inside_way(ground.shape, ends), stitch))
        return trail_of(path[1:-1], Move.TRAVEL, Lay.TRAVEL)
    spans = spans_of_way(pieces, leg.way, start)
    path = way_through(pieces, spans, (float(at[0]), float(at[1])), float(goal[0]), stitch)
    keep = kept_apart(path, trade.value("stitch.shortest_shaped"))
    path = path[keep][0 if first else 1 : -1]
    return trail_of(path, Move.TRAVEL, Lay.TRAVEL)


def fill_parts(shape: Polygon | MultiPolygon) -> list[Polygon]:
    """The connected polygons of a shape, largest first."""
    return sorted(polygons(shape), key=lambda part: -part.area)
