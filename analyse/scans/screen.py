"""The dots of a printing screen: found as a peak in the spectrum, smoothed at their own pitch."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

_TILE_PX = 64
_TILES = 200
# Dots are finer than this many px and coarser than two; a coarser pattern is the drawing's own.
_COARSEST_PX, _FINEST_PX = 12.0, 2.4
# A screen stands out of the mean spectrum of its ring by so much, at an angle and again at a right angle to it.
_STANDS_OUT = 12.0
# So many steps of frequency nearer the middle there is less power than at a peak, by this factor.
_PEAK_REACH, _PEAK_OVER = 3.0, 2.0
# Power of half a level of noise in a windowed tile: fainter than this is no screen.
_FAINTEST = 0.25 * (_TILE_PX * 3 / 8) ** 2
# Smoothing, in pitches: the first harmonic falls below a fiftieth.
_REACH = 0.45


def screen_pitch_px(rgb: NDArray[np.uint8]) -> float | None:
    """Pitch of a printing screen in px, from 2.4 to 12; None where there is none.

    Accuracy: see test_screen, 8 % for single screens from 3 to 9 px at any angle.
    """
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY).astype(np.float32)
    rows, columns = grey.shape[0] // _TILE_PX, grey.shape[1] // _TILE_PX
    if rows * columns < 4:
        return None
    cut = grey[: rows * _TILE_PX, : columns * _TILE_PX].reshape(rows, _TILE_PX, columns, _TILE_PX)
    tiles = np.ascontiguousarray(cut.swapaxes(1, 2)).reshape(-1, _TILE_PX, _TILE_PX)
    tiles = tiles[:: max(1, len(tiles) // _TILES)]
    window = np.hanning(_TILE_PX)[:, None] * np.hanning(_TILE_PX)[None]
    spectra = np.abs(np.fft.fft2((tiles - tiles.mean(axis=(1, 2), keepdims=True)) * window)) ** 2
    # A screen is in most tiles, an edge in few: the upper tenth over tiles keeps the one and drops the other.
    power = np.percentile(spectra, 90, axis=0)
    return _pitch(np.fft.fftshift(power))


def _pitch(power: NDArray[np.float64]) -> float | None:
    middle = _TILE_PX // 2
    y, x = np.mgrid[-middle:middle, -middle:middle]
    radius = np.hypot(x, y)
    ring = np.rint(radius).astype(int)
    typical = np.array([np.median(power[ring == index]) for index in range(ring.max() + 1)])
    usable = (radius >= _TILE_PX / _COARSEST_PX) & (radius <= _TILE_PX / _FINEST_PX)
    standing = np.where(usable, power / np.maximum(typical[ring], _FAINTEST), 0)
    # The dots' own frequency holds more power than its harmonics, which may stand out further.
    at = np.unravel_index(int(np.argmax(np.where(standing >= _STANDS_OUT, power, 0))), standing.shape)
    across, down = int(x[at]), int(y[at])
    partner = standing[max(0, middle + across - 1) : middle + across + 2, max(0, middle - down - 1) : middle - down + 2]
    if standing[at] < _STANDS_OUT or not partner.size or partner.max() < _STANDS_OUT / 3:
        return None
    if not _is_peak(power, across, down):
        return None
    near = (np.abs(x - across) <= 1) & (np.abs(y - down) <= 1)
    weight = power * near
    frequency = np.hypot((weight * x).sum(), (weight * y).sum()) / weight.sum()
    return float(_TILE_PX / frequency)


def _is_peak(power: NDArray[np.float64], across: int, down: int) -> bool:
    """Whether power stands above what lies nearer the middle on its line: that of straight edges falls steadily."""
    radius = float(np.hypot(across, down))
    inner = max(0.0, 1 - _PEAK_REACH / radius)
    middle = _TILE_PX // 2
    within = power[middle + round(down * inner), middle + round(across * inner)]
    return bool(power[middle + down, middle + across] > _PEAK_OVER * within)


def without_screen(rgb: NDArray[np.uint8], pitch_px: float) -> NDArray[np.uint8]:
    """`rgb` with dots of that pitch run together into the tone they stand for; edges stay where they are."""
    return np.asarray(cv2.GaussianBlur(rgb, (0, 0), _REACH * pitch_px), np.uint8)
