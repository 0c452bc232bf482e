"""In which order are a sewing's columns sewn, and from which end? Each begins where the last one ended."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.column import column_rules
from plans.stitching.compensation import polygons as polygons_of
from plans.stitching.curves import lengths
from plans.stitching.ground import Place
from plans.stitching.joins import gap_move
from plans.stitching.prepared import Column, Run, Wear, begun_near, columns_of, run_of, spines_from
from plans.stitching.sides import Sides, held_back
from plans.stitching.trails import NOTHING, begun, chained, trail_of
from plans.stitching.travel import inside_way, stepped
from plans.stitching.underlay import run_rules
from plans.values import Lay, Move, Sewing, Trail

NEAR_MM = 0.15  # a needle point that lies no further outside a polygon than this and its compensation belongs to it
END_MM = 0.5  # a run along the middle keeps this far from the ends


def lay_columns(sewing: Sewing, trade: Trade, start: Place, end: Place) -> Trail:
    """All columns of one sewing, the nearest next, each with its underlay and the way to it."""
    polygons = polygons_of(sewing.shape)
    spines, tuck = sewing.spines or spines_from(sewing.shape), trade.value("column.tuck")
    columns = columns_of(spines, sewing.shape, sewing.closed_ends, tuck)
    if not columns:
        return NOTHING
    rules, stitch = column_rules(trade, sewing.stitch_mm, sewing.shortest_mm), run_rules(trade)
    grown, spacing = sewing.widen_mm + sewing.pull_mm, _spacing(sewing, columns)
    wear = Wear(grown, sewing.push_mm, spacing, sewing.underlay, rules, stitch)
    ends = np.array([column.sides.ends for column in columns])
    left = np.ones(len(columns), bool)
    at = np.asarray(start if start is not None else ends[0, 0], float)
    trails: list[Trail] = []
    while left.any():
        number, from_end = _nearest(ends, left, at)
        left[number] = False
        run = run_of(begun_near(columns[number], at), wear)
        one = _sewn(run, from_end, at, _goal(run.column, ends[left], end), trade)
        trails.append(_joined(sewing, polygons, trails, one, trade))
        at = trails[-1].xy[-1]
    return chained(trails)


def _spacing(sewing: Sewing, columns: tuple[Column, ...]) -> float:
    """The spacing asked for; where stitches across are shorter than the cloth bears, so open that they slant enough."""
    width = 2 * (sewing.widen_mm + sewing.pull_mm)
    width += float(np.median(np.concatenate([column.sides.widths for column in columns])))
    return max(sewing.spacing_mm, 2.0 * float(np.sqrt(max(sewing.shortest_mm**2 - width**2, 0.0))))


def _nearest(ends: Floats, left: np.ndarray[tuple[int], np.dtype[np.bool_]], at: Floats) -> tuple[int, bool]:
    """The column left whose end lies nearest, and whether that is its far end."""
    index = np.flatnonzero(left)
    gaps = np.hypot(*np.moveaxis(ends[index] - at, -1, 0))
    row, side = np.unravel_index(int(np.argmin(gaps)), gaps.shape)
    return int(index[row]), bool(side)


def _goal(column: Column, others: Floats, end: Place) -> int | None:
    """The end to finish at, 0 or 1: the one nearer to the next column, or to `end` behind the last; None: either."""
    if column.sides.closed or (not len(others) and end is None):
        return None
    places = others.reshape(-1, 2) if len(others) else np.array([end], float)
    own = column.sides.ends
    gaps = np.hypot(*np.moveaxis(own[:, None] - places[None], -1, 0)).min(axis=1)
    whole = float(lengths(column.sides.middle).sum())
    return int(gaps[1] < gaps[0]) if abs(gaps[1] - gaps[0]) > whole / 2 else None


def _sewn(run: Run, from_end: bool, at: Floats, goal: int | None, trade: Trade) -> Trail:
    """One run: its underlay out, and back if the top is to end at the far end; then the top."""
    sides = run.column.sides
    runs = list(run.under(from_end and not sides.closed))
    here = runs[-1][-1] if runs else at
    if goal is not None and sides.nearer_end(here) == goal:
        runs.append(runs[-1][::-1] if runs and sides.nearer_end(runs[-1][0]) != goal else _crossing(sides, here, trade))
        here = runs[-1][-1]
    top = run.top(here)
    if runs and len(top):
        far = np.hypot(*(runs[-1] - top[0]).T) >= trade.value("stitch.shortest_shaped")
        runs[-1] = runs[-1][: int(np.flatnonzero(far)[-1]) + 1] if far.any() else runs[-1][:0]
    return chained([*(trail_of(one, Move.SEW, Lay.UNDERLAY) for one in runs), trail_of(top, Move.SEW, Lay.TOP)])


def _crossing(sides: Sides, here: Floats, trade: Trade) -> Floats:
    """A run along the middle from the end at hand to the other."""
    middle = sides.middle[::-1] if sides.nearer_end(here) else sides.middle
    ends = held_back(Sides(middle, middle, closed=False), END_MM, END_MM).middle
    return stepped(ends[:: max(len(ends) // 8, 1)], trade.value("running.stitch"))


def _joined(sewing: Sewing, polygons: list[Polygon], before: list[Trail], trail: Trail, trade: Trade) -> Trail:
    """`trail` with its way from the one before: travel inside the shape, else a jump or a trim."""
    laid = [one for one in before if len(one.xy)]
    if not laid or not len(trail.xy):
        return begun(trail)
    ends = np.array([laid[-1].xy[-1], trail.xy[0]])
    reach = sewing.widen_mm + sewing.pull_mm + NEAR_MM
    within = [part for part in polygons if (shapely.distance(part, shapely.points(ends)) < reach).all()]
    if not within:
        return begun(trail, gap_move(ends, trade))
    way = stepped(inside_way(within[0], ends), trade.value("travel.stitch"))
    return chained([trail_of(way[1:-1], Move.TRAVEL, Lay.TRAVEL), begun(trail, Move.SEW)])
