"""Which pixels make one region: same label, side by side, or corner to corner where a thin line runs on."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.regions.cracks import corner_labels

_OUTSIDE = 253  # no label: those are under 32, or 254 and 255 for what is not sewn
_LOOK_PX = 5  # window in which the rarer of two crossing colours counts as the line that runs on


def saddles(labels: NDArray[np.integer[Any]]) -> NDArray[np.int8]:
    """How the labels cross at each lattice corner, (H + 1, W + 1) int8.

    1: north-west and south-east are one through the corner; 2: the other two; 0: no saddle. Where both pairs match,
    the one that is rarer about the corner runs on: a thin line stays whole.
    """
    short = labels.astype(np.uint8)  # -1 becomes 255
    nw, ne, sw, se = corner_labels(np.pad(short, 1, constant_values=_OUTSIDE))
    apart = (nw != ne) & (sw != se)
    first = apart & (nw == se) & (nw != sw)
    second = apart & (ne == sw) & (ne != se)
    joined: NDArray[np.int8] = first.astype(np.int8)
    joined[second & ~first] = 2
    y, x = np.nonzero(first & second)
    if len(y):
        wide = np.pad(short, _LOOK_PX, constant_values=_OUTSIDE)
        offsets = np.arange(-(_LOOK_PX // 2) - 1, _LOOK_PX // 2 + 1)
        about = wide[(y[:, None, None] + _LOOK_PX + offsets[:, None]), (x[:, None, None] + _LOOK_PX + offsets)]
        ours = (about == nw[y, x][:, None, None]).sum(axis=(1, 2))
        theirs = (about == ne[y, x][:, None, None]).sum(axis=(1, 2))
        # A tie goes by label, so that it does not depend on where the picture is cut.
        joined[y, x] = np.where((ours < theirs) | ((ours == theirs) & (nw[y, x] > ne[y, x])), 1, 2)
    return joined


def connect(labels: NDArray[np.integer[Any]], joined: NDArray[np.int8]) -> tuple[NDArray[np.int32], NDArray[Any]]:
    """Number the regions, background included: (H, W) int32 from 0 in reading order, and each one's label."""
    pieces = np.zeros(labels.shape, dtype=np.int32)
    total = 0
    for label in np.unique(labels):
        mask = (labels == label).astype(np.uint8)
        count, found = cv2.connectedComponents(mask, connectivity=4, ltype=cv2.CV_32S)
        np.copyto(pieces, found + (total - 1), where=mask.astype(bool))
        total += count - 1
    padded = np.pad(pieces, 1, constant_values=-1)
    nw, ne, sw, se = corner_labels(padded)
    one, two = joined == 1, joined == 2
    pairs = np.concatenate([np.stack([nw[one], se[one]], axis=1), np.stack([ne[two], sw[two]], axis=1)])
    merged = _merge(total, pairs)
    first_seen = np.empty(total, dtype=np.int64)
    first_seen[pieces.reshape(-1)[::-1]] = np.arange(pieces.size - 1, -1, -1)
    lowest = np.full(total, pieces.size)
    np.minimum.at(lowest, merged, first_seen)
    order = np.argsort(lowest, kind="stable")[: int((lowest < pieces.size).sum())]
    place = np.zeros(total, dtype=np.int32)
    place[order] = np.arange(len(order), dtype=np.int32)
    return place[merged][pieces], labels.reshape(-1)[lowest[order]]


def _merge(total: int, pairs: NDArray[np.int32]) -> NDArray[np.int32]:
    """Lowest member of the group each of `total` pieces falls into, by repeated lowering over the pairs."""
    lowest = np.arange(total, dtype=np.int32)
    while len(pairs):
        low = np.minimum(lowest[pairs[:, 0]], lowest[pairs[:, 1]])
        before = lowest.copy()
        np.minimum.at(lowest, pairs[:, 0], low)
        np.minimum.at(lowest, pairs[:, 1], low)
        lowest = lowest[lowest]
        if (before == lowest).all():
            break
    return lowest
