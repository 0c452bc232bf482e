"""What a way between two sewings costs, and where it runs so that it does not show."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial

import numpy as np

from analyse.trade import Trade
from analyse.values import Floats, Part
from plans.order.cover import GRID_MM, Cover, Mask
from plans.order.stops import Place
from plans.order.waves import NEAR_CELLS, Ints
from plans.order.ways import Terrain, straightened, terrain_of, way_between
from plans.values import Sewing

ROUNDABOUT = 1.2
"""A way that does not show is so much longer than the straight one, as a rule."""
SMOOTH_MM = 0.12
"""A way is straightened as far as this: half a cell, so that it stays where it was found."""


@dataclass(frozen=True, slots=True)
class Toll:
    """What ways cost: the longest hidden one, how much may show uncut, between two running lines as well, and over what
    thread stands out from; and seconds for a trim, for each mm
    that shows, for a travel out of sight and each mm of it, for each mm of way, and for each mm that letters are joined
    above their baseline."""

    hidden_mm: float
    untrimmed_mm: float
    between_lines_mm: float
    plain_mm: float
    feet_mm: float
    trim_s: float
    shown_s: float
    hidden_s: float
    hidden_each_s: float
    per_mm_s: float
    raised_s: float


def toll_of(trade: Trade, frame: str) -> Toll:
    """The trade's tolls for flat goods or caps."""
    return Toll(
        float(trade.value("travel.hidden_between_parts")),
        float(trade.value("travel.trim_over")),
        float(trade.value("travel.trim_over_lines")),
        float(trade.value("travel.trim_over_plain")),
        float(trade.value("travel.trim_over_feet")),
        float(trade.value("machine.trim")),
        float(trade.value("travel.shown_counts")),
        float(trade.value("travel.hidden_counts")),
        float(trade.value("travel.hidden_each_counts")),
        60 / float(trade.value("machine.speed", frame=frame)) / float(trade.value("travel.stitch")),
        float(trade.value("travel.raised_counts")),
    )


