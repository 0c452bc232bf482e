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
class Seen:
    """Pixels as they came, (H * W, 3), and for each two of `count` labels, (K * K, 3) and (K * K,), how to read them.

    A pixel times its pair's weight, less the pair's base, is the first one's share in the mixture that comes nearest.
    """

    pixels: Bytes
    count: int
    weight: Floats
    base: Floats

    @staticmethod
    def of(pixels: Bytes, colours: Floats, turn: Floats) -> Seen:
        """colours, (K, 3): the labels'. turn, (3, 3): to a space that plain distances suit."""
        way = (colours[:, None] - colours) @ turn.T
        weight = (way / np.maximum((way**2).sum(axis=2, keepdims=True), 1e-9)) @ turn
        base = (weight * colours).sum(axis=2)
        return Seen(pixels, len(colours), weight.reshape(-1, 3), base.ravel())

    def between(self, one: Bytes, two: Bytes, at: Ints) -> Floats:
        """Share, 0..1, of label `one` in the mixture of one and two that comes nearest to each pixel."""
        pair = one.astype(np.int64) * self.count + two
        weight, pixels = self.weight[pair], self.pixels[at]
        along = sum((weight[:, k] * pixels[:, k] for k in range(3)), -self.base[pair])
        return np.asarray(np.clip(along, 0.0, 1.0))


@dataclass(frozen=True, slots=True, eq=False)
class Shares:
    """What each pixel is made of, all (H, W): the label it got, its two colours, and the first one's share, 0..255.

    seen: in compressed art, where an edge's ends pass for flat colour, more of them on its wider side.
    """

    label: Bytes
    main: Bytes
    other: Bytes
    share: Bytes
    seen: Seen | None = None

    def of(self, label: Bytes, beside: Bytes, at: Ints) -> Floats:
        """Share, 0..1, of `label` at each pixel, counted along the rows, on a line from it to the label `beside`.

        In compressed art what is neither of the two counts half, so that the line reads alike from either end.
        """
        part = np.take(self.share, at) / 255.0
        main, other = np.take(self.main, at), np.take(self.other, at)
        shares: Floats = np.where(main == label, part, np.where(other == label, 1 - part, 0.0))
        if self.seen is None:
            return shares
        rest = 1 - np.where(main == beside, part, np.where(other == beside, 1 - part, 0.0))
        both = ((main == label) | (main == beside)) & ((other == label) | (other == beside))
        both &= (label != beside) & (np.maximum(label, beside) < self.seen.count)
        shares = np.where(label == beside, shares, (shares + rest) / 2.0)
        shares[both] = self.seen.between(label[both], beside[both], at[both])
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
    want = _along(shares, (own, theirs), (y, x), (across + 2) % 4, reach, ours=True)
    past = _along(shares, (own, theirs), (y + STEP_Y[across], x + STEP_X[across]), across, reach, ours=False)
    found[inside] = past - want
    return np.clip(found, -MOST_PX, MOST_PX)


def _along(
    shares: Shares, sides: tuple[Bytes, Bytes], start: tuple[Ints, Ints], way: Ints, reach: int, *, ours: bool
) -> Floats:
    """Sum over a run of our (or their) pixels of our want (or of our share), half the run at most."""
    y, x = start
    own, theirs = sides
    side = own if ours else theirs
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
            part = shares.of(own, theirs, ahead)
            amounts.append(np.where(going, np.where(side == own, 1 - part, part), 0.0))
    middle = np.where(lengths >= 2 * reach, float(reach), lengths / 2)
    return sum((amount * np.clip(middle - step, 0, 1) for step, amount in enumerate(amounts)), np.zeros(len(y)))
