"""Judging over a window: a lone hard point does no harm, a hard square does."""

from __future__ import annotations

import cv2
import numpy as np

from analyse.values import Floats


def over_window(values: Floats, window_mm: float, cell_mm: float) -> Floats:
    """Mean over a square window about each cell; cells outside the grid count as bare."""
    side = max(1, round(window_mm / cell_mm))
    return np.asarray(cv2.boxFilter(values, -1, (side, side), borderType=cv2.BORDER_CONSTANT), dtype=np.float64)
