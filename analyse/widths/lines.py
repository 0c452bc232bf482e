"""Many lines in one array, their rows laid end to end, so that one call serves them all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.samples import Ints

APART = 1.0  # between two lines in the one measure that runs along all of them


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """first, last (L,): where a line's rows lie; owner (N,): each row's line; along (N,): way from its first row.

    base (L,): where a line begins in the one measure that runs along all of them; measure (N,): each row's place in it.
    """

    first: Ints
    last: Ints
    owner: Ints
    along: Floats
    base: Floats
    measure: Floats

    @property
    def length(self) -> Floats:
        """Each line's length."""
        return np.asarray(self.along[self.last])

    def read(self, line: Ints, way: Floats, values: Floats) -> Floats:
        """Values (N,) or (N, K) of the rows, read at ways along lines; beyond its ends a line's own end counts."""
        at = self.base[line] + np.clip(way, 0.0, self.along[self.last[line]])
        if values.ndim == 1:
            return np.interp(at, self.measure, values)
        return np.column_stack([np.interp(at, self.measure, column) for column in values.T])

    def leading(self, mask: NDArray[np.bool_]) -> Ints:
        """For each line its first row in the mask, -1 for none."""
        rows = np.append(np.flatnonzero(mask), len(self.owner))
        row = rows[np.searchsorted(rows, self.first)]
        return np.asarray(np.where(row <= self.last, row, -1))


def lines_of(points: Floats, count: Ints) -> Lines:
    """Lines of these many rows each, measured along straight pieces; points (N, 2 or more), every count at least 1."""
    first = np.cumsum(count) - count
    owner = np.repeat(np.arange(len(count)), count)
    along = summed(np.hypot(points[1:, 0] - points[:-1, 0], points[1:, 1] - points[:-1, 1]), first, owner)
    return measured(along, first, owner)


def measured(along: Floats, first: Ints, owner: Ints) -> Lines:
    """Lines whose ways are known."""
    last = np.append(first[1:], len(along)) - 1
    length = along[last]
    base = np.cumsum(length + APART) - length - APART
    return Lines(first, last, owner, along, base, base[owner] + along)


def summed(steps: Floats, first: Ints, owner: Ints) -> Floats:
    """Running sum of the steps between rows, (N - 1,), begun anew at every line."""
    total = np.concatenate([[0.0], np.cumsum(steps)])
    return np.asarray(total - total[first][owner])


def together(arrays: Sequence[Floats]) -> tuple[Floats, Ints]:
    """Arrays laid end to end, and how long each is."""
    return np.concatenate(arrays), np.array([len(each) for each in arrays], dtype=np.int64)


def spread(first: Ints, count: Ints) -> Ints:
    """Whole numbers from `first` on, `count` of them, run after run."""
    start = np.cumsum(count) - count
    return np.asarray(np.arange(int(count.sum())) + np.repeat(first - start, count))


def medians(values: Floats, first: Ints, count: Ints) -> Floats:
    """Median of `count` values from row `first` on, for every line; nan where there are none."""
    line = np.repeat(np.arange(len(count)), count)
    picked = values[spread(first, count)]
    ranked = np.append(picked[np.lexsort((picked, line))], np.nan)
    start = np.cumsum(count) - count
    low, high = start + np.maximum(count - 1, 0) // 2, start + count // 2
    return np.where(count > 0, (ranked[low] + ranked[np.minimum(high, len(picked))]) / 2.0, np.nan)
