"""A faint pattern laid over a picture again and again: a watermark."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

_SIDE_PX = 512
# Faint marks: steps of so many levels of 255. What is stronger is the drawing's own.
_FAINTEST, _STRONGEST = 2.0, 45.0
# How alike the marks are to themselves when shifted, and how far a shift must be, as a share of the side.
_ALIKE, _LEAST_SHIFT = 0.25, 0.07
# Least share of the picture that bears faint marks, and of its tiles that bear some.
_LEAST_SHARE, _LEAST_TILES = 0.01, 0.75
_TILES, _LEAST_IN_TILE = 6, 0.003


def has_repeated_overlay(rgb: NDArray[np.uint8]) -> bool:
    """Whether faint marks repeat over (H, W, 3); a single mark, not repeated, is not told from the drawing."""
    scale = _SIDE_PX / max(rgb.shape[:2])
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    small = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA).astype(np.float32)
    detail = small - cv2.medianBlur(small.astype(np.uint8), 21).astype(np.float32)
    drawn = cv2.dilate((np.abs(detail) > _STRONGEST).astype(np.uint8), np.ones((7, 7), np.uint8)) > 0
    marks = np.where(drawn | (np.abs(detail) < _FAINTEST), 0, np.clip(detail, -20, 20))
    if (marks != 0).mean() < _LEAST_SHARE or _tiles_with(marks) < _LEAST_TILES:
        return False
    return _best_shift(marks.astype(np.float32)) > _ALIKE


def _tiles_with(marks: NDArray[np.float32]) -> float:
    """Share of the picture's tiles that bear marks: a drawing has them along its edges, a watermark everywhere."""
    shares = cv2.resize((marks != 0).astype(np.float32), (_TILES, _TILES), interpolation=cv2.INTER_AREA)
    return float((shares >= _LEAST_IN_TILE).mean())


def _best_shift(marks: NDArray[np.float32]) -> float:
    """Largest likeness of the marks with themselves, shifted by at least a pattern's width."""
    padded = np.zeros((2 * marks.shape[0], 2 * marks.shape[1]), np.float32)
    padded[: marks.shape[0], : marks.shape[1]] = marks
    power = np.abs(np.fft.rfft2(padded)) ** 2
    likeness = np.fft.irfft2(power, padded.shape)
    borne = np.fft.irfft2(np.abs(np.fft.rfft2((padded != 0).astype(np.float32))) ** 2, padded.shape)
    rows, columns = (
        np.minimum(np.arange(padded.shape[0]), padded.shape[0] - np.arange(padded.shape[0])),
        np.minimum(np.arange(padded.shape[1]), padded.shape[1] - np.arange(padded.shape[1])),
    )
    far = np.hypot(rows[:, None], columns[None]) > _LEAST_SHIFT * _SIDE_PX
    overlap = (1 - rows[:, None] / marks.shape[0]) * (1 - columns[None] / marks.shape[1])
    usable = far & (overlap > 0.35) & (borne > 0)
    return float((likeness[usable] / overlap[usable] / likeness[0, 0]).max()) if usable.any() else 0.0
