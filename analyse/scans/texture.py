"""Texture: what tells a photograph of a thing, which has some everywhere, from drawn art, which is even or an edge."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

# Looked at with as many pixels as the picture has real ones, at most so many along a side.
_SIDE_PX = 640
# A pixel is even if its neighbours differ by no more levels of 255 than this; up to the second it is texture, above
# that an edge.
_EVEN_LEVELS, _EDGE_LEVELS = 1, 40
# Drawn art, saved small as a JPEG and with shading, is even in 55 % and more and textured in 23 % and less.
_LEAST_EVEN, _MOST_TEXTURED = 0.52, 0.16
# Beside an edge, as far as the blocks of a JPEG ring, art is textured as well; of what lies farther off less than this
# is, and in a photograph 18 % and more. Where hardly anything lies farther off, nothing is told by it.
_RINGING_PX, _LEAST_AWAY_TEXTURED, _LEAST_AWAY = 11, 0.1, 0.04
# Of a print, made even, less is textured away from its edges than this, or no more than so many times what is edge.
_NEAR_EDGE_PX, _STRAY, _STRAY_PER_EDGE = 7, 0.05, 4.0


def is_textured(rgb: NDArray[np.uint8], finest_px: float = 1.0) -> bool:
    """Whether texture lies all over (H, W, 3), whose real pixels are `finest_px` wide."""
    differ = _differences(rgb, finest_px)
    even = differ <= _EVEN_LEVELS
    textured = ~even & (differ <= _EDGE_LEVELS)
    if even.mean() >= _LEAST_EVEN or textured.mean() <= _MOST_TEXTURED:
        return False
    away = ~_beside_edges(differ, _RINGING_PX)
    return bool(away.mean() < _LEAST_AWAY or textured[away].mean() > _LEAST_AWAY_TEXTURED)


def is_of_edges(rgb: NDArray[np.uint8]) -> bool:
    """Whether (H, W, 3) is even but for edges and what lies beside them, as a print is once its grain is gone."""
    differ = _differences(rgb, 1.0)
    stray = float(((differ > _EVEN_LEVELS) & ~_beside_edges(differ, _NEAR_EDGE_PX)).mean())
    return stray < max(_STRAY, _STRAY_PER_EDGE * float((differ > _EDGE_LEVELS).mean()))


def _beside_edges(differ: NDArray[np.uint8], within_px: int) -> NDArray[np.bool_]:
    edge = (differ > _EDGE_LEVELS).astype(np.uint8)
    return np.asarray(cv2.dilate(edge, np.ones((within_px, within_px), np.uint8)) > 0)


def _differences(rgb: NDArray[np.uint8], finest_px: float) -> NDArray[np.uint8]:
    """By how many levels of grey the neighbours of each real pixel differ at most."""
    scale = min(1.0, _SIDE_PX / max(rgb.shape[:2]), 1 / finest_px)
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    small = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else grey
    around = np.ones((3, 3), np.uint8)
    return np.asarray(cv2.subtract(cv2.dilate(small, around), cv2.erode(small, around)), np.uint8)
