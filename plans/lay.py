"""One approach, laid to the last needle point: ordered, joined, counted."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from math import dist

import numpy as np
from numpy.typing import NDArray
from shapely import LineString

from analyse.trade import Trade
from plans.approaches import Approach
from plans.density import measure_density
from plans.estimate import estimate
from plans.layers import Layout, Survey, plan_sewings
from plans.order import Stop, sewing_order
from plans.order.blocks import Tasks
from plans.order.ports import ports_of
from plans.order.travel import Cover, Toll, toll_of
from plans.sewout import detail_kept
from plans.stitching.joins import move_between, tied
from plans.stitching.laying import lay_sewing
from plans.values import Edge, LaidPlan, Lay, Move, Sewing, Step, Stitches, Trail

Place = tuple[float, float]
NEAR_MM = 4.0
"""From here on a sewing whose end is left open may as well begin at the needle."""


def lay(survey: Survey, approach: Approach) -> LaidPlan:
    """Lay one approach: its sewings in order, every needle point, and what they come to."""
    layout = plan_sewings(survey, approach.recipe)
    stitches, steps = lay_in_order(survey, layout)
    return LaidPlan(
        approach=approach.name,
        steps=steps,
        stitches=stitches,
        edges=layout.edges,
        estimate=estimate(stitches, steps, survey.sized, survey.job),
        density=measure_density(stitches, steps, survey.sized),
        registration_mm=registration(layout.edges),
        detail_kept=detail_kept(stitches, steps, survey.sized),
        why="",
    )


def registration(edges: tuple[Edge, ...]) -> float:
    """The widest strip of cloth, mm, that shows when neighbours shift by the cloth's drift."""
    return max((max(edge.tolerance_mm - edge.overlap_mm, 0.0) for edge in edges), default=0.0)


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """Sewings that follow each other without a trim: one trail, with the step of each row."""

    trail: Trail
    step: NDArray[np.int32]


def lay_in_order(survey: Survey, layout: Layout) -> tuple[Stitches, tuple[Step, ...]]:
    """Every needle point of sewings, put in order and joined. Steps that laid nothing are left out."""
    trade, sized = survey.sized.trade, survey.sized
    cover = Cover(layout.sewings, layout.beneath, survey.parts_map, sized.drawing.palette)
    toll = toll_of(trade, trade.cloth(sized.cloth).frame)
    kept: list[Sewing] = []
    runs: list[list[tuple[Trail, int]]] = []
    needle: Place | None = None
    for stop in _order(survey, layout, cover, toll):
        sewing = layout.sewings[stop.task]
        trail = lay_sewing(sewing, trade, thread=sized.thread, start=_start(stop, needle), end=stop.end)
        if len(trail.xy) < 2:
            continue
        number, entry = len(kept), _point(trail, 0)
        same = bool(kept) and kept[-1].thread == sewing.thread
        move = None if needle is None else _move(cover, toll, stop.task, needle, entry, same, trade)
        if move is None or (move.move == Move.TRIM).any():
            runs.append([(trail, number)])
        else:
            runs[-1] += [(move, number), (Trail(trail.xy[1:], trail.move[1:], trail.lay[1:]), number)]
        kept.append(sewing)
        cover.left[stop.task] = False
        needle = _point(trail, -1)
    return _joined([_run(run) for run in runs], tuple(kept), trade)


def _start(stop: Stop, needle: Place | None) -> Place | None:
    """Where to begin: from the needle, if that leads to the planned end of the sewing, else at that end itself."""
    if needle is None or stop.start is None:
        return stop.start or needle
    if stop.end is None:
        return needle if dist(needle, stop.start) < NEAR_MM else stop.start
    return needle if dist(needle, stop.start) <= dist(needle, stop.end) else stop.start


