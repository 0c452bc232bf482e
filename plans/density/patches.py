"""Hard patches: where the judged cover or the needle points pass what the cloth bears, and what is to be done."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np

from analyse.values import Floats, SizedDrawing
from plans.density.causes import Share, said, shares_of, worth_naming
from plans.density.cures import LEAST, Cure, cure_for
from plans.density.deposit import Grid, Pieces
from plans.density.window import over_window
from plans.values import Density, HardPatch, Step, Stitches

APART_MM = 6.0
"""Hard places nearer than this to each other are one patch: a hand meets them as one."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What a patch is explained from. full_mm: thread of one full layer, mm per mm2."""

    grid: Grid
    pieces: Pieces
    stitches: Stitches
    steps: tuple[Step, ...]
    sized: SizedDrawing
    full_mm: float
    window_mm: float


def peaks_over(values: Floats, limit: float, cell_mm: float) -> list[tuple[int, int]]:
    """Row and column of the cells over `limit` that none within APART_MM passes, highest first.

    So what lies near each other is one patch, and a wide hard area has several.
    """
    reach = round(APART_MM / cell_mm)
    highest = cv2.dilate(values, np.ones((2 * reach + 1, 2 * reach + 1), np.uint8))
    cells = np.argwhere((values >= highest) & (values > limit))
    kept: list[tuple[int, int]] = []
    for row, column in sorted(cells.tolist(), key=lambda cell: (-values[cell[0], cell[1]], cell)):
        if all(max(abs(row - other[0]), abs(column - other[1])) > reach for other in kept):
            kept.append((row, column))
    return kept


def hard_patches(ground: Ground, stacked: Floats, pricked: Floats) -> tuple[HardPatch, ...]:
    """Every area harder than its cloth bears, hardest first; then those pricked too often and not hard already."""
    trade = ground.sized.trade
    hard = trade.cloth(ground.sized.cloth).hard_layers
    most = float(trade.value("density.needle_points"))
    cell = ground.grid.cell_mm
    side = 2 * round(APART_MM / cell) + 1
    near_hard = cv2.dilate((stacked > hard).astype(np.uint8), np.ones((side, side), np.uint8)) > 0
    also = np.where(near_hard, 0.0, pricked)
    layers = [explained(ground, peak, float(stacked[peak]), hard, "layers") for peak in peaks_over(stacked, hard, cell)]
    points = [explained(ground, peak, float(also[peak]), most, "points") for peak in peaks_over(also, most, cell)]
    return (*layers, *points)


def explained(ground: Ground, cell: tuple[int, int], measure: float, limit: float, unit: str) -> HardPatch:
    """One patch with its cause and its cure."""
    at_mm = ground.grid.centre_mm(*cell)
    shares = shares_of(ground.pieces, ground.stitches, at_mm, ground.window_mm, ground.full_mm)
    because, counted = said(shares, ground.steps), shares
    if unit == "points":
        because += f": {measure:.1f} needle points per mm2"
        counted = tuple(replace(share, layers=share.points / ground.window_mm**2) for share in shares)
    cure = cure_for(counted, ground.stitches, ground.steps, ground.sized, measure, limit)
    return HardPatch(
        at_mm, measure, because, worded(cure, measure, limit, unit), unit, limit, named(shares), cure.saves
    )


def named(shares: tuple[Share, ...]) -> tuple[int, ...]:
    """The steps that meet in a patch, bottom up."""
    return tuple(sorted({share.step for share in worth_naming(shares)}))


def worded(cure: Cure, measure: float, limit: float, unit: str) -> str:
    """The cure as a sentence, with what it saves."""
    left = measure - cure.layers
    end = "" if left <= limit + LEAST else f"; still over {limit:g}: fewer things may cross here"
    saved = f", about {cure.saves:,} stitches fewer" if cure.saves else ""
    name = {"layers": "layers", "points": "needle points per mm2"}[unit]
    return f"{cure.text}: {measure:.1f} to {left:.1f} {name} here{saved}{end}"


def layers_at(density: Density, sized: SizedDrawing) -> list[float]:
    """Full layers over the judging window at each hard patch, those found by their needle points included."""
    if all(patch.unit == "layers" for patch in density.hard_patches):
        return [patch.layers for patch in density.hard_patches]
    stacked = over_window(density.layers, float(sized.trade.value("density.window")), density.cell_mm)
    (left, top), cell = density.origin_mm, density.cell_mm
    return [
        patch.layers if patch.unit == "layers" else float(stacked[int((y - top) / cell), int((x - left) / cell)])
        for patch in density.hard_patches
        for x, y in (patch.at_mm,)
    ]
