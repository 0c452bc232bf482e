"""How is a running line sewn? There and back as often as asked, points in the same holes."""

from __future__ import annotations

import numpy as np

from analyse.trade import Trade
from analyse.values import Floats, Spine
from plans.stitching.curves import stitched


def run(line: Floats, stitch_mm: float, trade: Trade, *, closed: bool = False) -> Floats:
    """Needle points of one pass along `line` (N, 2 or more columns, x and y first)."""
    return stitched(line[:, :2], stitch_mm, trade.value("running.chord_error"), closed=closed)


def passes_along(spine: Spine, stitch_mm: float, passes: int, trade: Trade, *, from_end: bool = False) -> Floats:
    """Needle points of all passes along a spine, in the same holes; a closed one goes round and round."""
    points = run(spine.line, stitch_mm, trade, closed=spine.closed)
    if from_end:
        points = points[::-1]
    if spine.closed:
        return np.concatenate([points, *([points[1:]] * (passes - 1))])
    there, back = points[1:], points[::-1][1:]
    return np.concatenate([points, *(back if number % 2 else there for number in range(1, passes))])
