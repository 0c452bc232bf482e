"""How is one sewing laid? Underlay, hidden travel, top: from what was planned to its needle points."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.columns import lay_columns
from plans.stitching.dot import dot_points, is_dot
from plans.stitching.fill import lay_ground
from plans.stitching.ground import FillPlan, Place, begun_at, fill_parts, ground_of
from plans.stitching.guides import bent_back, guide_along, laid_out, widest_stretch
from plans.stitching.joins import gap_move
from plans.stitching.needles import row_rules
from plans.stitching.running import run_network
from plans.stitching.trails import NOTHING, begun, chained, trail_of, without_long, without_short
from plans.stitching.underlay import fill_underlay, linked
from plans.values import Lay, Move, Sewing, Trail


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
    laid = {"fill": _lay_fills, "column": lay_columns, "running": _lay_lines}[sewing.kind](sewing, trade, start, end)
    return without_short(begun(laid), max(sewing.shortest_mm, trade.value("stitch.never_under")))


def _usual_spacing(sewing: Sewing, trade: Trade) -> float:
    widths = [spine.line[:, 2] for spine in sewing.spines]
    if sewing.kind != "column" or not widths:
        return float(trade.value("fill.spacing"))
    return float(trade.value("column.spacing", width_mm=float(np.median(np.concatenate(widths)))))


def _lay_guided(sewing: Sewing, line: Floats, trade: Trade, start: Place, end: Place) -> Trail:
    """A fill whose rows turn with a guide: laid over the shape as it is straightened along it, then bent back."""
    plain, guide = replace(sewing, guide=None), guide_along(line)
    flat = laid_out(sewing.shape, guide)
    if flat is None:
        return _lay_fills(plain, trade, start, end)
    spread = max(widest_stretch(flat, guide) / trade.value("column.bend_outer"), 1.0)
    places = [None if place is None else tuple(guide.straightened([place])[0].tolist()) for place in (start, end)]
    straight = replace(plain, shape=flat, spacing_mm=sewing.spacing_mm / spread, spines=())
    laid = bent_back(_lay_fills(straight, trade, places[0], places[1]), guide)
    laid = without_short(laid, trade.value("stitch.never_under"))
    return without_long(laid, trade.range("fill.stitch")[1])


def _lay_fills(sewing: Sewing, trade: Trade, start: Place, end: Place) -> Trail:
    if sewing.guide is not None:
        return _lay_guided(sewing, sewing.guide, trade, start, end)
    plan = FillPlan(
        sewing.angle_deg or 0.0,
        sewing.spacing_mm,
        sewing.stitch_mm or trade.value("fill.stitch"),
        sewing.pull_mm,
        sewing.push_mm,
        shortest_mm=sewing.shortest_mm,
    )
    longest = row_rules(trade, plan.stitch_mm).longest
    trails: list[Trail] = []
    at = start
    for part in fill_parts(sewing.shape):
        ground = ground_of(part, plan, trade, at)
        own: list[Trail] = []
        here = at
        for layer in sewing.underlay:
            own.append(linked(ground, own, fill_underlay(ground, sewing, layer, here, trade), trade))
            here = _place(own, here)
        ground = begun_at(ground, plan, trade, here)
        own.append(linked(ground, own, lay_ground(ground, plan, trade, here, end), trade))
        own_trail = without_long(chained(own), longest)
        if trails and len(own_trail.xy):
            own_trail = begun(own_trail, gap_move(np.array([at, own_trail.xy[0]]), trade))
        trails.append(begun(own_trail) if not trails else own_trail)
        at = _place(trails, at)
    return chained(trails)


def _place(trails: list[Trail], otherwise: Place) -> Place:
    laid = [one for one in trails if len(one.xy)]
    return (float(laid[-1].xy[-1][0]), float(laid[-1].xy[-1][1])) if laid else otherwise


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