@dataclass(slots=True)
class Traveller:
    """Ways over the cover of one design, for one set of tolls."""

    sewings: tuple[Sewing, ...]
    parts: tuple[Part, ...]
    cover: Cover
    toll: Toll
    _known: dict[tuple[int, bytes], Terrain] = field(default_factory=dict)

    def seconds(self, xy: Floats, owner: Ints, left: Mask) -> Floats:
        """(N, N) seconds of the ways between places (N, 2) of sewings (N,) of one thread, before those in `left`."""
        toll, thread = self.toll, self.sewings[int(owner[0])].thread
        apart = np.hypot(*(xy[:, None, :] - xy[None, :, :]).transpose(2, 0, 1))
        shown = self._shown_mm(xy, self._terrain(thread, left))
        line, letter = (
            np.array([reads(self.sewings[task]) for task in owner.tolist()])
            for reads in (self._reads_as_line, self._is_letter)
        )
        most = np.where(line[:, None] & line[None, :], toll.between_lines_mm, toll.untrimmed_mm)
        way = ROUNDABOUT * apart
        each_s = toll.hidden_each_s + toll.per_mm_s
        hidden = np.where(way <= toll.hidden_mm, toll.hidden_s + shown * toll.shown_s + way * each_s, np.inf)
        hidden[shown > np.where(letter[:, None] & letter[None, :], toll.feet_mm, most)] = np.inf
        left_lying = (apart <= most) & ~self._plain(thread, xy, owner, apart, most)
        short = np.where(left_lying, apart * (toll.shown_s + toll.per_mm_s), np.inf)
        return np.asarray(np.minimum(np.minimum(hidden, short), toll.trim_s + apart * toll.per_mm_s))

    def _plain(self, thread: int, xy: Floats, owner: Ints, apart: Floats, most: Floats) -> Mask:
        """(N, N) short ways between places that would stand out, were they left uncut."""
        found = np.zeros(apart.shape, bool)
        one, two = np.nonzero((apart <= most) & (owner[:, None] != owner[None, :]))
        found[one, two] = self.cover.plain_mm(thread, xy[one], xy[two]) > self.toll.plain_mm
        return found

    def may_be_left(self, one: Sewing, two: Sewing, start: Place, end: Place) -> bool:
        """Whether thread straight from one sewing to the next of its thread is left uncut."""
        begins, ends = np.array([start]), np.array([end])
        if np.hypot(*(ends - begins)[0]) > min(self.shown_most_mm(one, two), self.toll.untrimmed_mm):
            return False
        return bool(self.cover.plain_mm(two.thread, begins, ends)[0] <= self.toll.plain_mm)

    def shown_most_mm(self, one: Sewing, two: Sewing) -> float:
        """How much of a way between two sewings may show: between two lines less, where it reads as one more.

        Between the feet of two letters more: it lies along the line they stand on.
        """
        if self._is_letter(one) and self._is_letter(two):
            return self.toll.feet_mm
        both = self._reads_as_line(one) and self._reads_as_line(two)
        return self.toll.between_lines_mm if both else self.toll.untrimmed_mm

    def _reads_as_line(self, sewing: Sewing) -> bool:
        return sewing.kind == "running" and not self._is_letter(sewing)

    def _is_letter(self, sewing: Sewing) -> bool:
        return self.parts[sewing.part].role_hint == "letter"

    def ways(
        self, one: Sewing, two: Sewing, left: Mask, start: Place, end: Place, sewn: Mask | None = None
    ) -> list[Floats]:
        """Ways (N, 2) mm from one sewing to the next of its thread that do not show, a leap between each and the next.

        Empty where there are none. They go along the edges of what is `sewn` of the thread, or lie beneath the rest.
        """
        toll, grid = self.toll, self.cover.grid
        (x0, y0), (x1, y1) = grid.cells(np.array([start, end])).tolist()
        most, leap = toll.hidden_mm / GRID_MM, self.shown_most_mm(one, two) / GRID_MM
        shunned = None if sewn is None else self.cover.finished(two.thread, sewn)
        cells = way_between(self._terrain(two.thread, left), (x0, y0), (x1, y1), most, leap, shunned)
        found = [self.cover.on_lines(two.thread, grid.places(way)) for way in cells]
        if found:
            found[0] = np.vstack([[start], found[0][1:]])
            found[-1] = np.vstack([found[-1][:-1] if len(found[-1]) > 1 else found[-1], [end]])
        return [straightened(way, SMOOTH_MM) for way in found]

    def _terrain(self, thread: int, left: Mask) -> Terrain:
        key = (thread, np.packbits(left).tobytes())
        if key not in self._known:
            unseen = self.cover.unseen(thread, left)
            self._known[key] = terrain_of(unseen, self.toll.feet_mm / GRID_MM, partial(self._may_leap, thread))
        return self._known[key]

    def _may_leap(self, thread: int, leaving: Ints, landing: Ints) -> Mask:
        places = self.cover.grid.places
        begins, ends = places(leaving), places(landing)
        short = np.hypot(*(ends - begins).T) <= self.toll.untrimmed_mm
        fine = self.cover.plain_mm(thread, begins, ends) <= self.toll.plain_mm
        return np.asarray(fine & (short | self.cover.low(begins, ends)))

    def _shown_mm(self, xy: Floats, terrain: Terrain) -> Floats:
        """(N, N) mm that show, at the least, on the way between places; inf where no way leads there."""
        leaps = terrain.leaps
        shown = np.full((int(terrain.areas.max()) + 1,) * 2, np.inf)
        np.fill_diagonal(shown, 0.0)
        one, two = np.vstack([leaps.areas, leaps.areas[:, ::-1]]).T
        np.minimum.at(shown, (one, two), np.tile(leaps.length * GRID_MM, 2))
        for area in np.unique(one).tolist():  # Floyd, Warshall 1962
            np.minimum(shown, shown[:, area, None] + shown[None, area, :], out=shown)
        shown[0, :] = shown[:, 0] = np.inf
        cells = self.cover.grid.cells(xy)
        at = cells[:, 1], cells[:, 0]
        area_of = np.where(terrain.off[at] <= NEAR_CELLS, terrain.nearest_area[at], 0)
        return np.asarray(shown[area_of[:, None], area_of[None, :]])
