"""Where a sewing may begin and end, and where a way between two of them stays hidden."""

from __future__ import annotations

import numpy as np
import shapely

from analyse.trade import Trade
from analyse.values import Colour, Floats
from plans.edges import Shape
from plans.order.blocks import Task
from plans.values import Sewing

DARKER_BY = 5.0
"""A travel stitch may lie under thread that is lighter than itself by this much in L* at most."""


def tasks_of(sewings: tuple[Sewing, ...]) -> tuple[Task, ...]:
    """Sewings as the order sees them."""
    return tuple(Task(sewing.thread, sewing.group, ends_of(sewing)) for sewing in sewings)


def ends_of(sewing: Sewing) -> Floats:
    """(N, 2) points a sewing can begin or end at: the ends of its runs, or the extremes of its shape."""
    if sewing.spines:
        return np.vstack([spine.line[[0, -1], :2] for spine in sewing.spines])
    points = shapely.get_coordinates(sewing.shape)
    picks = [int(np.argmin(points @ way)) for way in ((1, 0), (-1, 0), (0, 1), (0, -1))]
    return np.asarray(points[picks], float)


class Cover:
    """What will be sewn over a way later on, for sewings in their order."""

    def __init__(self, sewings: tuple[Sewing, ...], palette: tuple[Colour, ...], trade: Trade) -> None:
        self._sewings = sewings
        self._lightness = [colour.lab[0] for colour in palette]
        self._most_mm = float(trade.value("travel.hidden_between_parts"))
        self._tree = shapely.STRtree([sewing.shape for sewing in sewings])

    def hidden(self, step: int, start: tuple[float, float], end: tuple[float, float]) -> Shape | None:
        """Where a way from `start` to `end`, sewn before `step`, is hidden by it or by what comes after."""
        way = shapely.LineString([start, end])
        if way.length > self._most_mm:
            return None
        later = [int(i) for i in self._tree.query(way) if i >= step and self._hides(int(i), self._sewings[step].thread)]
        if not later:
            return None
        found: Shape = shapely.union_all([self._sewings[index].shape for index in sorted(later)])
        return found

    def _hides(self, index: int, thread: int) -> bool:
        over = self._sewings[index]
        close = (over.kind == "fill" and over.role != "base") or (over.kind == "column" and not over.over_base)
        return close and self._lightness[over.thread] <= self._lightness[thread] + DARKER_BY
