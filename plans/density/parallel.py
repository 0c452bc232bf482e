"""Where top stitches run along those right beneath and sink in between them: the marks, the steps and the cure."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analyse.trade import Trade
from analyse.values import Floats
from plans.density.causes import what
from plans.density.deposit import CELL_MM, Grid, cut, grid_over, sewn_rows
from plans.values import HardPatch, Lay, Step, Stitches

SIDE_MM = 2 * CELL_MM
"""A cell of half a millimetre holds a line or two of a loose base."""
LEAST_COVER = 0.25
"""Of a full layer: less of it in a cell is an edge, or no ground to sink in."""
EVEN = 0.7
"""So much of a layer's thread in a cell runs one way, or it has no direction there."""
LITTLE = 0.5
"""A turn of the rows that leaves more than this share of it sunk is no cure."""
STRAIGHT = 0.95
"""Rows whose directions, doubled, average to at least this run one way and can be turned as one."""
AS_GOOD_AS_ALONG_DEG = 5.0
"""Said without a figure."""
NEARLY_ALL = 0.9
"""A step of which so much sinks in sinks in."""
TURNS_DEG: Floats = np.arange(0.0, 180.0, 5.0)


@dataclass(frozen=True, slots=True, eq=False)
class Meetings:
    """A row wherever a column or a line lies right on a fill. Angles are stitch angles, in degrees.

    cell: flat index into the grid; upper, lower: steps; upper_deg, lower_deg: their directions there. sewn: (steps,)
    cells that each step's top stitching lies on.
    """

    grid: Grid
    cell: NDArray[np.int64]
    upper: NDArray[np.int64]
    lower: NDArray[np.int64]
    upper_deg: Floats
    lower_deg: Floats
    sewn: NDArray[np.int64]

    def on(self, rows: NDArray[np.bool_]) -> Meetings:
        """Some of the rows."""
        return replace(
            self,
            cell=self.cell[rows],
            upper=self.upper[rows],
            lower=self.lower[rows],
            upper_deg=self.upper_deg[rows],
            lower_deg=self.lower_deg[rows],
        )

    def places(self) -> Floats:
        """(N, 2) mm, the middle of each cell."""
        row, column = np.divmod(self.cell, self.grid.shape[1])
        return np.column_stack([column + 0.5, row + 0.5]) * self.grid.cell_mm + self.grid.origin_mm


@dataclass(frozen=True, slots=True, eq=False)
class Sinking:
    """Where detail sinks in. marks: (N, 3) x, y in mm and the stitches' angle there; spots: one for each step."""

    marks: Floats
    spots: tuple[HardPatch, ...]


def sinking(stitches: Stitches, steps: tuple[Step, ...], trade: Trade, full_mm: float) -> Sinking:
    """Every place where top stitches run along those right beneath, and the steps of which that is a large share."""
    if not any(step.sewing.kind == "fill" for step in steps):
        return Sinking(np.empty((0, 3)), ())
    met = meetings(stitches, steps, full_mm)
    met = met.on(~lifted(steps, trade)[met.upper])
    sunk = met.on(apart(met.upper_deg, met.lower_deg) < float(trade.value("density.parallel_within")))
    cells = np.bincount(sunk.upper, minlength=len(steps))
    named = (cells > 0) & (cells >= np.maximum(
        float(trade.value("density.parallel_share")) * sunk.sewn,
        float(trade.value("density.parallel_least")) / sunk.grid.cell_mm**2,
    ))  # fmt: skip
    worst_first = sorted(np.flatnonzero(named).tolist(), key=lambda step: (-cells[step], step))
    lowers = {step: int(np.bincount(sunk.lower[sunk.upper == step]).argmax()) for step in worst_first}
    cures = {
        lower: _cure(steps[lower], sunk.on(sunk.lower == lower), met.on(met.lower == lower), trade)
        for lower in set(lowers.values())
    }
    spots = tuple(_spot((lowers[step], step), sunk, steps, cures[lowers[step]]) for step in worst_first)
    return Sinking(np.column_stack([sunk.places(), sunk.upper_deg]), spots)


def lifted(steps: tuple[Step, ...], trade: Trade) -> NDArray[np.bool_]:
    """(steps,) whether an underlay of its own carries a step clear of the rows beneath."""
    lifts = frozenset(trade.value("density.lifts"))
    return np.array([any(one.kind in lifts for one in step.sewing.underlay) for step in steps], np.bool_)


