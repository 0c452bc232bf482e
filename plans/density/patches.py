"""Hard patches: where the judged cover passes what the cloth bears."""

from __future__ import annotations

import cv2
import numpy as np

from analyse.values import Floats, SizedDrawing
from plans.density.deposit import Grid
from plans.values import HardPatch


def peaks_over(values: Floats, limit: float) -> list[tuple[int, int]]:
    """Row and column of the highest cell of each connected area over `limit`, highest first."""
    count, labels = cv2.connectedComponents((values > limit).astype(np.uint8), connectivity=8)
    found = []
    for label in range(1, count):
        inside = np.where(labels == label, values, -np.inf)
        row, column = np.unravel_index(int(inside.argmax()), values.shape)
        found.append((int(row), int(column)))
    return sorted(found, key=lambda cell: (-values[cell], cell))


def find_patches(grid: Grid, stacked: Floats, sized: SizedDrawing) -> tuple[HardPatch, ...]:
    """Every area harder than its cloth bears, hardest first."""
    hard = sized.trade.cloth(sized.cloth).hard_layers
    return tuple(
        HardPatch(grid.centre_mm(*cell), float(stacked[cell]), "more cover than the cloth bears")
        for cell in peaks_over(stacked, hard)
    )
