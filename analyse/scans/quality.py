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
# So many colours, each with what lies within so many levels, are what a print or a drawing makes do with.
_FEW, _FEW_LEVELS = 12, 3.0
# What differs by more than so many levels from the commonest colour is drawn; fewer blocks of it tell nothing.
_DRAWN_LEVELS, _ENOUGH_DRAWN = 4.0, 12
# Blocks from which a picture without smooth ones is busy, not just small.
_ENOUGH_BLOCKS = 200


@dataclass(frozen=True, slots=True)
class Condition:
    """grain: standard deviation in smooth areas, levels of 255, its 30th percentile. smooth: share of blocks without
    an edge. exact: share of those that have one of the picture's few flat colours to the level; exact_drawn: the same
    of what is not of the commonest colour, 1 where that is little. few: share that has one of the commonest colours,
    nearly.
    """

    grain: float
    smooth: float
    exact: float
    exact_drawn: float = 1.0
    few: float = 1.0


def condition_of(rgb: NDArray[np.uint8]) -> Condition:
    """Grain and evenness of (H, W, 3), from 8 x 8 blocks spread over it."""
    blocks = _blocks(rgb)
    smooth = (blocks.max(axis=2) - blocks.min(axis=2)).max(axis=1) <= _SMOOTH_LEVELS
    if smooth.sum() < 8:
        busy = len(smooth) >= _ENOUGH_BLOCKS
        return Condition(0.0, float(smooth.mean()) if len(smooth) else 0.0, 0.0 if busy else 1.0)
    picked = blocks[smooth]
    means = picked.mean(axis=2)
    return Condition(
        float(np.percentile(_grain(picked), 30)),
        float(smooth.mean()),
        _exact(means),
        _exact_drawn(means),
        _few(means),
    )


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


def _exact_drawn(means: NDArray[np.float32]) -> float:
    drawn = means[np.abs(means - _commonest(means)).max(axis=1) > _DRAWN_LEVELS]
    return _exact(drawn) if len(drawn) >= _ENOUGH_DRAWN else 1.0


def _few(means: NDArray[np.float32]) -> float:
    left = means
    for _ in range(_FEW):
        if len(left):
            left = left[np.abs(left - _commonest(left)).max(axis=1) > _FEW_LEVELS]
    return 1.0 - len(left) / len(means)


def _commonest(means: NDArray[np.float32]) -> NDArray[np.float32]:
    code = np.rint(means).astype(np.int32) @ np.array([65536, 256, 1], np.int32)
    values, counts = np.unique(code, return_counts=True)
    value = int(values[np.argmax(counts)])
    return np.array([value >> 16, value >> 8 & 255, value & 255], np.float32)
