"""Thread piled up over what the cloth bears: it bulges, stitches ride over each other, the cloth puckers round it."""

from __future__ import annotations

import cv2
import numpy as np

from analyse.values import Floats
from plans.density.deposit import grid_over
from plans.density.window import over_window
from plans.sewout.tones import Light
from plans.sewout.weaves import noise

CELL_MM = 0.8
"""Coarse enough to be cheap, fine against the window that hardness is judged over."""
WORST = 0.5
"""Over what the cloth bears by this share of it, a heap is as bad as it gets."""
ASTRAY_MM = 0.40
"""Needle points stray by up to this much there, as nothing holds them."""
BULGE_MM, ROUND_MM = 1.0, 0.5
"""The heap stands so much higher there than its layers alone, rounded off over the second."""
PULL_MM, REACH_MM, FOLD_MM, FOLDED_MM = 1.2, 4.0, 1.6, 1.10
"""Small heaps are evened out over the first; folds die away over the second, and are so wide and so deep."""
PULLS_FROM = 0.2
"""How bad, of 1, a heap is from which folds run out."""
SEED = 11


def over(layers: Floats, hard: float) -> Floats:
    """How bad a heap is, 0 to 1: by how much the cover goes beyond what the cloth bears."""
    return np.asarray(np.clip((layers / hard - 1) / WORST, 0, 1))


def over_at(xy: Floats, middle: Floats, length: Floats, hard_mm: float, window_mm: float) -> Floats:
    """(N,) how far cover is over what the cloth bears at each of (N, 2) points. middle, length: thread in pieces."""
    grid = grid_over(xy, CELL_MM)
    laid = np.bincount(grid.cell_of(middle), length, grid.shape[0] * grid.shape[1]).reshape(grid.shape)
    heap = over(over_window(laid / CELL_MM**2, window_mm, CELL_MM), hard_mm)
    return np.asarray(heap.ravel()[grid.cell_of(xy)]) if heap.any() else np.zeros(len(xy))


def heaped(thread: Floats, hard_mm: float, window_mm: float, cell_mm: float) -> Light:
    """(H, W) mm that heaps stand out and the cloth about them folds. thread: (H, W) mm per mm2; hard_mm: borne."""
    heap = np.asarray(over(over_window(thread, window_mm, cell_mm), hard_mm), np.float32)
    if not heap.any():
        return heap
    bulge, pull = (np.asarray(cv2.GaussianBlur(heap, (0, 0), mm / cell_mm), np.float32) for mm in (ROUND_MM, PULL_MM))
    return np.asarray(np.float32(BULGE_MM) * bulge + folds(pull, cell_mm))


def folds(pull: Light, cell_mm: float) -> Light:
    """(H, W) mm of the folds that run out from where the cloth is drawn together: each keeps to the nearest place."""
    inside = pull > PULLS_FROM
    if not inside.any():
        return np.zeros_like(pull)
    away, label = cv2.distanceTransformWithLabels(
        (~inside).astype(np.uint8), cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL
    )
    ripple = noise(pull.shape, FOLD_MM / cell_mm, SEED) * np.sqrt(cv2.dilate(pull, np.ones((9, 9), np.uint8)))
    at = np.zeros(int(label.max()) + 1, np.float32)
    at[label[inside]] = ripple[inside]
    return np.asarray(at[label] * np.exp(-away * cell_mm / REACH_MM) * np.float32(FOLDED_MM))
