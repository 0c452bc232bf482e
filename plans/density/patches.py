"""Hard patches: where the judged cover or the needle points pass what the cloth bears, and what is to be done."""

from __future__ import annotations

from dataclasses import dataclass

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


def peaks_over(values: Floats, limit: float) -> list[tuple[int, int]]:
    """Row and column of the highest cell of each connected area over `limit`, highest first."""
    count, labels, boxes, _ = cv2.connectedComponentsWithStats((values > limit).astype(np.uint8), connectivity=8)
    found = []
    for label in range(1, count):
        left, top, width, height = boxes[label, :4]
        part = (slice(top, top + height), slice(left, left + width))
        inside = np.where(labels[part] == label, values[part], -np.inf)
        row, column = np.unravel_index(int(inside.argmax()), inside.shape)
        found.append((int(row + top), int(column + left)))
    return sorted(found, key=lambda cell: (-values[cell], cell))


def hard_patches(ground: Ground, stacked: Floats, pricked: Floats) -> tuple[HardPatch, ...]:
    """Every area harder than its cloth bears, hardest first; then those pricked too often and not hard already."""
    trade = ground.sized.trade
    hard = trade.cloth(ground.sized.cloth).hard_layers
    most = float(trade.value("density.needle_points"))
    layers = [explained(ground, cell, float(stacked[cell]), hard) for cell in peaks_over(stacked, hard)]
    also = np.where(cv2.dilate((stacked > hard).astype(np.uint8), np.ones((9, 9), np.uint8)) > 0, 0.0, pricked)
    points = [pricked_patch(ground, cell, float(also[cell]), most) for cell in peaks_over(also, most)]
    return (*layers, *points)


def explained(ground: Ground, cell: tuple[int, int], layers: float, limit: float) -> HardPatch:
    """One patch with its cause and its cure."""
    at_mm = ground.grid.centre_mm(*cell)
    shares = shares_of(ground.pieces, ground.stitches, at_mm, ground.window_mm, ground.full_mm)
    cure = cure_for(shares, ground.stitches, ground.steps, ground.sized, layers, limit)
    return HardPatch(
        at_mm,
        layers,
        said(shares, ground.steps),
        worded(cure, layers, limit),
        "layers",
        limit,
        named(shares),
        cure.saves,
    )


def pricked_patch(ground: Ground, cell: tuple[int, int], points: float, limit: float) -> HardPatch:
    """A place the needle meets too often: the cloth is cut and thread breaks."""
    at_mm = ground.grid.centre_mm(*cell)
    shares = shares_of(ground.pieces, ground.stitches, at_mm, ground.window_mm, ground.full_mm)
    because = f"{said(shares, ground.steps)}: {points:.1f} needle points per mm2"
    cure = f"lengthen the stitches or open the spacing by {max(points / limit - 1, 0.05):.0%}"
    return HardPatch(at_mm, points, because, cure, "points", limit, named(shares))


def named(shares: tuple[Share, ...]) -> tuple[int, ...]:
    """The steps that meet in a patch, bottom up."""
    return tuple(sorted({share.step for share in worth_naming(shares)}))


def worded(cure: Cure, layers: float, limit: float) -> str:
    """The cure as a sentence, with what it saves."""
    left = layers - cure.layers
    end = "" if left <= limit + LEAST else f"; still over {limit:g}: fewer things may cross here"
    saved = f", about {cure.saves:,} stitches fewer" if cure.saves else ""
    return f"{cure.text}: {layers:.1f} to {left:.1f} layers here{saved}{end}"
