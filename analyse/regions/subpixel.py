"""Where on its way from one pixel to the next an edge really runs, told from how the pixels about it are mixed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.regions.cracks import STEP_X, STEP_Y, Cracks

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]
Ints = NDArray[np.int64]

MOST_PX = 0.95  # how far an edge may lie from its crack; farther, and the pixels were labelled wrongly


@dataclass(frozen=True, slots=True, eq=False)
class Shares:
    """What each pixel is made of, all (H, W): the label it got, its two colours, and the first one's share, 0..255."""

    label: Bytes
    main: Bytes
    other: Bytes
    share: Bytes

    def of(self, label: Bytes, at: Ints) -> Floats:
        """Share, 0..1, of `label` at each pixel, counted along the rows."""
        part = np.take(self.share, at) / 255.0
        main, other = np.take(self.main, at), np.take(self.other, at)
        shares: Floats = np.where(main == label, part, np.where(other == label, 1 - part, 0.0))
        return shares


def beside(cracks: Cracks) -> tuple[Ints, Ints, Ints, Ints]:
    """The pixels right and left of each half-edge: y, x, y, x."""
    way = cracks.way
    right_y = cracks.y + np.array([0, 0, -1, -1])[way]
    right_x = cracks.x + np.array([0, -1, -1, 0])[way]
    left = (way + 3) % 4
    return right_y, right_x, right_y + STEP_Y[left], right_x + STEP_X[left]


def offsets(cracks: Cracks, shares: Shares, reach: int) -> Floats:
    """How far, in px, each crack's edge lies to the left of the crack.

    Along the line across the crack, the right colour's shares past it and its want before it add up to the edge's
    place: exact for a straight edge that crosses the line within `reach` px. A stroke thinner than that is halved.
    """
    right_y, right_x, left_y, left_x = beside(cracks)
    high, wide = shares.label.shape
    inside = (right_y >= 0) & (right_y < high) & (right_x >= 0) & (right_x < wide)
    inside &= (left_y >= 0) & (left_y < high) & (left_x >= 0) & (left_x < wide)
    found = np.zeros(len(cracks.way))
    y, x, across = right_y[inside], right_x[inside], (cracks.way[inside] + 3) % 4
    own = shares.label[y, x]
    theirs = shares.label[y + STEP_Y[across], x + STEP_X[across]]
    want = _along(shares, own, (y, x), (across + 2) % 4, reach, own)
    past = _along(shares, theirs, (y + STEP_Y[across], x + STEP_X[across]), across, reach, own)
    found[inside] = past - want
    return np.clip(found, -MOST_PX, MOST_PX)


def _along(shares: Shares, side: Bytes, start: tuple[Ints, Ints], way: Ints, reach: int, own: Bytes) -> Floats:
    """Sum over a run of `side` pixels of the share of `own` (or its want, on its own side), half the run at most."""
    y, x = start
    high, wide = shares.label.shape
    room = np.where(way % 2 == 0, np.where(way == 0, wide - 1 - x, x), np.where(way == 1, high - 1 - y, y))
    at, stride = y * wide + x, (STEP_Y * wide + STEP_X)[way]
    amounts, lengths, going = [], np.zeros(len(y)), np.ones(len(y), dtype=bool)
    for step in range(2 * reach):
        going &= step <= room
        ahead = at + np.minimum(step, room) * stride
        going = going & (np.take(shares.label, ahead) == side)
        lengths += going
        if step < reach:
            part = shares.of(own, ahead)
            amounts.append(np.where(going, np.where(side == own, 1 - part, part), 0.0))
    middle = np.where(lengths >= 2 * reach, float(reach), lengths / 2)
    return sum((amount * np.clip(middle - step, 0, 1) for step, amount in enumerate(amounts)), np.zeros(len(y)))
