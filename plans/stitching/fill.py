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
from plans.stitching.pieces import TOP, Pieces, cut_pieces
from plans.stitching.rows import Frame, Ints, frame_of, picked
from plans.stitching.trails import NOTHING, chained, kept_apart, trail_of
from plans.stitching.travel import nearest_span, route, spans_of_way, stepped, way_through
from plans.stitching.walk import Leg, connected, walk
from plans.values import Lay, Move, Trail


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """One connected polygon cut into rows and pieces, ready to be sewn or travelled over."""

    shape: Polygon
    frame: Frame
    pieces: Pieces
    pitch_mm: float


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
    ground = ground_of(shape, plan, trade, start)
    if not len(ground.pieces.rows):
        return NOTHING
    rules = row_rules(trade, plan.stitch_mm, turned=plan.turned)
    trails: list[Trail] = []
    at = None if start is None else ground.frame.inward(start)
    for group in _in_reach(ground.pieces, at):
        legs = _legs(ground, group, at, end)
        for number, leg in enumerate(legs):
            trails.append(_sewn_leg(ground, leg, at, number == 0, rules, plan.lay, trade))
            at = trails[-1].xy[-1]
    uv = chained(trails)
    return Trail(ground.frame.outward(uv.xy), uv.move, uv.lay)


def ground_of(shape: Polygon, plan: FillPlan, trade: Trade, start: Place = None) -> Ground:
    """The shape cut for `plan`."""
    frame = frame_of(shape, plan.angle_deg, start)
    rows = compensated_rows(shape, frame, plan.spacing_mm / 2, plan.pull_mm, plan.push_mm, trade)
    rows = picked(rows, rows.high - rows.low >= trade.value("stitch.never_under"))
    return Ground(shape, frame, cut_pieces(rows), plan.spacing_mm / 2)


def hidden_way(ground: Ground, start: Floats, goal: Floats, stitch_mm: float) -> Floats:
    """Points from `start` to `goal` (both included) through the ground, no step over `stitch_mm`."""
    pieces, (a, b) = ground.pieces, ground.frame.inward(np.array([start, goal]))
    spans = route(pieces, nearest_span(pieces, *a), nearest_span(pieces, *b)) if len(pieces.rows) else None
    if spans is None or shapely.covers(ground.shape, shapely.LineString([start, goal])):
        return stepped(np.array([start, goal]), stitch_mm)
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


def _sewn_leg(
    ground: Ground, leg: Leg, at: Floats | None, first: bool, rules: RowRules, lay: Lay, trade: Trade
) -> Trail:
    pieces, rows = ground.pieces, ground.pieces.rows
    spans: Ints = pieces.members[leg.piece] if leg.entry == TOP else pieces.members[leg.piece][::-1]
    low, high = rows.low[spans], rows.high[spans]
    near_high = at is not None and abs(high[0] - at[0]) < abs(low[0] - at[0])
    way = np.where((np.arange(len(spans)) % 2 == 0) != near_high, 1, -1)
    end = np.where(way > 0, high, low)
    begin = row_starts(low, high, way, rows.pitch, rules)
    begin = np.where(high - low < rules.row_shortest, end, begin)
    origin = float(rows.low.min() + rows.high.max()) / 2
    u, index = needle_points(begin, end, rows.row[spans], origin, rules)
    sewn = _cleaned(np.column_stack([u, rows.v[spans][index]]), rules, trade)
    here = trail_of(sewn, Move.SEW, lay)
    if at is None:
        return here
    return chained([_arrival(ground, leg, at, sewn[0], first, trade), here])


def _arrival(ground: Ground, leg: Leg, at: Floats, goal: Floats, first: bool, trade: Trade) -> Trail:
    """The travel from `at` to the first needle point of a leg, both left out (`at` itself begins a first leg)."""
    pieces, stitch = ground.pieces, trade.value("travel.stitch")
    start = nearest_span(pieces, float(at[0]), float(at[1])) if first else None
    spans = spans_of_way(pieces, leg.way, start)
    path = way_through(pieces, spans, (float(at[0]), float(at[1])), float(goal[0]), stitch)
    keep = kept_apart(path, trade.value("stitch.shortest_shaped"))
    path = path[keep][0 if first else 1 : -1]
    return trail_of(path, Move.TRAVEL, Lay.TRAVEL)


def _cleaned(uv: Floats, rules: RowRules, trade: Trade) -> Floats:
    """No stitch too short, no turn along a slanting edge too long."""
    uv = uv[kept_apart(uv, trade.value("stitch.never_under"))]
    return stepped(uv, rules.longest) if len(uv) > 1 else uv


def fill_parts(shape: Polygon | MultiPolygon) -> list[Polygon]:
    """The connected polygons of a shape, largest first."""
    return sorted(polygons(shape), key=lambda part: -part.area)