def meetings(stitches: Stitches, steps: tuple[Step, ...], full_mm: float) -> Meetings:
    """Every cell where a column or a line lies right on top of a fill. full_mm: thread of a full layer, mm per mm2."""
    rows = sewn_rows(stitches)
    rows = rows[stitches.lay[rows] == Lay.TOP]
    grid, fill = grid_over(stitches.xy, SIDE_MM), np.array([step.sewing.kind == "fill" for step in steps])
    xy, length, owner = cut(stitches.xy[rows - 1], stitches.xy[rows], SIDE_MM)
    cells, of_step = grid.cell_of(xy), stitches.step[rows][owner]
    over = np.zeros(grid.shape[0] * grid.shape[1], np.bool_)
    over[cells[~fill[of_step]]] = True
    near = np.flatnonzero(over[cells])
    run = stitches.xy[rows] - stitches.xy[rows - 1]
    length, turn = length[near], (2 * np.arctan2(-run[:, 1], run[:, 0]))[owner[near]]
    key, of = np.unique(cells[near] * len(steps) + of_step[near], return_inverse=True)
    along, aside, thread = (np.bincount(of, length * part) for part in (np.cos(turn), np.sin(turn), np.ones(len(turn))))
    cell, step = np.divmod(key, len(steps))
    thick = thread >= LEAST_COVER * full_mm * SIDE_MM**2
    ground = (np.hypot(along, aside) >= EVEN * thread) & (thick | ~fill[step])
    sewn = np.bincount(step, minlength=len(steps))
    cell, step, deg = cell[ground], step[ground], (np.degrees(np.arctan2(aside, along)) / 2 % 180.0)[ground]
    above = 1 + np.flatnonzero((cell[1:] == cell[:-1]) & fill[step[:-1]] & ~fill[step[1:]])
    return Meetings(grid, cell[above], step[above], step[above - 1], deg[above], deg[above - 1], sewn)


def apart(first: Floats, second: Floats) -> Floats:
    """Degrees between directions, 0 to 90."""
    turn = np.abs(first - second) % 180.0
    return np.asarray(np.minimum(turn, 180.0 - turn))


def _spot(both: tuple[int, int], sunk: Meetings, steps: tuple[Step, ...], cure: str) -> HardPatch:
    """One step that sinks in: where, and why. both: the step beneath and the step itself."""
    lower, upper = both
    own = sunk.upper == upper
    places = sunk.places()[own]
    at = places[np.argmin(np.hypot(*(places - places.mean(axis=0)).T))]
    off = float(np.median(apart(sunk.upper_deg[own], sunk.lower_deg[own])))
    because = f"a {what(steps[upper])} runs {along(off)} the rows of the {what(steps[lower])} right beneath it"
    share = float(own.sum() / sunk.sewn[upper])
    because += f" and sinks in between them{'' if share >= NEARLY_ALL else f', {100 * share:.0f} % of it'}"
    area = float(own.sum()) * sunk.grid.cell_mm**2
    return HardPatch((float(at[0]), float(at[1])), area, because, cure, "sunk", steps=both)


def along(off_deg: float) -> str:
    """`along`, `within 12° of`."""
    return "along" if off_deg < AS_GOOD_AS_ALONG_DEG else f"within {math.ceil(off_deg)}° of"


def _cure(lower: Step, sunk: Meetings, met: Meetings, trade: Trade) -> str:
    """The rows beneath turned off all that lies on them; where no turn does that, something that carries it.

    sunk, met: those on this lower step.
    """
    within, clear = (float(trade.value(row)) for row in ("density.parallel_within", "base.angle_off_columns"))
    degrees = np.bincount(np.round(met.upper_deg).astype(np.int64) % 180, minlength=180)
    off = apart(np.arange(180.0), TURNS_DEG[:, None])
    left, near = (off < within) @ degrees, np.maximum(clear - off, 0) @ degrees
    best = int(np.lexsort((near, left))[0])
    turns = 2 * np.radians(sunk.lower_deg)
    east, north = float(np.cos(turns).mean()), float(np.sin(turns).mean())
    straight = lower.sewing.guide is None and math.hypot(east, north) >= STRAIGHT
    if not straight or left[best] > LITTLE * len(sunk.cell):
        return "lay an edge run and a zigzag under it, which lift it off the rows"
    now, then = (float(count) * sunk.grid.cell_mm**2 for count in (len(sunk.cell), left[best]))
    turn = f"{math.degrees(math.atan2(north, east)) / 2 % 180:.0f}° to {TURNS_DEG[best]:.0f}°"
    return f"turn the rows beneath from {turn}: {now:.0f} to {then:.0f} mm² of all that lies on them sink in"
