"""How does a way run within one area of cells? Straight, or as a wave that spreads from its start first gets there."""

from __future__ import annotations

from math import hypot

import cv2
import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
Cell = tuple[int, int]
SQUARE = np.ones((3, 3), np.uint8)
NEAR_CELLS = 3
"""A place counts to an area if that is no further off; so far about its ends a way may run over what it shuns."""


def way_inside(areas: NDArray[np.int32], start: Cell, end: Cell, most: int, shunned: Mask | None = None) -> Ints | None:
    """(N, 2) cells x, y from `start` to `end` through their area, at most `most` steps; None if there is none.

    Straight where that stays in the area; else as short as any. Cells that are `shunned` it keeps out of, but about its
    ends.
    """
    straight = None if shunned is not None else _straight(areas, start, end)
    return _spread(areas, start, end, most, shunned) if straight is None else straight


def _straight(areas: NDArray[np.int32], start: Cell, end: Cell) -> Ints | None:
    """(N, 2) cells on the straight way from `start` to `end`; None where it leaves their area."""
    steps = max(abs(end[0] - start[0]), abs(end[1] - start[1]))
    share = np.arange(steps + 1)[:, None] / max(steps, 1)
    way = np.rint(np.array(start) + share * (np.array(end) - start)).astype(np.int64)
    return way if (areas[way[:, 1], way[:, 0]] == areas[start[1], start[0]]).all() else None


def _spread(areas: NDArray[np.int32], start: Cell, end: Cell, most: int, shunned: Mask | None) -> Ints | None:
    """The way on which a wave from the start first comes to the end, within the oval of all ways of `most` steps.

    It spreads by four and by eight neighbours in turn, which is near the true distance. All cells are the bits of one
    number, row by row, so that a step of the wave is a few shifts.
    """
    margin = int((most - hypot(end[0] - start[0], end[1] - start[1])) / 2) + 2
    if margin < 2:
        return None
    low_x, low_y = (max(min(a, b) - margin, 0) for a, b in zip(start, end, strict=True))
    high_x, high_y = (max(a, b) + margin + 1 for a, b in zip(start, end, strict=True))
    inside = areas[low_y:high_y, low_x:high_x] == areas[start[1], start[0]]
    begin, goal = (start[0] - low_x, start[1] - low_y), (end[0] - low_x, end[1] - low_y)
    if shunned is not None:
        inside &= ~shunned[low_y:high_y, low_x:high_x] | _about(inside, (begin, goal))
    wide = inside.shape[1] + 1  # a column that no wave enters parts the rows
    free = int.from_bytes(np.packbits(np.pad(inside, ((0, 0), (0, 1))), bitorder="little").tobytes(), "little")
    waves = _waves(free, wide, 1 << (begin[1] * wide + begin[0]), 1 << (goal[1] * wide + goal[0]), most)
    if waves is None:
        return None
    rows, columns = np.divmod(np.array(_back(waves, wide, goal[1] * wide + goal[0])), wide)
    return np.column_stack([columns + low_x, rows + low_y])


def _about(cells: Mask, places: tuple[Cell, Cell]) -> Mask:
    ends = np.zeros(cells.shape, np.uint8)
    for x, y in places:
        ends[y, x] = 1
    return np.asarray(cv2.dilate(ends, SQUARE, iterations=NEAR_CELLS) > 0)


def _waves(free: int, wide: int, begin: int, goal: int, most: int) -> list[int] | None:
    """What a wave has reached after each step, until it reaches the goal; None if it does not within `most` steps."""
    waves = [begin]
    while not waves[-1] & goal:
        if len(waves) > most:
            return None
        reached = waves[-1]
        across = reached | reached << 1 | reached >> 1
        upright = across if len(waves) % 2 else reached
        grown = (across | upright << wide | upright >> wide) & free
        if grown == reached:
            return None
        waves.append(grown)
    return waves


def _back(waves: list[int], wide: int, end: int) -> list[int]:
    """The way back down the waves from `end`: always to the cell beside that was reached first."""
    about, middle = 7 | 7 << wide | 7 << 2 * wide, wide + 1
    way, step = [end], len(waves) - 1
    while step:
        # of the cells beside none was reached more than two steps earlier
        step, beside = next(
            (early, beside)
            for early in (max(step - 2, 0), step - 1)
            if (beside := waves[early] & (about << way[-1] >> middle))
        )
        way.append((beside & -beside).bit_length() - 1)
        while step and waves[step - 1] >> way[-1] & 1:
            step -= 1
    return way[::-1]
