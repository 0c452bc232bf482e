"""Many lines of points held as one array, so that all of them are worked on at once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

MOST_STEPS = 9  # along a line, that one looks from a point


@dataclass(frozen=True, eq=False)
class Chains:
    """points: (N, 2), line after line. first: (L + 1,) where each begins, N last. closed: (L,), loops without ends."""

    points: Floats
    first: Ints
    closed: Bools

    @cached_property
    def of(self) -> Ints:
        """The line each point belongs to."""
        return np.repeat(np.arange(len(self.closed)), np.diff(self.first))

    @cached_property
    def _spans(self) -> tuple[Ints, Ints, Bools]:
        """Of each point's line: its first point, the one after its last, whether it is closed."""
        return self.first[self.of], self.first[self.of + 1], self.closed[self.of]

    @cached_property
    def ends(self) -> Bools:
        """Which points are the first or last of a line that is not closed."""
        ends = np.zeros(len(self.points), dtype=bool)
        ends[self.first[:-1][~self.closed]] = True
        ends[self.first[1:][~self.closed] - 1] = True
        return ends

    def sparing(self, keep: Bools) -> Bools:
        """Which points to keep, but all of a loop that would be left with fewer than three."""
        poor = self.closed & (np.bincount(self.of, keep, len(self.closed)) < 3)
        return keep | poor[self.of]

    def kept(self, keep: Bools) -> Chains:
        """Only the points to keep, loops spared."""
        keep = self.sparing(keep)
        counts = np.bincount(self.of[keep], minlength=len(self.closed))
        return Chains(self.points[keep], np.concatenate([[0], np.cumsum(counts)]), self.closed)

    def moved(self, points: Floats) -> Chains:
        """The same lines through other points."""
        return Chains(points, self.first, self.closed)

    def places(self, step: int, at: Ints | None = None) -> tuple[Ints, Ints]:
        """Index of the point `step` along each point's own line, and how far that runs past an open end.

        Of the points `at`, or of all. Loops run round; past an end the index is mirrored and the second array holds
        that end's index, else -1.
        """
        starts, stops, loops = self._spans if at is None else (span[at] for span in self._spans)
        place = (np.arange(len(self.points)) if at is None else at) + step
        end = np.full(len(place), -1)
        out = np.flatnonzero((place >= stops) | (place < starts))
        start, stop, closed, index = starts[out], stops[out], loops[out], place[out]
        last = np.where(index >= stop, stop - 1, start)
        mirrored = np.clip(2 * last - index, start, stop - 1)
        place[out] = np.where(closed, start + (index - start) % np.maximum(stop - start, 1), mirrored)
        end[out] = np.where(closed, -1, last)
        return place, end

    @cached_property
    def _prolonged(self) -> tuple[NDArray[np.complex128], Ints]:
        """All lines, MOST_STEPS longer at both ends, as x + iy; and where each point is among them.

        Loops run round; past an end a line goes on, turned about it.
        """
        counts = np.diff(self.first)
        long = counts + 2 * MOST_STEPS
        of = np.repeat(np.arange(len(counts)), long)
        start, stop = self.first[of], self.first[of + 1]
        index = np.arange(len(of)) - np.repeat(np.cumsum(long) - long + MOST_STEPS, long) + start
        out = np.flatnonzero((index < start) | (index >= stop))
        start, stop, past, loop = start[out], stop[out], index[out], self.closed[of[out]]
        end = np.where(past >= stop, stop - 1, start)
        turned = np.clip(2 * end - past, start, stop - 1)
        index[out] = np.where(loop, start + (past - start) % np.maximum(stop - start, 1), turned)
        own = np.ascontiguousarray(self.points).view(np.complex128)[:, 0]
        points = np.take(own, index)
        beyond = out[~loop]
        points[beyond] = 2 * own[end[~loop]] - points[beyond]
        place = np.arange(len(own)) + MOST_STEPS * (2 * self.of + 1)
        return points, place

    def shifted(self, step: int, at: Ints | None = None) -> Floats:
        """The points `step` along, at most MOST_STEPS, of those `at` or of all; past an end its line goes on."""
        points, place = self._prolonged
        found: Floats = np.take(points, (place if at is None else np.take(place, at)) + step).view(np.float64)
        return found.reshape(-1, 2)
