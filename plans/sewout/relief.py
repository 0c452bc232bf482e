"""The piece in relief: thread piles up where layers cross, and what lies higher darkens what lies beside it."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from plans.density.deposit import Grid, cut, deposit
from plans.sewout.frame import Frame
from plans.sewout.heaps import heaped
from plans.sewout.sheen import LIGHT
from plans.sewout.strands import Strands
from plans.sewout.tones import Light

CELL_MM = 0.4
LAYER_MM = 0.20
"""What a full layer of thread adds in height."""
ROUNDING_MM = 0.30
SLOPE_LIGHT = 0.55
CONTACT_DARK = 0.45
CONTACTS_MM = ((0.10, 0.14), (0.20, 0.28), (0.30, 0.42), (-0.08, -0.06))
"""Where the lamp's side is looked at for something higher; the last one stands for light from all round."""
SHADOW_MM, SHADOW_DARK = 0.45, 0.38
"""On the cloth the shadow is softer, and the cloth is drawn down a little at the edge."""
CHINK_MM, CHINK_DARK, THROWN_BACK = 0.16, 0.75, 0.7
"""In a chink narrower than a strand or two hardly any light gets down to the cloth; light cloth throws it about."""


def thread_height(strands: Strands, place: Frame, hard_mm: float, window_mm: float) -> Light:
    """(H, W) mm of thread over the cloth on cells of CELL_MM, smoothed as thread beds itself.

    hard_mm: thread per mm2, over the window, from which this cloth turns hard.
    """
    rows, columns = place.pixels(1 / CELL_MM)
    grid = Grid((place.left_mm, place.top_mm), (rows + 1, columns + 1), CELL_MM)
    xy, length, _ = cut(strands.start, strands.end, CELL_MM)
    low, high = np.array([place.left_mm, place.top_mm]) + CELL_MM, np.array([columns, rows]) * CELL_MM - CELL_MM
    thread = deposit(grid, np.clip(xy, low, low + high - CELL_MM), length / CELL_MM**2)[:rows, :columns]
    height = LAYER_MM * (thread * strands.width_mm).astype(np.float32) ** 0.8
    bedded = cv2.GaussianBlur(height, (0, 0), ROUNDING_MM / CELL_MM)
    return np.asarray(bedded + heaped(thread, hard_mm, window_mm, CELL_MM))


def slope_light(height: Light, shape: tuple[int, int], px_per_mm: float) -> Light:
    """(H, W) light on the slopes of the relief, 1 where it is level."""
    right = cv2.Sobel(height, cv2.CV_32F, 1, 0) / (8 * CELL_MM)
    down = cv2.Sobel(height, cv2.CV_32F, 0, 1) / (8 * CELL_MM)
    light = 1 + SLOPE_LIGHT * np.tanh(-(right * LIGHT[0] + down * LIGHT[1]))
    scale = 1 / (CELL_MM * px_per_mm)
    matrix = np.array([[scale, 0, scale / 2 - 0.5], [0, scale, scale / 2 - 0.5]])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    return np.asarray(cv2.warpAffine(light, matrix, (shape[1], shape[0]), flags=flags, borderValue=1.0))


def contact_light(ids: NDArray[np.int32], strands: Strands, px_per_mm: float) -> Light:
    """(H, W) light left beside and below things sewn later. ids: at the picture's own pixels."""
    level = np.append(strands.step, -1).astype(np.int16)[ids]
    dark = np.zeros(ids.shape, np.float32)
    for right_mm, down_mm in CONTACTS_MM:
        shift = (round(down_mm * px_per_mm), round(right_mm * px_per_mm))
        dark += np.roll(level, shift, axis=(0, 1)) > level
    soft = cv2.GaussianBlur(dark / len(CONTACTS_MM), (0, 0), max(0.07 * px_per_mm, 0.5))
    return np.asarray(1 - CONTACT_DARK * soft, dtype=np.float32)


def shadow(cover: Light, px_per_mm: float, cloth: float) -> Light:
    """(H, W) light left on the cloth about the thread. cloth: the share of light that it throws back."""
    soft = cv2.GaussianBlur(cover, (0, 0), SHADOW_MM * px_per_mm)
    shift = np.array([[1, 0, 0.45], [0, 1, 0.65]]) * [1, 1, SHADOW_MM * px_per_mm]
    cast = cv2.warpAffine(soft, shift, (cover.shape[1], cover.shape[0]), borderMode=cv2.BORDER_REPLICATE)
    deep = np.clip(cv2.GaussianBlur(cover, (0, 0), CHINK_MM * px_per_mm) * 2.5 - 1.4, 0, 1)
    return np.asarray((1 - SHADOW_DARK * cast) * (1 - CHINK_DARK * (1 - THROWN_BACK * cloth) * deep), dtype=np.float32)


def holes(points_mm: Floats, place: Frame, shape: tuple[int, int], px_per_mm: float, size_mm: float) -> Light:
    """(H, W) light left about needle holes, seen where no thread lies."""
    at = np.floor(place.to_px(points_mm, px_per_mm)).astype(np.int64)
    pricked = np.zeros(shape, np.float32)
    pricked[np.clip(at[:, 1], 0, shape[0] - 1), np.clip(at[:, 0], 0, shape[1] - 1)] = 1.0
    sigma = size_mm / 2 * px_per_mm
    dark = cv2.GaussianBlur(pricked, (0, 0), sigma) * (2 * np.pi * sigma * sigma)
    return np.asarray(1 - 0.75 * np.minimum(dark, 1.0), dtype=np.float32)
