"""The back of the piece: bobbin thread between the ends of the top thread, and the tails of the trims."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analyse.values import Floats
from plans.sewout.chance import scattered
from plans.sewout.frame import Frame
from plans.sewout.strands import KINDS, Strands
from plans.values import Lay, Move, Stitches

BOBBIN_RGB = (240, 238, 232)
BACKING_RGB = (236, 236, 232)
END_MM = 0.45
"""The link is drawn to the underside: the top thread shows as a short loop about every hole."""
TAIL_MM = 4.0
"""What a trim leaves on the back."""


def ends_mm(strands: Strands) -> Floats:
    """How much top thread shows at each end of a stitch: a third of a column's width, else the loop about the hole."""
    length = np.hypot(*(strands.end - strands.start).T)
    column = (strands.kind == KINDS.index("column")) & (strands.lay == Lay.TOP)
    return np.asarray(np.where(column, length / 3, np.minimum(END_MM, length / 3)))


def turned_over(xy: Floats, place: Frame) -> Floats:
    """Points as they lie when the piece is turned over about its upright middle."""
    return np.column_stack([2 * place.left_mm + place.width_mm - xy[:, 0], xy[:, 1]])


def underside(strands: Strands) -> Strands:
    """Every stitch as its underside shows it, seen through the cloth: top thread, bobbin, top thread."""
    return replace(strands, sunk=np.ones(len(strands)), top_mm=ends_mm(strands))


def tails(stitches: Stitches, strands: Strands, threads: Floats) -> Strands:
    """The ends the trims leave, two at each: where the cut was and where sewing goes on."""
    cut = np.flatnonzero(stitches.move == Move.TRIM)
    at = np.concatenate([cut - 1, cut])
    start = stitches.xy[at]
    turn = np.pi * scattered(start, 6)
    none = np.zeros(len(at))
    return replace(
        strands,
        start=start,
        end=start
        + TAIL_MM * np.column_stack([np.cos(turn), np.sin(turn)]) * (0.7 + 0.3 * scattered(start, 7))[:, None],
        thread=threads[at].astype(np.int32),
        step=stitches.step[at],
        lay=(none + Lay.TIE).astype(np.uint8),
        kind=(none + KINDS.index("running")).astype(np.int32),
        sunk=none + 1,
        top_mm=none + TAIL_MM,
    )


def joined(first: Strands, second: Strands) -> Strands:
    """Both, the second over the first."""
    return replace(
        first,
        start=np.concatenate([first.start, second.start]),
        end=np.concatenate([first.end, second.end]),
        thread=np.concatenate([first.thread, second.thread]),
        step=np.concatenate([first.step, second.step]),
        lay=np.concatenate([first.lay, second.lay]),
        kind=np.concatenate([first.kind, second.kind]),
        sunk=np.concatenate([first.sunk, second.sunk]),
        top_mm=np.concatenate([first.top_mm, second.top_mm]),
    )


def from_behind(strands: Strands, stitches: Stitches, place: Frame) -> Strands:
    """The strands of the back, later ones over earlier ones, turned over."""
    of_step = np.zeros(int(stitches.step.max(initial=0)) + 1)
    of_step[strands.step] = strands.thread
    behind = joined(underside(strands), tails(stitches, strands, of_step[stitches.step]))
    return replace(behind, start=turned_over(behind.start, place), end=turned_over(behind.end, place))
