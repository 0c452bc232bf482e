"""How fine a picture really is: the frequency above which it holds nothing, whatever its pixels."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

# The picture's detail is looked for in its liveliest square tiles of this side.
_TILE_PX = 128
_TILES = 24
_LIVELY = 6.0  # deviation, levels of 255
# Where less than this share of what a sharp edge would hold is left, detail ends (half amplitude would be a quarter).
_FLOOR = 0.15
_BANDS = 32
# Share of lines equal to the one before them from which a picture is a blown-up grid.
_REPEATED = 0.45


def finest_px(rgb: NDArray[np.uint8]) -> float:
    """Size of one real pixel in pixels of `rgb`: 1 in a picture as sharp as its grid, 4 in one enlarged fourfold.

    From the power spectrum: edges hold power as the inverse square of frequency; an enlarged, or blurred, picture stops
    short of the grid's own limit. Accuracy: see test_showing, a factor of 1.4 for enlargements of 2 to 6.
    Returns 1 where there is no edge to tell from.
    """
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY).astype(np.float32)
    blocks = _blown_up(grey)
    if blocks > 1:
        return blocks
    tiles = _lively_tiles(grey)
    if not len(tiles):
        return 1.0
    window = np.hanning(tiles.shape[1])[:, None] * np.hanning(tiles.shape[2])[None]
    spectra = np.abs(np.fft.rfft2((tiles - tiles.mean(axis=(1, 2), keepdims=True)) * window)) ** 2
    power = spectra.mean(axis=0)
    down, across = np.fft.fftfreq(tiles.shape[1])[:, None], np.fft.rfftfreq(tiles.shape[2])[None]
    radius = np.hypot(down, across)
    edges = np.linspace(0.02, 0.5, _BANDS + 1)
    band = np.digitize(radius, edges) - 1
    level = np.array([(power * radius**3)[band == index].mean() for index in range(_BANDS)])
    ideal = level[1:6].max()
    if ideal <= 0:
        return 1.0
    # From there on, on the mean: lines of one width leave gaps in the spectrum.
    beyond = np.cumsum(level[::-1])[::-1] / np.arange(_BANDS, 0, -1)
    held = np.flatnonzero((np.maximum(level, beyond) < _FLOOR * ideal) & (np.arange(_BANDS) > 1))
    return float(max(1.0, 0.5 / edges[held[0]])) if len(held) else 1.0


def _lively_tiles(grey: NDArray[np.float32]) -> NDArray[np.float32]:
    side = min(_TILE_PX, *grey.shape)
    if side < 16:
        return np.empty((0, side, side), np.float32)
    rows, columns = grey.shape[0] // side, grey.shape[1] // side
    cut = grey[: rows * side, : columns * side].reshape(rows, side, columns, side)
    tiles = np.ascontiguousarray(cut.swapaxes(1, 2)).reshape(-1, side, side)
    spread = tiles.std(axis=(1, 2))
    order = np.argsort(-spread, kind="stable")[:_TILES]
    return np.asarray(tiles[order[spread[order] > _LIVELY]], np.float32)


def _blown_up(grey: NDArray[np.float32]) -> float:
    """Side of the blocks of a picture enlarged without smoothing; 1 if it is none."""
    sizes = []
    for axis in (0, 1):
        change = np.abs(np.diff(grey, axis=axis)).max(axis=1 - axis) > 0
        if change.mean() < 0.01 or change.mean() > 1 - _REPEATED:
            return 1.0
        steps = np.diff(np.flatnonzero(change))
        if len(steps) < 4:
            return 1.0
        # Blocks of a broken size are now one line wider, now narrower.
        least = float(np.percentile(steps, 5))
        if least < 2:
            return 1.0
        sizes.append(float(steps[steps < 1.5 * least].mean()))
    return min(sizes)