def _move(cover: Cover, toll: Toll, task: int, needle: Place, entry: Place, same: bool, trade: Trade) -> Trail:
    """The way to the next sewing: travel where it hardly shows, else a jump or a trim."""
    hidden = None
    way = dist(needle, entry)
    if same and toll.untrimmed_mm < way <= toll.hidden_mm:
        ends = np.array([[needle], [entry]])
        if cover.shows_mm(ends[0], ends[1], np.array([task]), cover.left)[0] <= toll.untrimmed_mm:
            hidden = LineString([needle, entry]).buffer(0.1)
    return move_between(needle, entry, hidden=hidden, same_thread=same, trade=trade)


def _order(survey: Survey, layout: Layout, cover: Cover, toll: Toll) -> tuple[Stop, ...]:
    palette = survey.sized.drawing.palette
    threads = tuple(sewing.thread for sewing in layout.sewings)
    tasks = Tasks(threads, tuple(colour.lab[0] for colour in palette), layout.before)
    return sewing_order(tasks, tuple(map(ports_of, layout.sewings)), partial(cover.seconds, toll))


def _point(trail: Trail, row: int) -> tuple[float, float]:
    return float(trail.xy[row, 0]), float(trail.xy[row, 1])


def _run(pieces: list[tuple[Trail, int]]) -> _Run:
    trails = [trail for trail, _ in pieces]
    step = np.concatenate([np.full(len(trail.xy), number, np.int32) for trail, number in pieces])
    return _Run(_chained(trails), step)


def _chained(trails: list[Trail]) -> Trail:
    return Trail(
        np.concatenate([trail.xy for trail in trails]),
        np.concatenate([trail.move for trail in trails]),
        np.concatenate([trail.lay for trail in trails]),
    )


def _joined(runs: list[_Run], sewings: tuple[Sewing, ...], trade: Trade) -> tuple[Stitches, tuple[Step, ...]]:
    ended = [_begun(tied(run.trail, trade), Move.TRIM if number else Move.JUMP) for number, run in enumerate(runs)]
    step = [_step_of(run, made) for run, made in zip(runs, ended, strict=True)]
    if not ended:
        nothing = np.zeros(0, np.uint8)
        return Stitches(np.zeros((0, 2)), nothing, nothing, np.zeros(0, np.int32)), ()
    whole = _chained(ended)
    stitches = Stitches(whole.xy, whole.move, whole.lay, np.concatenate(step))
    return stitches, _steps(stitches, sewings)


def _begun(trail: Trail, move: Move) -> Trail:
    return Trail(trail.xy, np.concatenate([[np.uint8(move)], trail.move[1:]]), trail.lay)


def _step_of(run: _Run, made: Trail) -> NDArray[np.int32]:
    """The step of each row of a run once ties were put in: ties belong to the row they follow, or the first."""
    own = np.cumsum(made.lay != Lay.TIE) - 1
    return np.asarray(run.step[np.clip(own, 0, len(run.step) - 1)])


def _steps(stitches: Stitches, sewings: tuple[Sewing, ...]) -> tuple[Step, ...]:
    counted = np.isin(stitches.move, (Move.SEW, Move.TRAVEL))
    stitched = np.bincount(stitches.step[counted], minlength=len(sewings))
    trimmed = np.bincount(stitches.step[stitches.move == Move.TRIM], minlength=len(sewings)) > 0
    own = np.flatnonzero(stitches.lay != Lay.TRAVEL)
    first = own[np.unique(stitches.step[own], return_index=True)[1]]
    last = np.append(np.flatnonzero(np.diff(stitches.step)), len(stitches.step) - 1)
    return tuple(
        Step(
            sewing, _at(stitches, first[index]), _at(stitches, last[index]), bool(trimmed[index]), int(stitched[index])
        )
        for index, sewing in enumerate(sewings)
    )


def _at(stitches: Stitches, row: int) -> tuple[float, float]:
    return float(stitches.xy[row, 0]), float(stitches.xy[row, 1])
