"""The strands on the cloth, in sewing order, where the cloth lets them lie."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats, SizedDrawing
from plans.density.deposit import cut, deposit, grid_over
from plans.density.parallel import apart, lifted
from plans.sewout.settling import settled
from plans.values import Lay, Move, Step, Stitches

KINDS = ("fill", "column", "running")
PASS_ASIDE_MM = 0.06
"""Two passes side by side look 0.4 mm wide (trade table: running.looks)."""
SINK_CELL_MM = 0.8
SINK_FROM, SINK_DEEP = 0.2, 0.5
"""From so much of a full layer that runs a strand's way it sinks in, and loses up to this share of its width."""


@dataclass(frozen=True, slots=True, eq=False)
class Strands:
    """One row a strand: start and end (N, 2) mm, thread and step index, lay, and index into KINDS (N,).

    sunk: (N,) the share of its width a strand still shows where it lies between strands of its own direction.
    top_mm: (N,) how far from either end it is of its thread; between them, on the back, of the bobbin's.
    """

    start: Floats
    end: Floats
    thread: NDArray[np.int32]
    step: NDArray[np.int32]
    lay: NDArray[np.uint8]
    kind: NDArray[np.int32]
    width_mm: float
    sunk: Floats
    top_mm: Floats

    def __len__(self) -> int:
        return len(self.start)


def thread_on_cloth(stitches: Stitches, loose_mm: float) -> NDArray[np.int64]:
    """Rows whose thread lies on the finished piece: all sewn ones, and loose jumps too short to be snipped."""
    step = np.diff(stitches.xy, axis=0, prepend=stitches.xy[:1])
    short = np.hypot(step[:, 0], step[:, 1]) <= loose_mm
    lying = (stitches.move <= Move.TRAVEL) | ((stitches.move == Move.JUMP) & short)
    lying[:1] = False
    return np.flatnonzero(lying)


def lay_strands(stitches: Stitches, steps: tuple[Step, ...], sized: SizedDrawing, drift_mm: float = 0.0) -> Strands:
    """Every strand on the cloth, pulled in, pushed out and drifted."""
    trade = sized.trade
    rows = thread_on_cloth(stitches, float(trade.value("travel.trim_over")))
    xy = settled(stitches, steps, sized, drift_mm)
    step = stitches.step[rows]
    thread = np.array([one.sewing.thread for one in steps] or [0], dtype=np.int32)[step]
    kind = np.array([KINDS.index(one.sewing.kind) for one in steps] or [0], dtype=np.int32)[step]
    often = np.array([one.sewing.kind == "running" and one.sewing.passes > 1 for one in steps] or [False])[step]
    start, end = beside(xy[rows - 1], xy[rows], often & (stitches.lay[rows] == Lay.TOP))
    width_mm = float(trade.value("thread.strand_flat", thread=sized.thread))
    all_top = np.full(len(rows), np.inf)
    laid = Strands(start, end, thread, step, stitches.lay[rows], kind, width_mm, np.ones(len(rows)), all_top)
    carried = lifted(steps, trade)[step] if steps else np.zeros(len(rows), np.bool_)
    full_mm, within_deg = (float(trade.value(row)) for row in ("density.full_layer", "density.parallel_within"))
    return replace(laid, sunk=sinking(laid, carried, full_mm, within_deg))


def beside(start: Floats, end: Floats, often: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Strands of lines sewn there and back, each on its own right: they lie beside each other, not in each other."""
    run = end - start
    right = np.column_stack([-run[:, 1], run[:, 0]]) / np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-9)[:, None]
    aside = right * np.where(often, PASS_ASIDE_MM, 0.0)[:, None]
    return start + aside, end + aside


def sinking(strands: Strands, carried: NDArray[np.bool_], full_mm: float, within_deg: float) -> Floats:
    """(N,) share of its width each strand shows: columns and lines sink between rows beneath that run their way.

    carried: (N,) those that an underlay of their own lifts clear. full_mm: thread of one full layer, mm per mm2.
    within_deg: from so far off the rows beneath a strand stays up; within half of it it sinks in whole.
    """
    sunk = np.ones(len(strands))
    fill = (strands.kind == KINDS.index("fill")) & (strands.lay == Lay.TOP)
    above = np.flatnonzero((strands.kind != KINDS.index("fill")) & (strands.lay == Lay.TOP) & ~carried)
    if not fill.any() or not len(above):
        return sunk
    middle, run = (strands.start + strands.end) / 2, strands.end - strands.start
    turn = 2 * np.arctan2(run[:, 1], run[:, 0])
    grid = grid_over(np.concatenate([strands.start, strands.end]), SINK_CELL_MM)
    xy, length, owner = cut(strands.start[fill], strands.end[fill], SINK_CELL_MM)
    first = np.full(grid.shape[0] * grid.shape[1], np.inf)
    np.minimum.at(first, grid.cell_of(xy), strands.step[fill][owner])
    along, aside = (deposit(grid, xy, length * wave(turn[fill][owner])).ravel() for wave in (np.cos, np.sin))
    cell = grid.cell_of(middle[above])
    lined = np.hypot(along[cell], aside[cell]) / full_mm / SINK_CELL_MM**2
    off_deg = apart(np.degrees(turn[above]) / 2, np.degrees(np.arctan2(aside[cell], along[cell])) / 2)
    alike = np.clip((lined - SINK_FROM) / (1 - SINK_FROM), 0, 1) * np.clip(2 * (1 - off_deg / within_deg), 0, 1)
    sunk[above] = 1 - SINK_DEEP * np.where(first[cell] < strands.step[above], alike, 0.0)
    return sunk
