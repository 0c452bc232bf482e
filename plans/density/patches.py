"""Hard patches: where the judged cover or the needle points pass what the cloth bears, and what is to be done."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np

from analyse.values import Floats, SizedDrawing
from plans.density.causes import Share, said, shares_of, worth_naming
from plans.density.cures import LEAST, Cure, cure_for
from plans.density.deposit import Grid, Pieces
from plans.values import HardPatch, Step, Stitches


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


def peaks_over(values: Floats, limit: float, near_cells: int) -> list[tuple[int, int]]:
    """Row and column of the highest cell of each area over `limit`, highest first.

    Areas within `near_cells` of each other are one: a hand meets them as one.
    """
    over = (values > limit).astype(np.uint8)
    wide = cv2.dilate(over, np.ones((near_cells, near_cells), np.uint8))
    count, labels, boxes, _ = cv2.connectedComponentsWithStats(wide, connectivity=8)
    found = []
    for label in range(1, count):
        left, top, width, height = boxes[label, :4]
        part = (slice(top, top + height), slice(left, left + width))
        inside = np.where((labels[part] == label) & (over[part] > 0), values[part], -np.inf)
        row, column = np.unravel_index(int(inside.argmax()), inside.shape)
        found.append((int(row + top), int(column + left)))
    return sorted(found, key=lambda cell: (-values[cell], cell))


def hard_patches(ground: Ground, stacked: Floats, pricked: Floats) -> tuple[HardPatch, ...]:
    """Every area harder than its cloth bears, hardest first; then those pricked too often and not hard already."""
    trade = ground.sized.trade
    hard = trade.cloth(ground.sized.cloth).hard_layers
    most = float(trade.value("density.needle_points"))
    side = round(ground.window_mm / ground.grid.cell_mm)
    near_hard = cv2.dilate((stacked > hard).astype(np.uint8), np.ones((side, side), np.uint8)) > 0
    also = np.where(near_hard, 0.0, pricked)
    layers = [explained(ground, cell, float(stacked[cell]), hard, "layers") for cell in peaks_over(stacked, hard, side)]
    points = [explained(ground, cell, float(also[cell]), most, "points") for cell in peaks_over(also, most, side)]
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
