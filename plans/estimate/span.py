"""How far another hand would reasonably land: each free choice, and what it does to the count."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from analyse.trade import Trade
from plans.values import Lay, Move, Step, Stitches


@dataclass(frozen=True, slots=True)
class SpanPart:
    """One choice another hand may make differently: stitches fewer and more, both counted positive."""

    choice: str
    fewer: float
    more: float


def counts_by_kind(stitches: Stitches, steps: tuple[Step, ...], lay: Lay) -> dict[str, int]:
    """Sewn rows of one lay, by the kind of their step."""
    rows = (stitches.lay == lay) & ((stitches.move == Move.SEW) | (stitches.move == Move.TRAVEL))
    per_step = np.bincount(stitches.step[rows], minlength=len(steps))
    found = {"fill": 0, "column": 0, "running": 0}
    for step, number in zip(steps, per_step.tolist(), strict=True):
        found[step.sewing.kind] += number
    return found


def span_parts(stitches: Stitches, steps: tuple[Step, ...], trade: Trade) -> tuple[SpanPart, ...]:
    """What the span is made of. Ranges are the trade table's own where it has them.

    A fill's count goes with 1 / stitch and 1 / spacing, a column's with 1 / spacing, a running line's with 1 / stitch.
    """
    top, under = (counts_by_kind(stitches, steps, lay) for lay in (Lay.TOP, Lay.UNDERLAY))
    ties = sum(counts_by_kind(stitches, steps, Lay.TIE).values())
    stitch = float(trade.value("fill.stitch"))
    low, high = trade.range("fill.stitch")
    tight, open_ = trade.range("span.spacing")
    dense = top["fill"] + top["column"]
    laid = sum(under.values())
    less, twice = trade.range("span.underlay")
    run, longest = float(trade.value("running.stitch")), float(trade.value("running.longest"))
    short = trade.range("running.stitch_fine")[1]
    few, many = trade.range("tie.count")
    usual = float(trade.value("tie.count"))
    parts = (
        SpanPart("fill stitch", top["fill"] * (1 - stitch / high), top["fill"] * (stitch / low - 1)),
        SpanPart("spacing", dense * (1 - 1 / open_), dense * (1 / tight - 1)),
        SpanPart("underlay", laid * (1 - less), laid * (twice - 1)),
        SpanPart("ties", ties * (1 - few / usual), ties * (many / usual - 1)),
        SpanPart("running stitch", top["running"] * (1 - run / longest), top["running"] * (run / short - 1)),
    )
    return tuple(SpanPart(part.choice, max(part.fewer, 0.0), max(part.more, 0.0)) for part in parts)


def span(stitches: Stitches, steps: tuple[Step, ...], trade: Trade) -> tuple[int, int]:
    """Fewest and most stitches: the choices are independent, so they add up as roots of squares."""
    counted = int(((stitches.move == Move.SEW) | (stitches.move == Move.TRAVEL)).sum())
    parts = span_parts(stitches, steps, trade)
    fewer = math.sqrt(sum(part.fewer**2 for part in parts))
    more = math.sqrt(sum(part.more**2 for part in parts))
    return round(counted - fewer), round(counted + more)
