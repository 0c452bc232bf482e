"""A faint pattern laid over a picture again and again: a watermark."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

_SIDE_PX = 512
# Marks of a watermark: steps of so many levels of 255. What is fainter is noise, what is stronger the drawing's own.
_FAINTEST, _STRONGEST = 5.0, 110.0
# It is looked for on the bare ground, within so many levels of its colour, and away from what is drawn by so many px.
_BARE_LEVELS, _DRAWN_REACH_PX = 6.0, 11
# Wider than any stroke of a mark: the ground beneath is what is left when all that is finer is gone.
_GROUND_PX = 21
# How alike the marks are to themselves when shifted, and how far a shift must be, as a share of the side.
_ALIKE, _LEAST_SHIFT = 0.3, 0.07
# Tiles along a side; one counts if so much of it is bare, and bears marks on so much of that. Least number of tiles
# that count, and least share of them that bear marks.
_TILES, _BARE_IN_TILE, _MARKED_IN_TILE = 6, 0.35, 0.01
_LEAST_TILES, _LEAST_MARKED = 8, 0.5
# A shift counts where the pictures still overlap by this share.
_LEAST_OVERLAP = 0.35

Plane = NDArray[np.float32]


def has_repeated_overlay(rgb: NDArray[np.uint8]) -> bool:
    """Whether faint marks repeat over the ground of (H, W, 3); a single mark is not told from the drawing."""
    scale = min(1.0, _SIDE_PX / max(rgb.shape[:2]))
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    small = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    marks, bare = _marks_on_ground(np.asarray(small, np.uint8))
    if not _spread(marks, bare):
        return False
    return _best_shift(marks) > _ALIKE


def _marks_on_ground(grey: NDArray[np.uint8]) -> tuple[Plane, NDArray[np.bool_]]:
    """What differs a little from the commonest colour, in levels, 0 elsewhere; and where that colour lies bare."""
    ground = cv2.medianBlur(grey, _GROUND_PX).astype(np.float32)
    detail = grey.astype(np.float32) - ground
    commonest = float(np.argmax(np.bincount(ground.astype(np.uint8).ravel(), minlength=256)))
    other = (np.abs(detail) > _STRONGEST) | (np.abs(ground - commonest) > _BARE_LEVELS)
    bare = cv2.dilate(other.astype(np.uint8), np.ones((_DRAWN_REACH_PX, _DRAWN_REACH_PX), np.uint8)) == 0
    marks = np.where(bare & (np.abs(detail) >= _FAINTEST), np.clip(detail, -20, 20), 0)
    return marks.astype(np.float32), bare


def _spread(marks: Plane, bare: NDArray[np.bool_]) -> bool:
    """Whether marks lie all over the bare ground: a drawing has them in places, a watermark everywhere."""
    size = _TILES, _TILES
    share = cv2.resize(bare.astype(np.float32), size, interpolation=cv2.INTER_AREA)
    marked = cv2.resize((marks != 0).astype(np.float32), size, interpolation=cv2.INTER_AREA)
    counted = share >= _BARE_IN_TILE
    return bool(counted.sum() >= _LEAST_TILES and (marked >= _MARKED_IN_TILE * share)[counted].mean() >= _LEAST_MARKED)


def _best_shift(marks: Plane) -> float:
    """Largest likeness of the marks with themselves, shifted by at least a pattern's width."""
    rows, columns = marks.shape
    padded = np.zeros((2 * rows, 2 * columns), np.float32)
    padded[:rows, :columns] = marks
    likeness = np.fft.irfft2(np.abs(np.fft.rfft2(padded)) ** 2, padded.shape)
    down, across = (np.minimum(np.arange(2 * side), 2 * side - np.arange(2 * side)) for side in (rows, columns))
    far = np.hypot(down[:, None], across[None]) > _LEAST_SHIFT * max(rows, columns)
    overlap = (1 - down[:, None] / rows) * (1 - across[None] / columns)
    usable = far & (overlap > _LEAST_OVERLAP)
    return float((likeness[usable] / overlap[usable] / likeness[0, 0]).max()) if usable.any() else 0.0
