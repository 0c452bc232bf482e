"""What a way between two sewings costs, and how much of it would show."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.trade import Trade
from analyse.values import Colour, Floats
from plans.order.routes import straightened, way_with_leap
from plans.order.stops import Place
from plans.seams import CLOTH, PartMap
from plans.values import Sewing

Ints = NDArray[np.int64]
GRID_MM, ROUND_MM = 0.25, 4.0
"""Ways round are looked for on a grid of this step, this far beside the straight way."""
DARKER_BY = 5.0
"""A travel stitch may lie under thread that is lighter than itself by this much in L* at most."""
JUMP_S, HIDDEN_S = 0.4, 0.1
"""What a move without a cut, and a travel out of sight, cost beside their length."""
ACROSS_MM = 2.0
"""So far a way may cross the end of what was sewn last."""
LOOKS = 48
"""Places looked at along a way."""


@dataclass(frozen=True, slots=True)
class Toll:
    """What ways cost: the longest hidden one, the longest that may show uncut, a trim, and each mm travelled."""

    hidden_mm: float
    untrimmed_mm: float
    trim_s: float
    per_mm_s: float


def toll_of(trade: Trade, frame: str) -> Toll:
    """The trade's tolls for flat goods or caps."""
    return Toll(
        float(trade.value("travel.hidden_between_parts")),
        float(trade.value("travel.trim_over")),
        float(trade.value("machine.trim")),
        60 / float(trade.value("machine.speed", frame=frame)) / float(trade.value("travel.stitch")),
    )


class Cover:
    """What is sewn over each place of a design: the topmost sewing there, and the one beneath it.

    A way is hidden where one of the two is still to be sewn, closes, and is no lighter than the thread that travels.
    """

    def __init__(
        self, sewings: tuple[Sewing, ...], beneath: tuple[int, ...], parts_map: PartMap, palette: tuple[Colour, ...]
    ) -> None:
        """beneath: for each part the sewing under its own, or -1."""
        count = len(beneath)
        self._top = np.full(count + 1, -1, np.int64)
        for index, sewing in enumerate(sewings):
            self._top[[sewing.part, *sewing.also]] = index
        self._beneath = np.append(np.asarray(beneath, np.int64), -1)
        self._map = parts_map
        self._lightness = np.array([palette[sewing.thread].lab[0] for sewing in sewings])
        self._closes = np.array([_closes(sewing) for sewing in sewings])
        self.left = np.ones(len(sewings), bool)

    def shows_mm(self, start: Floats, end: Floats, one: Ints, two: Ints, left: NDArray[np.bool_]) -> Floats:
        """(N,) mm of ways from (N, 2) to (N, 2) that would show if the sewings in `left` are still to come.

        A way from sewing `one` to sewing `two` of its thread does not show beneath the second, nor across the end of
        the first, where it lies like one more of its stitches.
        """
        share = (np.arange(LOOKS) + 0.5) / LOOKS
        places = start[:, None, :] + (end - start)[:, None, :] * share[None, :, None]
        part = self._map.at(places.reshape(-1, 2)).astype(np.int64).reshape(len(start), LOOKS)
        top = self._top[part]
        hidden = self._hidden(part, self._lightness[one][:, None], left)
        near = share[None, :] * np.hypot(*(end - start).T)[:, None] <= ACROSS_MM
        hidden |= (part != CLOTH) & (((top == one[:, None]) & near) | (top == two[:, None]))
        return np.asarray((~hidden).mean(axis=1) * np.hypot(*(end - start).T))

    def _hidden(self, part: Ints, lightness: Floats, left: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Whether thread of that lightness is hidden where `part` lies, if the sewings in `left` are still to come."""
        hidden = np.zeros(part.shape, bool)
        for over in (self._top[part], self._beneath[part]):
            fits = self._closes[over] & left[over] & (over != -1) & (part != CLOTH)
            hidden |= fits & (self._lightness[over] <= lightness + DARKER_BY)
        return hidden

    def route(self, toll: Toll, start: Place, end: Place, two: int) -> tuple[Floats, ...]:
        """(N, 2) mm of a way to sewing `two` that goes round beneath what is still to be sewn; empty if there is none.

        Two ways where it comes out into the open once, for less than is worth a trim.
        """
        low = np.floor((np.minimum(start, end) - self._map.origin_mm - ROUND_MM) / self._map.cell_mm).astype(int)
        high = np.ceil((np.maximum(start, end) - self._map.origin_mm + ROUND_MM) / self._map.cell_mm).astype(int)
        step = max(round(GRID_MM / self._map.cell_mm), 1)
        low = np.maximum(low, 0)
        part = self._map.cells[low[1] : high[1] : step, low[0] : high[0] : step].astype(np.int64)
        corner, grid_mm = self._map.origin_mm + low * self._map.cell_mm, step * self._map.cell_mm
        first, last = (np.floor((np.array(at) - corner) / grid_mm).astype(int) for at in (start, end))
        if not all((at >= 0).all() and (at < part.shape[::-1]).all() for at in (first, last)):
            return ()
        hidden = self._hidden(part, self._lightness[two], self.left) | ((part != CLOTH) & (self._top[part] == two))
        for at in (first, last):
            hidden[max(at[1] - 2, 0) : at[1] + 3, max(at[0] - 2, 0) : at[0] + 3] = True
        most = int(toll.hidden_mm / grid_mm)
        leap = toll.untrimmed_mm / grid_mm - 1
        ways = way_with_leap(hidden, (int(first[0]), int(first[1])), (int(last[0]), int(last[1])), most, leap)
        found = [corner + (way + 0.5) * grid_mm for way in ways]
        if found:
            found[0][0], found[-1][-1] = start, end
        return tuple(straightened(way, GRID_MM) for way in found)

    def seconds(self, toll: Toll, start: Floats, end: Floats, one: Ints, two: Ints, left: NDArray[np.bool_]) -> Floats:
        """(N,) seconds of ways between sewings of one thread, before those in `left` are sewn."""
        way = np.hypot(*(end - start).T)
        shows = self.shows_mm(start, end, one, two, left)
        uncut = np.where(shows < 0.3, HIDDEN_S, JUMP_S)
        fine = (shows <= toll.untrimmed_mm) & (way <= toll.hidden_mm)
        return np.asarray(np.where(fine, uncut, toll.trim_s) + way * toll.per_mm_s)


def _closes(sewing: Sewing) -> bool:
    """Whether a sewing covers what lies under it: no loose base, no open column, no running line."""
    return (sewing.kind == "fill" and sewing.role != "base") or (sewing.kind == "column" and not sewing.over_base)
