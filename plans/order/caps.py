"""Caps: each element is finished with its own border, from the centre out and from the bill up."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from analyse.trade import Trade
from analyse.values import Floats
from plans.layers.fields import united
from plans.order.lines import Line


def cap_stages(
    boxes: Floats, before: tuple[tuple[int, int], ...], lines: tuple[Line, ...], width_mm: float, trade: Trade
) -> tuple[tuple[int, ...], ...]:
    """Sewings in elements that hang together, a line of lettering among them, in the order a cap wants.

    boxes: (N, 4) bounds of each, mm.

    Source: common practice. The bill lies below the design: y runs down.
    """
    along = [pair for line in lines for pair in pairwise(sewing for letter in line for sewing in letter)]
    elements = united(range(len(boxes)), (*before, *along))
    beside_mm = float(trade.value("order.cap_beside"))

    def place(members: tuple[int, ...]) -> tuple[float, float, int]:
        low, high = boxes[list(members), :2].min(axis=0), boxes[list(members), 2:].max(axis=0)
        out = abs(float(low[0] + high[0]) / 2 - width_mm / 2)
        return np.floor(out / beside_mm), -float(high[1]), members[0]

    return tuple(sorted(elements, key=place))
