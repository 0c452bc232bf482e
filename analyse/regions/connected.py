"""Which pixels make one region: same label, side by side, or corner to corner where a thin line runs on."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from analyse.colours.pieces import joined

Ints = NDArray[np.int64]

_OUTSIDE = 253  # no label: those are under 32, or 254 and 255 for what is not sewn
_LOOK_PX = 5  # window in which the rarer of two crossing colours counts as the line that runs on


def saddles(labels: NDArray[np.integer[Any]]) -> NDArray[np.int8]:
    """How the labels cross at each lattice corner, (H + 1, W + 1) int8.

    1: north-west and south-east are one through the corner; 2: the other two; 0: no saddle. Where both pairs match,
    the one that is rarer about the corner runs on: a thin line stays whole.
    """
    short = labels.astype(np.uint8)  # -1 becomes 255
    crossed = np.zeros((short.shape[0] + 1, short.shape[1] + 1), dtype=np.int8)
    across, down = short[:, 1:] != short[:, :-1], short[1:] != short[:-1]
    y, x = np.divmod(np.flatnonzero(across[:-1] & across[1:] & down[:, 1:] & down[:, :-1]), max(1, across.shape[1]))
    nw, ne, sw, se = short[y, x], short[y, x + 1], short[y + 1, x], short[y + 1, x + 1]
    first, second = nw == se, ne == sw
    way = np.where(first, 1, np.where(second, 2, 0)).astype(np.int8)
    both = np.flatnonzero(first & second)
    if len(both):
        wide = np.pad(short, _LOOK_PX, constant_values=_OUTSIDE)
        offsets = np.arange(-(_LOOK_PX // 2) - 1, _LOOK_PX // 2 + 1)
        about = wide[
            (y[both, None, None] + 1 + _LOOK_PX + offsets[:, None]), (x[both, None, None] + 1 + _LOOK_PX + offsets)
        ]
        one, two = nw[both], ne[both]
        ours = (about == one[:, None, None]).sum(axis=(1, 2))
        theirs = (about == two[:, None, None]).sum(axis=(1, 2))
        # A tie goes by label, so that it does not depend on where the picture is cut.
        way[both] = np.where((ours < theirs) | ((ours == theirs) & (one > two)), 1, 2)
    crossed[y + 1, x + 1] = way
    return crossed


def connect(labels: NDArray[np.integer[Any]], crossed: NDArray[np.int8]) -> tuple[NDArray[np.int32], NDArray[Any]]:
    """Number the regions, background included: (H, W) int32 from 0 in reading order, and each one's label.

    Works on runs of equal pixels in a row, of which there are few.
    """
    flat, wide = np.ascontiguousarray(labels).reshape(-1), labels.shape[1]
    starts = _run_starts(labels)
    at = np.concatenate([starts[starts >= wide] - wide, starts[starts < flat.size - wide]])
    at = at[flat[at] == flat[at + wide]]  # where two runs overlap, one of them begins
    nw_se, ne_sw = (np.flatnonzero(crossed[1:-1, 1:-1] == way) for way in (1, 2))
    # A corner's number among the inner ones, (H - 1, W - 1), to its north-west pixel's.
    nw, ne = (corner // max(1, wide - 1) * wide + corner % max(1, wide - 1) for corner in (nw_se, ne_sw))
    ends = (np.concatenate([at, nw, ne + 1]), np.concatenate([at + wide, nw + wide + 1, ne + wide]))
    lowest = joined(len(starts), _run_of(starts, ends[0]), _run_of(starts, ends[1]))
    first = lowest == np.arange(len(starts))
    number = (np.cumsum(first, dtype=np.int32) - np.int32(1))[lowest]
    regions = np.repeat(number, np.diff(starts, append=flat.size)).reshape(labels.shape)
    return regions, flat[starts[first]]


def _run_starts(labels: NDArray[np.integer[Any]]) -> Ints:
    """Where, counted along the rows, each run of equal pixels in a row begins."""
    begins = np.ones(labels.shape, dtype=bool)
    np.not_equal(labels[:, 1:], labels[:, :-1], out=begins[:, 1:])
    return np.flatnonzero(begins)


def _run_of(starts: Ints, at: Ints) -> Ints:
    """Which run each pixel is of, pixels counted along the rows."""
    found: Ints = np.searchsorted(starts, at, side="right") - 1
    return found
