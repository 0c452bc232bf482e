"""Grain and evenness of a picture: what tells a scan or a photograph from a file that is clean."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

# A block of a scan is large enough for a noise estimate and small enough to miss most edges.
BLOCK_PX = 8
# Blocks along the short side that are looked at: some thousands in all, whatever the picture's size.
_BLOCKS_ACROSS = 40
# Levels of 255 within a block above which it holds an edge.
_SMOOTH_LEVELS = 24
# A colour that holds this share of the smooth blocks is a flat one of the picture's own.
_MODE_SHARE = 0.03
_MODE_LEVELS = 1.5
# Blocks from which a picture without smooth ones is busy, not just small.
_ENOUGH_BLOCKS = 200


@dataclass(frozen=True, slots=True)
class Condition:
    """grain: standard deviation in smooth areas, levels of 255, its 30th percentile. smooth: share of blocks without
    an edge. exact: share of those that have one of the picture's few flat colours to the level.
    """

    grain: float
    smooth: float
    exact: float


def condition_of(rgb: NDArray[np.uint8]) -> Condition:
    """Grain and evenness of (H, W, 3), from 8 x 8 blocks spread over it."""
    blocks = _blocks(rgb)
    smooth = (blocks.max(axis=2) - blocks.min(axis=2)).max(axis=1) <= _SMOOTH_LEVELS
    if smooth.sum() < 8:
        busy = len(smooth) >= _ENOUGH_BLOCKS
        return Condition(0.0, float(smooth.mean()) if len(smooth) else 0.0, 0.0 if busy else 1.0)
    picked = blocks[smooth]
    return Condition(float(np.percentile(_grain(picked), 30)), float(smooth.mean()), _exact(picked.mean(axis=2)))


def _blocks(rgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    height, width = rgb.shape[:2]
    if min(height, width) < BLOCK_PX:
        return np.empty((0, 3, BLOCK_PX**2), np.float32)
    step = BLOCK_PX * max(1, min(height, width) // (_BLOCKS_ACROSS * BLOCK_PX))
    windows = np.lib.stride_tricks.sliding_window_view(rgb, (BLOCK_PX, BLOCK_PX), axis=(0, 1))
    return windows[::step, ::step].reshape(-1, 3, BLOCK_PX**2).astype(np.float32)


def _grain(blocks: NDArray[np.float32]) -> NDArray[np.float32]:
    """Deviation from each block's own plane, the noisiest channel."""
    y, x = np.mgrid[:BLOCK_PX, :BLOCK_PX]
    plane, _ = np.linalg.qr(np.stack([np.ones(BLOCK_PX**2), x.ravel(), y.ravel()], axis=1))
    plane = plane.astype(np.float32)
    rest = blocks - blocks @ plane @ plane.T
    return np.asarray(np.sqrt((rest**2).sum(axis=2) / (BLOCK_PX**2 - 3)).max(axis=1))


def _exact(means: NDArray[np.float32]) -> float:
    colours, counts = np.unique(np.rint(means), axis=0, return_counts=True)
    own = colours[counts >= _MODE_SHARE * len(means)]
    near = np.zeros(len(means), bool)
    for colour in own:
        near |= np.abs(means - colour).max(axis=1) <= _MODE_LEVELS
    return float(near.mean())
