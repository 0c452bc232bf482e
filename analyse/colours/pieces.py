"""Which of a few pixels hang together: for masks so sparse that walking the whole picture would cost more."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Indices = NDArray[np.int64]

_FRAME = 2  # columns added between rows, so that no row's end touches the next one's start


def pieces(at: Indices, wide: int) -> Indices:
    """The number, from 0, of the piece each pixel is of, (N,): those that touch, corners included, are of one.

    Parameters: at, (N,), rising, counted along rows `wide` long.
    """
    y, x = np.divmod(at, wide)
    stride = wide + _FRAME
    framed = y * stride + x
    pairs = []
    for step in (1, stride - 1, stride, stride + 1):
        place = np.minimum(np.searchsorted(framed, framed + step), max(0, len(framed) - 1))
        hit = np.flatnonzero(framed[place] == framed + step)
        pairs.append((hit, place[hit]))
    one, two = (np.concatenate(column) for column in zip(*pairs, strict=True))
    lowest = joined(len(at), one, two)
    first = lowest == np.arange(len(at))
    number: Indices = (np.cumsum(first) - 1)[lowest]
    return number


def longer_sides(at: Indices, wide: int, piece: Indices) -> Indices:
    """The longer side of each piece's box, (P,) px."""
    count = int(piece.max(initial=-1)) + 1
    longest = np.zeros(count, np.int64)
    for places in np.divmod(at, wide):
        low, high = np.full(count, np.iinfo(np.int64).max), np.zeros(count, np.int64)
        np.minimum.at(low, piece, places)
        np.maximum.at(high, piece, places)
        longest = np.maximum(longest, high - low + 1)
    return longest


def joined(total: int, one: Indices, two: Indices) -> Indices:
    """Lowest member of the group each of `total` things falls into, the pairs in one group.

    Every group's lowest is lowered to the lowest it is paired with, until nothing changes (Shiloach and Vishkin 1982).
    """
    lowest = np.arange(total)
    while len(one):
        np.minimum.at(lowest, np.maximum(one, two), np.minimum(one, two))
        while True:
            next_ = lowest[lowest]
            if (next_ == lowest).all():
                break
            lowest = next_
        one, two = lowest[one], lowest[two]
        apart = one != two
        one, two = one[apart], two[apart]
    return lowest
