"""Which strand shows at each pixel: later ones over earlier ones."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from plans.sewout.frame import Frame
from plans.sewout.strands import Strands

BARE = -1
SUBPIXEL_BITS = 4
TIP = 0.4
"""How far a strand reaches past its hole, in halves of its width."""


def outlines_px(start: Floats, end: Floats, half_px: Floats) -> NDArray[np.int32]:
    """(N, 6, 2) fixed-point outlines of strands: a bar with a point at either end, where it dips to its hole."""
    run = end - start
    length = np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-6)[:, None]
    along = run / length
    side = np.column_stack([-along[:, 1], along[:, 0]]) * half_px[:, None]
    tip = along * half_px[:, None] * TIP
    corners = np.stack([start + side, start - tip, start - side, end - side, end + tip, end + side], axis=1)
    return np.asarray(np.round((corners - 0.5) * 2**SUBPIXEL_BITS), dtype=np.int32)


def draw_cover(
    strands: Strands, place: Frame, px_per_mm: float, shape: tuple[int, int] | None = None
) -> NDArray[np.int32]:
    """(H, W) index of the uppermost strand at each pixel, BARE where cloth shows.

    Accuracy: edges within half a pixel.
    """
    ids = np.full(shape or place.pixels(px_per_mm), BARE, dtype=np.int32)
    half_px = strands.width_mm * px_per_mm / 2 * strands.sunk
    start, end = place.to_px(strands.start, px_per_mm), place.to_px(strands.end, px_per_mm)
    fill = cv2.fillConvexPoly
    for index, outline in enumerate(outlines_px(start, end, half_px)):
        fill(ids, outline, index, 8, SUBPIXEL_BITS)
    return ids
