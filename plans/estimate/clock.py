"""Minutes on the machine: stitches at speed, stops, and what the shop loses between them."""

from __future__ import annotations

from analyse.trade import Trade
from analyse.values import Floats


def run_minutes(stitches: float, speed: float, trims: int, trim_s: float, changes: int, change_s: float) -> float:
    """Minutes the machine needs for one run if nothing else happens."""
    return stitches / speed + (trims * trim_s + changes * change_s) / 60


def slowed(lengths_mm: Floats, trade: Trade) -> float:
    """Stitches as time: a long one counts for more than one, since the frame must move further in a turn."""
    over, share = float(trade.value("machine.slow_over")), float(trade.value("machine.slow_share"))
    return float(len(lengths_mm) + (lengths_mm > over).sum() * (1 / share - 1))


def piece_minutes(lengths_mm: Floats, trims: int, changes: int, threads: int, trade: Trade, frame: str) -> float:
    """Minutes a piece takes: hooping, then its share of a run on all heads at the shop's efficiency.

    Colours beyond the machine's needles are threaded by hand, once each.
    """
    value = trade.value
    run = run_minutes(
        slowed(lengths_mm, trade),
        float(value("machine.speed", frame=frame)),
        trims,
        float(value("machine.trim")),
        changes,
        float(value("machine.colour_change")),
    )
    run += max(0, threads - int(value("machine.needles"))) * float(value("machine.rethreading")) / 60
    hooping = float(value("machine.hooping", frame=frame)) / 60
    return hooping + run / float(value("machine.efficiency")) / int(value("machine.heads"))
