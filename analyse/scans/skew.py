"""How far a scan lies askew, told by the straight edges in it, and the same laid level."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.files.sizes import LONG_SIDE_PX
from analyse.values import Floats

# Edges are taken from a picture smoothed so far that grain does not turn them.
_SMOOTHED_PX = 2.0
# An edge is steeper than this share of the steepest (99.9th percentile); the rim of the picture is left out.
_STEEP, _RIM_PX = 0.3, 8
# A sheet is laid down no further askew than this; less is not worth turning for.
_MOST_DEG, LEAST_DEG = 6.0, 0.2
# Edges within this of the commonest direction are of it. They must be so large a share of all, and so many times what
# any other direction away from it holds.
_NEAR_DEG, _LEAST_SHARE, _STANDS_OUT = 1.5, 0.12, 3.0
_BIN_DEG = 0.25
_BINS = round(90 / _BIN_DEG)


def skew_deg(rgb: NDArray[np.uint8]) -> float:
    """By how much the upright and level edges of (H, W, 3) are turned, clockwise as seen; 0 where no edges tell.

    Accuracy: see test_skew, 0.1 degrees from 0.3 to 5. Curves and edges at other angles do not matter as long as
    straight ones, upright or level, are the commonest of one direction.
    """
    grey = cv2.GaussianBlur(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY).astype(np.float32), (0, 0), _SMOOTHED_PX)
    across, down = (cv2.Sobel(grey, cv2.CV_32F, *way)[_RIM_PX:-_RIM_PX, _RIM_PX:-_RIM_PX] for way in ((1, 0), (0, 1)))
    steep = np.hypot(across, down)
    if not steep.size or steep.max() < 1:
        return 0.0
    edge = steep > _STEEP * np.percentile(steep, 99.9)
    weight = steep[edge].astype(float)
    # Modulo a right angle: upright and level edges tell the same.
    turn = (np.degrees(np.arctan2(down[edge], across[edge])).astype(float) + 45) % 90 - 45
    return _commonest(turn, weight)


def _commonest(turn: Floats, weight: Floats) -> float:
    counts, _ = np.histogram(turn, _BINS, (-45, 45), weights=weight)
    reach = round(_NEAR_DEG / _BIN_DEG)
    ring = np.concatenate([counts[-reach:], counts, counts[:reach]])
    near = np.convolve(ring, np.ones(2 * reach + 1), "valid")
    middles = (np.arange(_BINS) + 0.5) * _BIN_DEG - 45
    within = np.abs(middles) <= _MOST_DEG
    best = float(middles[within][np.argmax(near[within])])
    elsewhere = near[np.abs(middles - best) > 2 * _NEAR_DEG].max()
    held = float(near[within].max())
    if held < _LEAST_SHARE * weight.sum() or held < _STANDS_OUT * elsewhere:
        return 0.0
    for _ in range(4):
        mine = np.abs(turn - best) <= _NEAR_DEG
        best = float(np.average(turn[mine], weights=weight[mine]))
    return best


def level(rgb: NDArray[np.uint8], askew_deg: float) -> tuple[NDArray[np.uint8], Floats]:
    """`rgb` turned back, all of it kept, and the 3 x 3 from its px; smaller where it would be too large."""
    high, wide = rgb.shape[:2]
    turn = np.deg2rad(askew_deg)
    cos, sin = float(np.cos(turn)), abs(float(np.sin(turn)))
    size = np.array([wide * cos + high * sin, high * cos + wide * sin])
    scale = min(1.0, LONG_SIDE_PX / float(size.max()))
    out = np.maximum(1, np.rint(size * scale)).astype(int)
    matrix = np.vstack([cv2.getRotationMatrix2D((wide / 2, high / 2), askew_deg, scale), [0, 0, 1]])
    matrix[:2, 2] += out / 2 - np.array([wide, high]) / 2
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    between_centres = np.linalg.inv(half) @ matrix @ half
    turned = cv2.warpPerspective(
        rgb, between_centres, (int(out[0]), int(out[1])), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(turned, np.uint8), matrix
