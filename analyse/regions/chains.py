"""Many lines of points held as one array, so that all of them are worked on at once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


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

    def shifted(self, step: int, at: Ints | None = None) -> Floats:
        """The points `step` along, of those `at` or of all; past an end its line goes on, turned about it."""
        place, end = self.places(step, at)
        points = self.points[place]
        past = np.flatnonzero(end >= 0)
        points[past] = 2 * self.points[end[past]] - points[past]
        return points
