"""How is one sewing laid? Underlay, hidden travel, top: from what was planned to its needle points."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.column import stitch_lines
from plans.stitching.dot import dot_points, is_dot
from plans.stitching.fill import lay_ground
from plans.stitching.ground import FillPlan, Place, fill_parts, ground_of
from plans.stitching.joins import gap_move
from plans.stitching.running import run_network
from plans.stitching.sides import Sides, carried_on, held_back, sides_of, spine_from_shape
from plans.stitching.trails import NOTHING, begun, chained, trail_of, without_short
from plans.stitching.travel import inside_way, stepped
from plans.stitching.underlay import column_underlay, fill_underlay, linked
from plans.values import Lay, Move, Sewing, Trail

CARRY_ON_MM = 1.5  # how far a column follows its shape beyond its drawn end, where it runs under another part


def lay_sewing(sewing: Sewing, trade: Trade, *, thread: str = "40", start: Place = None, end: Place = None) -> Trail:
    """Every needle point of one sewing, without ties: underlay, hidden travel, top. Its first move is a jump.

    start, end: where it should begin and end, as near as its stitches allow. Between parts of the shape that do not
    touch it jumps. Empty where the shape holds no stitch.
    """
    if is_dot(sewing.shape, trade) and sewing.kind != "running":
        return begun(trail_of(dot_points(sewing.shape, sewing.angle_deg or 0.0, start, trade), Move.SEW, Lay.TOP))
    if not sewing.spacing_mm:
        sewing = replace(
            sewing, spacing_mm=_usual_spacing(sewing, trade) * trade.value("thread.spacing_factor", thread=thread)
        )
    laid = {"fill": _lay_fills, "column": _lay_columns, "running": _lay_lines}[sewing.kind](sewing, trade, start, end)
    return without_short(begun(laid), trade.value("stitch.never_under"))


def _usual_spacing(sewing: Sewing, trade: Trade) -> float:
    widths = [spine.line[:, 2] for spine in sewing.spines]
    if sewing.kind != "column" or not widths:
        return float(trade.value("fill.spacing"))
    return float(trade.value("column.spacing", width_mm=float(np.median(np.concatenate(widths)))))


def _lay_fills(sewing: Sewing, trade: Trade, start: Place, end: Place) -> Trail:
    plan = FillPlan(
        sewing.angle_deg or 0.0,
        sewing.spacing_mm,
        sewing.stitch_mm or trade.value("fill.stitch"),
        sewing.pull_mm,
        sewing.push_mm,
    )
    trails: list[Trail] = []
    at = start
    for part in fill_parts(sewing.shape):
        ground = ground_of(part, plan, trade, at)
        own: list[Trail] = []
        here = at
        for layer in sewing.underlay:
            own.append(linked(ground, own, fill_underlay(ground, sewing, layer, here, trade), trade))
            here = _place(own, here)
        ground = ground_of(part, plan, trade, here) if sewing.underlay else ground
        own.append(linked(ground, own, lay_ground(ground, plan, trade, here, end), trade))
        own_trail = chained(own)
        if trails and len(own_trail.xy):
            own_trail = begun(own_trail, gap_move(np.array([at, own_trail.xy[0]]), trade))
        trails.append(begun(own_trail) if not trails else own_trail)
        at = _place(trails, at)
    return chained(trails)


def _place(trails: list[Trail], otherwise: Place) -> Place:
    laid = [one for one in trails if len(one.xy)]
    return (float(laid[-1].xy[-1][0]), float(laid[-1].xy[-1][1])) if laid else otherwise


def _lay_columns(sewing: Sewing, trade: Trade, start: Place, end: Place) -> Trail:
    spines = sewing.spines or tuple(spine_from_shape(part) for part in fill_parts(sewing.shape))
    ends = sewing.closed_ends or ((False, False),) * len(spines)
    left = [(sides_of(spine), closed) for spine, closed in zip(spines, ends, strict=True) if len(spine.line) > 1]
    trails: list[Trail] = []
    at = np.asarray(start if start is not None else left[0][0].middle[0] if left else (0.0, 0.0), float)
    while left:
        best = min(range(len(left)), key=lambda i: _off(left[i][0], at))
        sides, closed = left.pop(best)
        if not sides.closed and _nearer(sides, at):
            sides, closed = sides.reversed(), closed[::-1]
        one = _column(sewing, sides, closed, at, end if not left else None, trade)
        trails.append(_joined(sewing, trails, one, trade))
        at = trails[-1].xy[-1]
    return chained(trails)


def _nearer(sides: Sides, place: Floats | tuple[float, float]) -> int:
    """Which end of a run lies nearer to a place: 0 its start, 1 its end."""
    return int(np.argmin(np.hypot(*(sides.middle[[0, -1]] - np.asarray(place)).T)))


def _off(sides: Sides, at: Floats) -> float:
    ends = sides.middle if sides.closed else sides.middle[[0, -1]]
    return float(np.hypot(*(ends - at).T).min())


def _column(
    sewing: Sewing, sides: Sides, closed_ends: tuple[bool, bool], at: Floats, end: Place, trade: Trade
) -> Trail:
    """One run: underlay out (and back, if it is to end at its far end), then the top."""
    sides = carried_on(sides, sewing.shape, CARRY_ON_MM)
    outer = sides.inset(-(sewing.widen_mm + sewing.pull_mm))
    runs: list[Floats] = [column_underlay(sides, layer, trade) for layer in sewing.underlay]
    if runs and end is not None and not sides.closed and _nearer(sides, end) == _nearer(sides, runs[-1][-1]):
        runs.append(runs[-1][::-1])
    here = runs[-1][-1] if runs else at
    if not sides.closed:
        outer = held_back(outer, *(0.0 if closed else sewing.push_mm for closed in closed_ends))
        outer = outer.reversed() if _nearer(outer, here) else outer
    left_first = bool(np.hypot(*(outer.left[0] - here)) <= np.hypot(*(outer.right[0] - here)))
    top = stitch_lines(outer, sewing.spacing_mm, trade, start_left=left_first, longest_mm=sewing.stitch_mm)
    return chained([*(trail_of(run, Move.SEW, Lay.UNDERLAY) for run in runs), trail_of(top, Move.SEW, Lay.TOP)])


def _joined(sewing: Sewing, before: list[Trail], trail: Trail, trade: Trade) -> Trail:
    """`trail` with its way from the one before: travel inside the shape, else a jump."""
    laid = [one for one in before if len(one.xy)]
    if not laid or not len(trail.xy):
        return begun(trail)
    ends = np.array([laid[-1].xy[-1], trail.xy[0]])
    within = [part for part in fill_parts(sewing.shape) if (shapely.distance(part, shapely.points(ends)) < 1.0).all()]
    if not within:
        return begun(trail, gap_move(ends, trade))
    return chained(
        [
            trail_of(stepped(inside_way(within[0], ends), trade.value("travel.stitch"))[1:-1], Move.TRAVEL, Lay.TRAVEL),
            trail,
        ]
    )


def _lay_lines(sewing: Sewing, trade: Trade, start: Place, end: Place) -> Trail:
    if not sewing.spines:
        return NOTHING
    stitch = sewing.stitch_mm or trade.value("running.stitch")
    at = np.asarray(start if start is not None else sewing.spines[0].line[0, :2], float)
    goal = None if end is None else np.asarray(end, float)
    trails: list[Trail] = []
    for points in run_network(sewing.spines, stitch, max(sewing.passes, 1), trade, at, goal):
        move = gap_move(np.array([trails[-1].xy[-1], points[0]]), trade) if trails else Move.JUMP
        trails.append(begun(trail_of(points, Move.SEW, Lay.TOP), move))
    return chained(trails)
