"""Hairlines narrower than a pixel: no pixel is mostly theirs, yet they run on."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.lab import Floats
from analyse.colours.mixtures import Indices, Mixtures
from analyse.colours.pieces import longer_sides, pieces

Bytes = NDArray[np.uint8]

_LEAST_SHARE = (
    0.27  # of the pixel, that a hairline must hold: where two edges lie on each other a quarter shines through
)
_STANDS_OUT = 0.08  # of the pixel, by which it must hold more here than beside it
_RUN_PX = 7  # so long at least: a corner's tip is shorter
_WAYS = ((0, 1), (1, 0), (1, 1), (1, -1))


def with_ridges(label: Bytes, mixtures: Mixtures) -> Bytes:
    """The labels, (H, W), with the pixels along hairlines given to the hairline, though less than half is its own."""
    share = mixtures.share.reshape(-1)[mixtures.at]
    weak = (share < 255 * (1 - _LEAST_SHARE)) & (mixtures.main != mixtures.other).reshape(-1)[mixtures.at]
    at = mixtures.at[weak]
    if not len(at):
        return label
    other = mixtures.other.reshape(-1)[at]
    ridge = _stands_out(mixtures, at, other)
    ridge &= label.reshape(-1)[at] != other
    mask = np.zeros(label.shape, np.uint8)
    mask.reshape(-1)[at[ridge]] = 1
    # Where the line does hold most of a pixel it joins the weaker runs.
    strong = np.zeros(label.shape, np.uint8)
    strong.reshape(-1)[mixtures.at] = 1
    near = np.asarray(cv2.dilate(mask, np.ones((3, 3), np.uint8)), np.uint8) & strong
    lines, wide = np.flatnonzero(mask | near), label.shape[1]
    piece = pieces(lines, wide)
    long = longer_sides(lines, wide, piece) >= _RUN_PX
    own = np.flatnonzero(ridge)
    own = own[long[piece[np.searchsorted(lines, at[own])]]]
    found = label.copy()
    found.reshape(-1)[at[own]] = other[own]
    return found


def _stands_out(mixtures: Mixtures, at: Indices, label: Bytes) -> NDArray[np.bool_]:
    """Whether `label` holds more of each pixel than of those on both sides, along any way across."""
    high, wide = mixtures.main.shape
    y, x = np.divmod(at, wide)
    own = _share_of(mixtures, label, at)
    found = np.zeros(len(at), dtype=bool)
    for down, right in _WAYS:
        beside = [
            _share_of(mixtures, label, np.clip(y + k * down, 0, high - 1) * wide + np.clip(x + k * right, 0, wide - 1))
            for k in (-2, -1, 1, 2)
        ]
        far_behind, behind, ahead, far_ahead = (own - part for part in beside)
        # Two pixels may share the line alike: then the one that comes first has it.
        found |= (np.minimum(behind, far_behind) > _STANDS_OUT) & (ahead >= 0) & (far_ahead > _STANDS_OUT)
    return found


def _share_of(mixtures: Mixtures, label: Bytes, at: Indices) -> Floats:
    part = np.take(mixtures.share, at) / 255.0
    main, other = np.take(mixtures.main, at), np.take(mixtures.other, at)
    shares: Floats = np.where(main == label, part, np.where(other == label, 1 - part, 0.0))
    return shares
