"""A way round: the shortest one through what will be sewn over, on a coarse grid."""

from __future__ import annotations

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.values import Floats

ROUND = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (3, 3))
SQUARE = np.ones((3, 3), np.uint8)


def way_through(
    hidden: NDArray[np.bool_], start: tuple[int, int], end: tuple[int, int], most: int
) -> NDArray[np.int64] | None:
    """(N, 2) cells (x, y) from `start` to `end` through `hidden`, at most `most` steps; None if there is none.

    A wave spreads from the start, by four and by eight neighbours in turn, which is near the true distance.
    """
    fits = hidden.astype(np.uint8)
    reached = np.zeros_like(fits)
    reached[start[1], start[0]] = 1
    when = np.where(reached, 0, -1)
    for step in range(1, most + 1):
        grown = np.asarray(cv2.dilate(reached, SQUARE if step % 2 else ROUND), np.uint8) & fits
        fresh = (grown != 0) & (when < 0)
        if not fresh.any():
            return None
        when[fresh] = step
        reached = grown
        if when[end[1], end[0]] >= 0:
            return _back(when, end)
    return None


def way_with_leap(
    hidden: NDArray[np.bool_], start: tuple[int, int], end: tuple[int, int], most: int, leap: float
) -> tuple[NDArray[np.int64], ...]:
    """`way_through`; or if there is none two ways, `leap` cells apart at most, with open ground between; or none."""
    _, pieces = cv2.connectedComponents(hidden.astype(np.uint8))
    here, there = (pieces == pieces[at[1], at[0]] for at in (start, end))
    if here[end[1], end[0]]:
        way = way_through(hidden, start, end, most)
        return () if way is None else (way,)
    off = cv2.distanceTransform((~here).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    landing = _nearest(there, off)
    if off[landing[1], landing[0]] > leap:
        return ()
    y, x = np.mgrid[: hidden.shape[0], : hidden.shape[1]]
    leaving = _nearest(here, np.hypot(x - landing[0], y - landing[1]))
    before = way_through(here, start, leaving, most)
    after = None if before is None else way_through(there, landing, end, max(most - len(before), 0))
    return () if before is None or after is None else (before, after)


def _nearest(among: NDArray[np.bool_], off: Floats) -> tuple[int, int]:
    """The cell x, y of the least `off` among some."""
    row, column = np.unravel_index(int(np.argmin(np.where(among, off, np.inf))), among.shape)
    return int(column), int(row)


def _back(when: NDArray[np.int64], end: tuple[int, int]) -> NDArray[np.int64]:
    """The way back down the wave from `end`."""
    x, y = end
    way = [(x, y)]
    while when[y, x] > 0:
        low_y, low_x = max(y - 1, 0), max(x - 1, 0)
        about = when[low_y : y + 2, low_x : x + 2]
        known = np.where(about < 0, np.iinfo(np.int64).max, about)
        row, column = np.unravel_index(int(np.argmin(known)), known.shape)
        x, y = low_x + int(column), low_y + int(row)
        way.append((x, y))
    return np.array(way[::-1])


def straightened(points: Floats, tolerance_mm: float) -> Floats:
    """A way with its steps straightened as far as `tolerance_mm` lets it."""
    if len(points) < 3:
        return points
    line = shapely.LineString(points).simplify(tolerance_mm, preserve_topology=False)
    return np.asarray(shapely.get_coordinates(line))
