"""How many stitches and how much thread a fill of any shape takes: a closed form that knows the stagger."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analyse.trade import default_trade
from plans.stitching.fill import lay_fill
from plans.stitching.ground import FillPlan, Ground, ground_of
from plans.values import Lay, Move
from tests.plans.stitching.shapes import random_shape

STITCH, LONGEST, END, INSET, SHORT = 4.0, 5.0, 1.0, 0.25, 0.5  # mm; see the trade's values for fills
PHASES = np.array([0.0, 2.0, 1.0, 3.0])  # mm by which rows are shifted, in their order: halves first, then quarters


def fill_form(ground: Ground) -> tuple[tuple[float, float], float]:
    """The least and most stitches that rows over a ground take, as each piece may be sewn to and fro or fro and to;
    and their thread, mm along the rows, turns included.

    A row holds the marks of its own phase between its ends, one stitch more, and a turn. A row over the longest stitch
    has a mark in any case; one too narrow for a turn inside its edge is one stitch of a zigzag.
    """
    rows = ground.pieces.rows
    low, high, width = rows.low, rows.high, rows.high - rows.low
    inset = np.where(width < SHORT + INSET, 0.0, INSET)
    phase = (low.min() + high.max()) / 2 + PHASES[rows.row % 4]
    right, left = _marks(low + inset, high, phase), _marks(low, high - inset, phase)
    least, most, thread = 0.0, 0.0, float((width - inset).sum())
    for spans in ground.pieces.members:
        odd = np.arange(len(spans)) % 2 == 1
        ways = [float(np.where(turned, right[spans], left[spans]).sum()) for turned in (odd, ~odd)]
        least, most = least + min(ways), most + max(ways)
        steps = np.abs(np.diff(low[spans]) + inset[spans][1:]), np.abs(np.diff(high[spans]) - inset[spans][1:])
        thread += float(steps[0].sum() + steps[1].sum()) / 2
    every = float((width >= SHORT + INSET).sum() + len(width) - 1)
    return (least + every, most + every), thread


def _marks(begin: NDArray[np.float64], end: NDArray[np.float64], phase: NDArray[np.float64]) -> NDArray[np.float64]:
    first, last = np.ceil((begin + END - phase) / STITCH - 1e-9), np.floor((end - END - phase) / STITCH + 1e-9)
    return np.asarray(np.maximum(last - first + 1, end - begin > LONGEST), float)


def off_the_form(seed: int, angle_deg: float) -> tuple[float, float]:
    """By what share count and thread of a random shape's fill differ from the closed form."""
    shape, plan, trade = random_shape(seed), FillPlan(angle_deg, 0.4, STITCH), default_trade()
    trail, ground = lay_fill(shape, plan, trade), ground_of(shape, plan, trade)
    (least, most), thread = fill_form(ground)
    count = float((trail.lay == Lay.TOP).sum() - 1)
    along = np.abs(np.diff(ground.frame.inward(trail.xy)[:, 0]))
    sewn = (trail.lay[1:] == Lay.TOP) & (trail.lay[:-1] == Lay.TOP) & (trail.move[1:] == Move.SEW)
    return (count - float(np.clip(count, least, most))) / least, float(along[sewn].sum()) / thread - 1
