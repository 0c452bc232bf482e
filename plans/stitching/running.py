"""How is a running line sewn? There and back as often as asked, points in the same holes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analyse.trade import Trade
from analyse.values import Floats, Spine
from plans.stitching.curves import stitched, without_repeats
from plans.stitching.network import euler_walk, network_of


def run(line: Floats, stitch_mm: float, trade: Trade) -> Floats:
    """Needle points of one pass along `line` (N, 2 or more columns, x and y first)."""
    return stitched(line[:, :2], stitch_mm, trade.value("running.chord_error"))


def run_network(
    spines: Sequence[Spine], stitch_mm: float, passes: int, trade: Trade, start: Floats, end: Floats | None
) -> list[Floats]:
    """Needle points of all lines, for each connected network one walk without a jump, every pass in the same holes."""
    lines = [
        without_repeats(_turned_to(spine.line[:, :2], start) if spine.closed else spine.line[:, :2]) for spine in spines
    ]
    kept = [number for number, line in enumerate(lines) if len(line) > 1]
    stretches, knots = network_of([lines[i] for i in kept], [spines[i].closed for i in kept], passes)
    holes = [run(stretch.line, stitch_mm, trade) for stretch in stretches]
    walks = []
    for walk in euler_walk(stretches, knots, start, end):
        passed = [holes[one.stretch][:: -1 if one.back else 1] for one in walk]
        walks.append(np.concatenate([passed[0], *(points[1:] for points in passed[1:])]))
    return walks


def _turned_to(loop: Floats, start: Floats) -> Floats:
    """A closed line begun at its point nearest to `start`."""
    return np.roll(loop, -int(np.argmin(np.hypot(*(loop - start).T))), axis=0)
