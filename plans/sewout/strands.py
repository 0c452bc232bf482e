"""The strands on the cloth, in sewing order, where the cloth lets them lie."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats, SizedDrawing
from plans.sewout.settling import settled
from plans.values import Lay, Move, Step, Stitches

KINDS = ("fill", "column", "running")


@dataclass(frozen=True, slots=True, eq=False)
class Strands:
    """One row a strand: start and end (N, 2) mm, thread and step index, lay, and index into KINDS (N,)."""

    start: Floats
    end: Floats
    thread: NDArray[np.int32]
    step: NDArray[np.int32]
    lay: NDArray[np.uint8]
    kind: NDArray[np.int32]
    width_mm: float

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
    thread = np.array([one.sewing.thread for one in steps], dtype=np.int32)
    kind = np.array([KINDS.index(one.sewing.kind) for one in steps], dtype=np.int32)
    return Strands(
        start=xy[rows - 1],
        end=xy[rows],
        thread=thread[step] if len(steps) else step,
        step=step,
        lay=stitches.lay[rows],
        kind=kind[step] if len(steps) else step,
        width_mm=float(trade.value("thread.strand_flat", thread=sized.thread)),
    )


def hidden_lays(strands: Strands) -> NDArray[np.bool_]:
    """Strands that lie low: underlay, ties and travel."""
    return np.asarray(strands.lay != Lay.TOP)
