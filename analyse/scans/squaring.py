"""The sheet seen at an angle, laid flat: its true proportions and the way there."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.files.sizes import LONG_SIDE_PX
from analyse.values import Floats

# Focal length in picture long sides where the perspective is too faint to tell it: a phone's main lens, 26 mm on 36 mm.
_USUAL_FOCAL = 0.72
_LEAST_FOCAL, _MOST_FOCAL = 0.4, 6.0
# Proportions sheets come in: ISO 216, letter, tabloid, square; taken if the measured one is this near.
_USUAL_ASPECTS = (2**0.5, 11 / 8.5, 17 / 11, 1.5, 4 / 3, 1.0)
_NEAR_ASPECT = 0.02
# Width of the rim that may show the ground, as a share of the long side.
_RIM = 0.003


@dataclass(frozen=True, slots=True, eq=False)
class Flat:
    """size_px: width and height of the sheet laid flat. matrix: 3 x 3, picture px to its px."""

    size_px: tuple[int, int]
    matrix: Floats
    px_per_mm: float | None


def flat_sheet(corners: Floats, picture_px: tuple[int, int], sheet_mm: tuple[float, float] | None) -> Flat:
    """The sheet with these corners, (4, 2) clockwise from the top left, in its true proportions.

    The longer of opposite sides gives the size, so nothing seen is thrown away, up to the canonical long side.
    """
    lengths = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    wide, high = float(max(lengths[0], lengths[2])), float(max(lengths[1], lengths[3]))
    px_per_mm = None
    if sheet_mm is not None:
        across, down = sorted(sheet_mm, reverse=wide > high)
        aspect = across / down
    else:
        aspect = _usual(_seen_aspect(corners, picture_px))
    if aspect * high > wide:
        wide = aspect * high
    else:
        high = wide / aspect
    shrink = min(1.0, LONG_SIDE_PX / max(wide, high))
    size = max(8, round(wide * shrink)), max(8, round(high * shrink))
    if sheet_mm is not None:
        px_per_mm = size[0] / across
    target = np.array([[0, 0], [size[0], 0], size, [0, size[1]]], np.float32)
    matrix = cv2.getPerspectiveTransform(corners.astype(np.float32), target).astype(np.float64)
    return Flat(size, matrix, px_per_mm)


def laid_flat(rgb: NDArray[np.uint8], flat: Flat) -> NDArray[np.uint8]:
    """`rgb` through the matrix, by cubic interpolation; its rim, where the ground shines through, from just inside."""
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    between_centres = np.linalg.inv(half) @ flat.matrix @ half
    warped = cv2.warpPerspective(
        rgb, between_centres, flat.size_px, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    rim = max(2, round(_RIM * max(flat.size_px)))
    inside = warped[rim:-rim, rim:-rim]
    return np.asarray(cv2.copyMakeBorder(inside, rim, rim, rim, rim, cv2.BORDER_REPLICATE), np.uint8)


def _seen_aspect(corners: Floats, picture_px: tuple[int, int]) -> float:
    """Width over height of a rectangle from its view, the lens's axis taken to meet the middle of the picture.

    Source: Zhang and He 2007, Whiteboard scanning and image enhancement, equations 11 to 21 (from memory).
    """
    top_left, top_right, bottom_right, bottom_left = np.column_stack([corners - np.array(picture_px) / 2, np.ones(4)])
    k2 = np.cross(top_left, bottom_right) @ bottom_left / (np.cross(top_right, bottom_right) @ bottom_left)
    k3 = np.cross(top_left, bottom_right) @ top_right / (np.cross(bottom_left, bottom_right) @ top_right)
    across, down = k2 * top_right - top_left, k3 * bottom_left - top_left
    long_side = float(max(picture_px))
    product = across[2] * down[2]
    square = -(across[0] * down[0] + across[1] * down[1]) / product if abs(product) > 1e-12 else -1.0
    focal = square**0.5 if square > 0 else 0.0
    if not _LEAST_FOCAL * long_side < focal < _MOST_FOCAL * long_side:
        focal = _USUAL_FOCAL * long_side
    seen = [float(np.hypot(np.hypot(*side[:2]) / focal, side[2])) for side in (across, down)]
    return seen[0] / seen[1]


def _usual(aspect: float) -> float:
    for usual in _USUAL_ASPECTS:
        for candidate in (usual, 1 / usual):
            if abs(aspect / candidate - 1) < _NEAR_ASPECT:
                return candidate
    return aspect
