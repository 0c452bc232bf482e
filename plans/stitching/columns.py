"""In which order are a sewing's columns sewn, and from which end? Each begins where the last one ended."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.column import stitch_lines
from plans.stitching.curves import along, lengths
from plans.stitching.ground import Place, fill_parts
from plans.stitching.joins import gap_move
from plans.stitching.sides import Sides, carried_on, held_back, sides_of, spine_from_shape
from plans.stitching.trails import NOTHING, begun, chained, trail_of
from plans.stitching.travel import inside_way, stepped
from plans.stitching.underlay import column_underlay
from plans.values import Lay, Move, Sewing, Trail

CARRY_ON_MM = 1.5  # how far a column follows its shape beyond its drawn end, where it runs under another part
TUCK_MM = 0.3  # how far an end runs under the next run of the same sewing
MET_STEP = 3  # every so many samples of a run are looked at for what meets it
NEAR_MM = 0.15  # a needle point that lies no further outside a polygon than this and its compensation belongs to it
EVEN_MM = 1e-6  # ways that differ by less are even
END_MM = 0.5  # a run along the middle keeps this far from the ends


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One run to be sewn: its sides, and whether its start and its end are closed by another part."""

    sides: Sides
    closed_ends: tuple[bool, bool]

    def reversed(self) -> Column:
        """The same run from its other end."""
        return Column(self.sides.reversed(), self.closed_ends[::-1])


def lay_columns(sewing: Sewing, trade: Trade, start: Place, end: Place) -> Trail:
    """All columns of one sewing, the nearest next, each with its underlay and the way to it."""
    polygons = fill_parts(sewing.shape)
    columns = _columns(sewing, polygons)
    if not columns:
        return NOTHING
    ends = np.array([column.sides.ends for column in columns])
    left = np.ones(len(columns), bool)
    at = np.asarray(start if start is not None else ends[0, 0], float)
    trails: list[Trail] = []
    while left.any():
        number, from_end = _nearest(ends, left, at)
        left[number] = False
        column = columns[number].reversed() if from_end and not columns[number].sides.closed else columns[number]
        one = _sewn(sewing, column, at, _goal(column, ends[left], end), trade)
        trails.append(_joined(sewing, polygons, trails, one, trade))
        at = trails[-1].xy[-1]
    return chained(trails)


def _columns(sewing: Sewing, polygons: list[Polygon]) -> list[Column]:
    """The runs, carried on where the shape goes on beyond them, and tucked under where another run meets them."""
    spines = sewing.spines or tuple(spine_from_shape(part) for part in polygons)
    closed = sewing.closed_ends or ((False, False),) * len(spines)
    kept = [(sides_of(spine), ends) for spine, ends in zip(spines, closed, strict=True) if len(spine.line) > 1]
    met = _met([sides for sides, _ in kept])
    shapely.prepare(sewing.shape)
    found = []
    for (sides, ends), meets in zip(kept, met, strict=True):
        ways = tuple(TUCK_MM if one else CARRY_ON_MM for one in meets)
        closed_here = (ends[0] or meets[0], ends[1] or meets[1])
        found.append(Column(carried_on(sides, sewing.shape, (ways[0], ways[1])), closed_here))
    return found


def _met(runs: list[Sides]) -> list[tuple[bool, bool]]:
    """Whether each run's start and end lie on another run of the same sewing, or on itself further along."""
    middle = np.concatenate([run.middle[::MET_STEP] for run in runs])
    half = np.concatenate([run.widths[::MET_STEP] for run in runs]) / 2
    ways = [along(run.middle)[::MET_STEP] for run in runs]
    owner = np.repeat(np.arange(len(runs)), [len(way) for way in ways])
    found = []
    for number, run in enumerate(runs):
        gaps = np.hypot(*np.moveaxis(run.ends[:, None] - middle[None], -1, 0)) - half
        other = np.tile(owner != number, (2, 1))
        reach = 2.0 * float(run.widths.max()) + TUCK_MM
        other[:, owner == number] = np.array([ways[number] > reach, ways[number] < along(run.middle)[-1] - reach])
        near = ((gaps < TUCK_MM) & other).any(axis=1)
        found.append((bool(near[0]) and not run.closed, bool(near[1]) and not run.closed))
    return found


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


def _sewn(sewing: Sewing, column: Column, at: Floats, goal: int | None, trade: Trade) -> Trail:
    """One run: its underlay out, and back if the top is to end at the far end; then the top."""
    sides = column.sides
    runs: list[Floats] = [column_underlay(sides, layer, trade) for layer in sewing.underlay]
    here = runs[-1][-1] if runs else at
    if goal is not None and sides.nearer_end(here) == goal:
        runs.append(runs[-1][::-1] if runs and sides.nearer_end(runs[-1][0]) != goal else _crossing(sides, here, trade))
        here = runs[-1][-1]
    outer, closed_ends = sides.inset(-(sewing.widen_mm + sewing.pull_mm)), column.closed_ends
    if not sides.closed:
        outer = held_back(outer, *(0.0 if closed else sewing.push_mm for closed in closed_ends))
        outer = outer.reversed() if outer.nearer_end(here) else outer
    left_first = bool(np.hypot(*(outer.left[0] - here)) <= np.hypot(*(outer.right[0] - here)) + EVEN_MM)
    top = stitch_lines(outer, sewing.spacing_mm, trade, start_left=left_first, longest_mm=sewing.stitch_mm)
    return chained([*(trail_of(run, Move.SEW, Lay.UNDERLAY) for run in runs), trail_of(top, Move.SEW, Lay.TOP)])


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
