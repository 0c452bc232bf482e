"""Sewings in their order, laid and joined: travel where it hides, jumps where they are short, trims elsewhere."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import dist

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.colours.lab import srgb_to_lab
from analyse.trade import Trade
from analyse.values import Floats
from plans.layers import Layout, Survey
from plans.order.blocks import Tasks
from plans.order.caps import cap_stages
from plans.order.cover import Cover, Mask
from plans.order.lines import Line, lines_of, words_of
from plans.order.networks import networked
from plans.order.parted import parted
from plans.order.ports import ports_of
from plans.order.sequence import sewing_order
from plans.order.stops import Place, Stop
from plans.order.travel import SMOOTH_MM, Traveller, toll_of
from plans.stitching.joins import move_between, tied
from plans.stitching.laying import lay_sewing
from plans.stitching.trails import begun, kept_apart, trail_of
from plans.stitching.travel import stepped
from plans.values import Lay, Move, Sewing, Step, Stitches, Trail

Laid = dict[tuple[object, ...], Trail]
"""Trails of sewings by all that they are laid from."""
NEAR_MM = 4.0
"""From here on a sewing whose end is left open may as well begin at the needle."""


@dataclass(slots=True)
class _Needle:
    """What is sewn so far: the sewings that laid something, as tasks and as a mask, and the trails between trims with
    the step of each. words: for each task of a line of lettering its word."""

    sewn: Mask
    words: dict[int, int]
    kept: list[int] = field(default_factory=list)
    runs: list[list[tuple[Trail, int]]] = field(default_factory=list)
    at: Place | None = None

    def ends_a_word(self, task: int) -> bool:
        """Whether a new word of lettering begins with a task."""
        before = self.words.get(self.kept[-1]) if self.kept else None
        return before is not None and task in self.words and self.words[task] != before


def lay_in_order(survey: Survey, layout: Layout, laid: Laid) -> tuple[Stitches, tuple[Step, ...]]:
    """Every needle point of sewings, put in order and joined. Steps that laid nothing are left out."""
    trade, sized, layout = survey.sized.trade, survey.sized, networked(parted(layout), survey.sized.trade)
    cloth = srgb_to_lab(np.array(sized.cloth_rgb, float))
    cover = Cover(layout.sewings, layout.beneath, sized.parts, survey.parts_map, sized.drawing.palette, trade, cloth)
    traveller = Traveller(layout.sewings, sized.parts, cover, toll_of(trade, trade.cloth(sized.cloth).frame))
    sewings, lines = layout.sewings, lines_of(layout.sewings, sized.parts)
    needle = _Needle(np.zeros(len(sewings), bool), words_of(lines, sewings))
    order = _order(survey, layout, traveller, lines)
    for stop, left in zip(order, _left_after(order, sewings), strict=True):
        trail = _laid(sewings[stop.task], trade, sized.thread, _start(stop, needle.at), stop.end, laid)
        if len(trail.xy) >= 2:
            _go_on(needle, stop.task, trail, _move(traveller, needle, stop.task, trail, left, trade))
    return _joined([_run(run) for run in needle.runs], tuple(sewings[task] for task in needle.kept), trade)


def _left_after(order: tuple[Stop, ...], sewings: tuple[Sewing, ...]) -> list[Mask]:
    """For each stop the sewings still to come after its block of thread."""
    found: list[Mask] = []
    left = np.zeros(len(sewings), bool)
    for number in range(len(order) - 1, -1, -1):
        here = order[number].task
        if number + 1 < len(order) and sewings[order[number + 1].task].thread != sewings[here].thread:
            left = left.copy()
            after = number + 1
            while after < len(order) and sewings[order[after].task].thread == sewings[order[number + 1].task].thread:
                left[order[after].task] = True
                after += 1
        found.append(left)
    return found[::-1]


def _laid(sewing: Sewing, trade: Trade, thread: str, start: Place | None, end: Place | None, laid: Laid) -> Trail:
    """The trail of a sewing, looked up if the same was laid before."""
    runs = tuple(array.tobytes() for spine in sewing.spines for array in (spine.line, spine.left, spine.right))
    settings = (sewing.kind, sewing.angle_deg, sewing.spacing_mm, sewing.stitch_mm, sewing.passes, sewing.over_base)
    guide = None if sewing.guide is None else sewing.guide.tobytes()
    allowance = (sewing.widen_mm, sewing.pull_mm, sewing.push_mm, sewing.underlay, sewing.closed_ends)
    key = (sewing.part, sewing.shape.wkb, runs, guide, settings, allowance, start, end)
    if key not in laid:
        laid[key] = lay_sewing(sewing, trade, thread=thread, start=start, end=end)
    return laid[key]


def _go_on(needle: _Needle, task: int, trail: Trail, move: Trail | None) -> None:
    """Take `trail` in: after a trim as a new run, else joined to the run before by `move`."""
    number = len(needle.kept)
    if move is None or (move.move == Move.TRIM).any():
        needle.runs.append([(trail, number)])
    else:
        needle.runs[-1] += [(move, number), (Trail(trail.xy[1:], trail.move[1:], trail.lay[1:]), number)]
    needle.kept.append(task)
    needle.sewn[task] = True
    needle.at = _point(trail, -1)


def _start(stop: Stop, needle: Place | None) -> Place | None:
    """Where to begin: from the needle, if that leads to the planned end of the sewing, else at that end itself."""
    if needle is None or stop.start is None:
        return stop.start or needle
    if stop.end is None:
        return needle if dist(needle, stop.start) < NEAR_MM else stop.start
    return needle if dist(needle, stop.start) <= dist(needle, stop.end) else stop.start


def _move(traveller: Traveller, needle: _Needle, task: int, trail: Trail, left: Mask, trade: Trade) -> Trail | None:
    """The way to the next sewing: travel where it does not show, else a jump or a trim. None before the first."""
    if needle.at is None:
        return None
    entry, before, sewing = _point(trail, 0), traveller.sewings[needle.kept[-1]], traveller.sewings[task]
    cut = trail_of(np.array([entry]), Move.TRIM, Lay.TRAVEL)
    same = before.thread == sewing.thread
    apart = dist(needle.at, entry)
    if not same or apart > traveller.toll.hidden_mm:
        return cut
    if traveller.may_be_left(before, sewing, needle.at, entry):
        return (
            cut
            if needle.ends_a_word(task)
            else move_between(needle.at, entry, hidden=None, same_thread=same, trade=trade)
        )
    ways = traveller.ways(before, sewing, left, needle.at, entry, needle.sewn)
    if not ways or (len(ways) > 1 and needle.ends_a_word(task)):
        return cut
    travelled = [_travelled(traveller.cover, sewing.thread, way, trade) for way in ways]
    return _chained([Trail(travelled[0].xy[1:], travelled[0].move[1:], travelled[0].lay[1:]), *travelled[1:]])


def _travelled(cover: Cover, thread: int, way: Floats, trade: Trade) -> Trail:
    """Travel along a way, begun by a jump."""
    points = stepped(way, float(trade.value("travel.stitch")))
    points[1:-1] = cover.on_lines(thread, points[1:-1])
    for least in (
        trade.value("stitch.shortest"),
        trade.value("stitch.shortest_shaped"),
        trade.value("stitch.never_under"),
    ):
        kept = points[kept_apart(points, float(least))]
        if len(kept) > 1 and (len(kept) == len(points) or _smooth(kept, points)):
            break
    return begun(trail_of(kept, Move.TRAVEL, Lay.TRAVEL))


def _smooth(kept: Floats, points: Floats) -> bool:
    """Whether the way over the points that are kept stays beside them all."""
    return bool(shapely.distance(shapely.LineString(kept), shapely.points(points)).max() <= SMOOTH_MM)


def tasks_of(survey: Survey, layout: Layout) -> Tasks:
    """What is to be sewn, and what waits for what."""
    threads = tuple(sewing.thread for sewing in layout.sewings)
    return Tasks(threads, tuple(colour.lab[0] for colour in survey.sized.drawing.palette), layout.before)


def _order(survey: Survey, layout: Layout, traveller: Traveller, lines: tuple[Line, ...]) -> tuple[Stop, ...]:
    ports = tuple(map(ports_of, layout.sewings))
    stages = None
    if survey.sized.trade.cloth(survey.sized.cloth).frame == "cap":
        boxes = shapely.bounds([sewing.shape for sewing in layout.sewings])
        stages = cap_stages(boxes, layout.before, lines, survey.sized.size_mm[0], survey.sized.trade)
    return sewing_order(tasks_of(survey, layout), ports, traveller.seconds, lines, stages, traveller.toll.raised_s)


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """Sewings that follow each other without a trim: one trail, with the step of each row."""

    trail: Trail
    step: NDArray[np.int32]


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
    least_mm = max((sewing.shortest_mm for sewing in sewings), default=0.0)
    ended = [
        _begun(tied(run.trail, trade, least_mm), Move.TRIM if number else Move.JUMP) for number, run in enumerate(runs)
    ]
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
    own = np.flatnonzero(stitches.lay != Lay.TRAVEL)
    first = own[np.unique(stitches.step[own], return_index=True)[1]]
    cuts = np.flatnonzero(stitches.move == Move.TRIM)
    trimmed = np.isin(np.arange(len(sewings)), stitches.step[cuts[cuts <= first[stitches.step[cuts]]]])
    last = np.append(np.flatnonzero(np.diff(stitches.step)), len(stitches.step) - 1)
    return tuple(
        Step(
            sewing, _at(stitches, first[index]), _at(stitches, last[index]), bool(trimmed[index]), int(stitched[index])
        )
        for index, sewing in enumerate(sewings)
    )


def _at(stitches: Stitches, row: int) -> tuple[float, float]:
    return float(stitches.xy[row, 0]), float(stitches.xy[row, 1])
