"""What of a column stays the same wherever it is begun? Its sides, underlay and stitch lines, kept to be had again.

Four approaches sew the same runs, each from another end: what was laid for one of them serves them all.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from analyse.values import Floats, Spine
from plans.stitching.column import ColumnRules, stitch_lines
from plans.stitching.compensation import polygons
from plans.stitching.curves import along
from plans.stitching.sides import Sides, carried_on, held_back, sides_of, spine_from_shape
from plans.stitching.underlay import RunRules, column_underlay
from plans.values import Underlay

CARRY_ON_MM = 1.5  # how far a column follows its shape beyond its drawn end, where it runs under another part
TUCK_MM = 0.3  # how far an end runs under the next run of the same sewing
MET_STEP = 3  # every so many samples of a run are looked at for what meets it
EVEN_MM = 1e-6  # ways that differ by less are even
PLACES = 16  # a closed run is begun at one of so many places
KEPT = 2048  # so many sewings' runs are kept: more than a plan has


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One run to be sewn: its sides, and whether its start and its end are closed by another part."""

    sides: Sides
    closed_ends: tuple[bool, bool]


@dataclass(frozen=True, slots=True)
class Wear:
    """What a column is sewn with. grown_mm: what each side gains by pull and by widening."""

    grown_mm: float
    push_mm: float
    spacing_mm: float
    underlay: tuple[Underlay, ...]
    rules: ColumnRules
    runs: RunRules


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A column as it is worn; its needle points are laid when they are first asked for."""

    column: Column
    wear: Wear
    outer: Sides
    _laid: dict[object, Floats] = field(default_factory=dict)

    def under(self, from_end: bool) -> tuple[Floats, ...]:
        """Needle points of each underlay, begun at the start or at the end."""
        sides = self.column.sides.reversed() if from_end else self.column.sides
        for layer in self.wear.underlay:
            if (layer, from_end) in self._laid:
                continue
            there = self._laid.get((layer, not from_end)) if layer.kind == "centre-run" else None
            self._laid[layer, from_end] = (
                column_underlay(sides, layer, self.wear.runs) if there is None else there[::-1]
            )
        return tuple(self._laid[layer, from_end] for layer in self.wear.underlay)

    def top(self, here: Floats) -> Floats:
        """Needle points of the stitch lines, begun at the end and the side that lie nearest to a place."""
        from_end = not self.outer.closed and self.outer.nearer_end(here) == 1
        gaps = [float(np.hypot(*(side[-1 if from_end else 0] - here))) for side in (self.outer.left, self.outer.right)]
        left_first = gaps[0] <= gaps[1] + EVEN_MM
        if not from_end:
            return self._lines(left_first)
        ended = (self._lines(first) for first in (True, False))
        return next((lines[::-1] for lines in ended if self._ends_left(lines) == left_first), self._lines(True)[::-1])

    def _lines(self, start_left: bool) -> Floats:
        if start_left not in self._laid:
            wear = self.wear
            self._laid[start_left] = stitch_lines(self.outer, wear.spacing_mm, wear.rules, start_left=start_left)
        return self._laid[start_left]

    def _ends_left(self, lines: Floats) -> bool:
        left, right = (float(np.hypot(*(lines[-1] - side[-1]))) for side in (self.outer.left, self.outer.right))
        return left <= right


@lru_cache(maxsize=KEPT)
def run_of(column: Column, wear: Wear) -> Run:
    """A column with its sides grown by its compensation, its open ends held back by push."""
    outer = column.sides.inset(-wear.grown_mm)
    if not outer.closed:
        outer = held_back(outer, *(0.0 if closed else wear.push_mm for closed in column.closed_ends))
    return Run(column, wear, outer)


@lru_cache(maxsize=KEPT)
def columns_of(
    spines: tuple[Spine, ...],
    shape: Polygon | MultiPolygon,
    closed_ends: tuple[tuple[bool, bool], ...],
    tuck_mm: float,
) -> tuple[Column, ...]:
    """The runs, carried on where the shape goes on beyond them, and tucked under where another run meets them."""
    closed = closed_ends or ((False, False),) * len(spines)
    kept = [(sides_of(spine), ends) for spine, ends in zip(spines, closed, strict=True) if len(spine.line) > 1]
    met = _met([sides for sides, _ in kept], tuck_mm)
    shapely.prepare(shape)
    found = []
    for (sides, ends), meets in zip(kept, met, strict=True):
        ways = tuple(tuck_mm if one else CARRY_ON_MM for one in meets)
        closed_here = (ends[0] or meets[0], ends[1] or meets[1])
        found.append(Column(carried_on(sides, shape, (ways[0], ways[1])), closed_here))
    return tuple(found)


def begun_near(column: Column, place: Floats) -> Column:
    """A closed run begun at one of a few places of its own, the one nearest to `place`; an open run as it is."""
    if not column.sides.closed:
        return column
    places = np.linspace(0, len(column.sides.left) - 1, PLACES, endpoint=False).astype(np.int64)
    return _begun_at(column, int(places[np.argmin(np.hypot(*(column.sides.middle[places] - place).T))]))


@lru_cache(maxsize=KEPT)
def _begun_at(column: Column, sample: int) -> Column:
    return Column(column.sides.begun_at(sample), column.closed_ends) if sample else column


def forget() -> None:
    """Let go of all that is kept, as a fresh process has it."""
    for kept in (columns_of, run_of, _begun_at):
        kept.cache_clear()


def spines_from(shape: Polygon | MultiPolygon) -> tuple[Spine, ...]:
    """Runs for a shape that came without any."""
    return tuple(spine_from_shape(part) for part in polygons(shape))


def _met(runs: list[Sides], tuck_mm: float) -> list[tuple[bool, bool]]:
    """Whether each run's start and end lie on another run of the same sewing, or on itself further along."""
    if len(runs) == 1 and along(runs[0].middle)[-1] <= _reach(runs[0], tuck_mm):
        return [(False, False)]
    middle = np.concatenate([run.middle[::MET_STEP] for run in runs])
    half = np.concatenate([run.widths[::MET_STEP] for run in runs]) / 2
    ways = [along(run.middle)[::MET_STEP] for run in runs]
    owner = np.repeat(np.arange(len(runs)), [len(way) for way in ways])
    found = []
    for number, run in enumerate(runs):
        gaps = np.hypot(*np.moveaxis(run.ends[:, None] - middle[None], -1, 0)) - half
        other = np.tile(owner != number, (2, 1))
        reach = _reach(run, tuck_mm)
        other[:, owner == number] = np.array([ways[number] > reach, ways[number] < along(run.middle)[-1] - reach])
        near = ((gaps < tuck_mm) & other).any(axis=1)
        found.append((bool(near[0]) and not run.closed, bool(near[1]) and not run.closed))
    return found


def _reach(run: Sides, tuck_mm: float) -> float:
    """How far along a run what lies beside its end is still its own end."""
    return 2.0 * float(run.widths.max()) + tuck_mm
