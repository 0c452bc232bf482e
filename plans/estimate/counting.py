"""The counts of a laid plan, and the estimate made of them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analyse.trade import Trade
from analyse.values import Floats, SizedDrawing
from plans.density.deposit import sewn_rows, stitch_lengths
from plans.estimate.clock import piece_minutes
from plans.estimate.span import span
from plans.estimate.thread_use import lockstitch_m, thread_by_colour_m
from plans.values import Estimate, Lay, Move, Step, Stitches


@dataclass(frozen=True, slots=True)
class Counts:
    """Stitches by what they are: kind, lay, layer and thread (palette index); each sums to `stitches`."""

    stitches: int
    by_kind: dict[str, int]
    by_lay: dict[str, int]
    by_layer: dict[int, int]
    by_thread: dict[int, int]


def count(stitches: Stitches, steps: tuple[Step, ...]) -> Counts:
    """Count the sewn and travelled rows, every way a person asks for them."""
    sewn = (stitches.move == Move.SEW) | (stitches.move == Move.TRAVEL)
    per_step = np.bincount(stitches.step[sewn], minlength=len(steps)).tolist()
    kind: Counter[str] = Counter()
    layer: Counter[int] = Counter()
    thread: Counter[int] = Counter()
    for step, number in zip(steps, per_step, strict=True):
        kind[step.sewing.kind] += number
        layer[step.sewing.layer] += number
        thread[step.sewing.thread] += number
    lays = np.bincount(stitches.lay[sewn], minlength=len(Lay)).tolist()
    by_lay = {lay.name.lower(): int(lays[lay]) for lay in Lay}
    return Counts(int(sewn.sum()), dict(kind), by_lay, dict(layer), dict(thread))


def thread_of_rows(stitches: Stitches, steps: tuple[Step, ...]) -> NDArray[np.int64]:
    """Palette index of every row's thread."""
    return np.array([step.sewing.thread for step in steps], dtype=np.int64)[stitches.step]


def colour_changes(steps: tuple[Step, ...]) -> int:
    """How often the thread changes from one step to the next."""
    threads = [step.sewing.thread for step in steps]
    return sum(a != b for a, b in pairwise(threads))


def price(counted: int, minutes: float, trade: Trade) -> float | None:
    """In the shop's own money; None unless the shop gives a rate."""
    rates = ("price.piece", "price.thousand", "price.minute")
    if not any(rate in trade.own for rate in rates):
        return None
    piece, thousand, minute = (float(trade.value(rate)) for rate in rates)
    return max(float(trade.value("price.least")), piece + thousand * counted / 1000 + minute * minutes)


def frame_moves(lengths_mm: Floats, trade: Trade) -> int:
    """Moves of the frame that jumps of these lengths take: a longer one than it can make at once counts as several."""
    return int(np.maximum(np.ceil(lengths_mm / float(trade.value("stitch.frame_limit"))), 1).sum())


def estimate(stitches: Stitches, steps: tuple[Step, ...], sized: SizedDrawing) -> Estimate:
    """What the laid plan costs, from its needle points.

    Loose jumps take top thread but are no stitches. Thread follows `lockstitch_m`, link at the underside; one
    through-length of waste row on top. Minutes are a piece's, hooping included.
    """
    trade = sized.trade
    rows = sewn_rows(stitches)
    lengths = stitch_lengths(stitches, rows)
    counts = count(stitches, steps)
    trims = int((stitches.move == Move.TRIM).sum())
    jumps = np.flatnonzero(stitches.move == Move.JUMP)
    jumps = jumps[jumps > 0]
    changes = colour_changes(steps)
    through, waste = float(trade.value("thread.through_cloth")), float(trade.value("thread.waste"))
    thread, colours = thread_of_rows(stitches, steps), len(sized.drawing.palette)
    loose = thread_by_colour_m(stitch_lengths(stitches, jumps), thread[jumps], colours, 0.0, waste)
    each = thread_by_colour_m(lengths, thread[rows], colours, through, waste)
    needle, bobbin = lockstitch_m(lengths, through)
    minutes = piece_minutes(lengths, trims, changes, len(counts.by_thread), trade, trade.cloth(sized.cloth).frame)
    return Estimate(
        stitches=counts.stitches,
        by_lay=counts.by_lay,
        trims=trims,
        jumps=frame_moves(stitch_lengths(stitches, jumps), trade),
        colour_changes=changes,
        thread_m=needle * (1 + waste) + sum(loose),
        thread_each_m=tuple(map(sum, zip(each, loose, strict=True))),
        bobbin_m=bobbin,
        minutes=minutes,
        span=span(stitches, steps, trade),
        price=price(counts.stitches, minutes, trade),
    )
