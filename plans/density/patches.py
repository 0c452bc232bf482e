"""Hard patches: where the judged cover or the needle points pass what the cloth bears, and what is to be done."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.trade import Cloth, Trade
from analyse.values import Floats, SizedDrawing
from plans.density.causes import said, worth_naming
from plans.density.cures import ERROR, Case, Cure, cure_for
from plans.density.deposit import Grid, Pieces
from plans.density.spots import spot_at
from plans.density.window import over_window
from plans.values import Density, HardPatch, Step, Stitches

Cell = tuple[int, int]
"""Row and column of a grid."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What a patch is explained from. full_mm: thread of one full layer, mm per mm2; counts: (steps, lays)."""

    grid: Grid
    pieces: Pieces
    stitches: Stitches
    steps: tuple[Step, ...]
    sized: SizedDrawing
    full_mm: float
    window_mm: float
    counts: NDArray[np.int64]


def peaks_over(values: Floats, limit: float, reach: int) -> list[Cell]:
    """Row and column of the cells over `limit` that none within `reach` cells passes, highest first.

    So what lies near each other is one patch, and a wide hard area has several.
    """
    if not (values > limit).any():
        return []
    highest = cv2.dilate(values, np.ones((2 * reach + 1, 2 * reach + 1), np.uint8))
    cells = np.argwhere((values >= highest) & (values > limit))
    kept: list[Cell] = []
    for row, column in sorted(cells.tolist(), key=lambda cell: (-values[cell[0], cell[1]], cell)):
        if all(max(abs(row - other[0]), abs(column - other[1])) > reach for other in kept):
            kept.append((row, column))
    return kept


def hard_patches(ground: Ground, stacked: Floats, pricked: Floats) -> tuple[HardPatch, ...]:
    """Every area harder than its cloth bears, hardest first; then those pricked too often and not hard already."""
    trade = ground.sized.trade
    cloth = trade.cloth(ground.sized.cloth)
    hard, most = cloth.hard_layers, most_points(cloth, trade)
    reach = round(float(trade.value("density.apart")) / ground.grid.cell_mm)
    side = 2 * reach + 1
    near_hard = cv2.dilate((stacked > hard).astype(np.uint8), np.ones((side, side), np.uint8)) > 0
    also = np.where(near_hard, 0.0, pricked)
    thick, pierced = peaks_over(stacked, hard, reach), peaks_over(also, most, reach)
    ground = replace(ground, pieces=ground.pieces.on(about([*thick, *pierced], ground), ground.grid))
    layers = [explained(ground, peak, float(stacked[peak]), hard, "layers") for peak in thick]
    points = [explained(ground, peak, float(also[peak]), most, "points") for peak in pierced]
    return (*layers, *points)


def most_points(cloth: Cloth, trade: Trade) -> float:
    """Needle points per mm2 that a cloth bears: fewer where holes never close."""
    return float(trade.value("density.needle_points_cut") if cloth.holes_stay else trade.value("density.needle_points"))


def about(peaks: list[Cell], ground: Ground) -> NDArray[np.bool_]:
    """(H, W) the cells that the judging window about any of these reaches."""
    reach = math.ceil(ground.window_mm / 2 / ground.grid.cell_mm) + 1
    cells = np.zeros(ground.grid.shape, np.bool_)
    for row, column in peaks:
        cells[max(0, row - reach) : row + reach + 1, max(0, column - reach) : column + reach + 1] = True
    return cells


def explained(ground: Ground, cell: Cell, measure: float, limit: float, unit: str) -> HardPatch:
    """One patch with its cause and its cure."""
    at_mm, trade = ground.grid.centre_mm(*cell), ground.sized.trade
    spot = spot_at(ground.pieces, ground.stitches, at_mm, ground.window_mm, ground.full_mm)
    because = said(spot, ground.steps, trade)
    if unit == "points":
        because += f": {measure:.1f} needle points per mm²"
    cure = cure_for(Case(spot, ground.steps, ground.counts, trade, unit), measure, limit)
    meeting = tuple(sorted({share.step for share in worth_naming(spot, trade)}))
    return HardPatch(at_mm, measure, because, worded(cure, measure, limit, unit), unit, limit, meeting, cure.saves)


def worded(cure: Cure, measure: float, limit: float, unit: str) -> str:
    """The cure as a sentence, with what it saves."""
    if not cure.takes:
        return ""
    left = measure - cure.takes
    end = "" if left <= limit + ERROR else f"; still over {limit:g}: fewer things may cross here"
    saved = f", about {cure.saves:,} stitches fewer" if cure.saves else ""
    name = {"layers": "layers", "points": "needle points per mm²"}[unit]
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
