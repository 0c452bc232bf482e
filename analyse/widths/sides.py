"""How a column's stitches lie: the two sides of a stroke, point across from point, out to its ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.ends import Caps, caps_of
from analyse.widths.lines import measured, medians, spread, summed, together
from analyse.widths.rings import Rings
from analyse.widths.samples import Ints
from analyse.widths.tracks import Track

STEP_PER_WIDTH = 0.12  # sides are given this densely along the run, in widths
FINEST_STEP_PX = 0.5
HOP = 3.0  # a side that would go this much further along its ring than straight across has hopped


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A spine in px: line (N, 3) x, y, width; left, right (N, 2)."""

    line: Floats
    left: Floats
    right: Floats
    closed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """All tracks' rows in one array: axis (N, 3), places of both sides; owner (N,), first (T,)."""

    axis: Floats
    rings: list[Ints]
    ways: list[Floats]
    owner: Ints
    first: Ints

    @property
    def last(self) -> Ints:
        return np.append(self.first[1:], len(self.owner)) - 1


def runs_of(
    tracks: Sequence[Track], rings: Rings, free: Sequence[tuple[bool, bool]], cuts: Sequence[Floats]
) -> list[Run]:
    """Runs with sides on the outline, carried on to their free ends, at even steps.

    cuts: for each track (C, 2) points where cuts end: the sides of an end made by a cut end there.
    """
    if not tracks:
        return []
    rows = _rows(tracks, rings, caps_of(tracks, rings, free, cuts))
    return _evened(rows, rings, np.array([track.closed for track in tracks]))


def _rows(tracks: Sequence[Track], rings: Rings, caps: Caps) -> _Rows:
    """The tracks with the rows of their caps before and after them; closed ones with their first row again."""
    axis, count = together([track.axis for track in tracks])
    number = np.arange(len(tracks))
    closed = np.array([track.closed for track in tracks])
    first = np.cumsum(count) - count
    again = first[closed]
    owner = np.concatenate([np.repeat(number, count), number[closed], caps.track])
    place = np.concatenate([np.full(len(axis), 1), np.full(len(again), 2), np.where(caps.tail, 2, 0)])
    order = np.argsort(3 * owner + place, kind="stable")
    sides = []
    for name, ring, way in (("left", caps.left_ring, caps.left_way), ("right", caps.right_ring, caps.right_way)):
        own_ring = np.concatenate([getattr(track, name).ring for track in tracks])
        own_way = np.concatenate([getattr(track, name).way for track in tracks])
        length = rings.length[own_ring[again]]
        gone = own_way[(first + count - 1)[closed]] - own_way[again]
        turn = np.where(np.abs(gone) > length / 2.0, np.round(gone / length) * length, 0.0)
        sides.append(
            (
                np.concatenate([own_ring, own_ring[again], ring])[order],
                np.concatenate([own_way, own_way[again] + turn, way])[order],
            )
        )
    total = np.bincount(owner, minlength=len(tracks))
    return _Rows(
        np.vstack([axis, axis[again], caps.axis])[order], [ring for ring, _ in sides], [way for _, way in sides],
        owner[order], np.cumsum(total) - total,
    )  # fmt: skip


def _evened(rows: _Rows, rings: Rings, closed: NDArray[np.bool_]) -> list[Run]:
    """At even steps along the mean of the three lines, so that bends get their share; sides follow the outline."""
    points = [rings.at(ring, way) for ring, way in zip(rows.rings, rows.ways, strict=True)]
    follows = [
        _follows(ring, way, xy, rows.axis[:, 2]) for ring, way, xy in zip(rows.rings, rows.ways, points, strict=True)
    ]
    steps = _spans(rows.axis)
    for way, xy, on in zip(rows.ways, points, follows, strict=True):
        steps = steps + np.where(on, np.abs(np.diff(way)), _spans(xy))
    lines = measured(summed(steps / 3.0, rows.first, rows.owner), rows.first, rows.owner)
    own = rows.last - rows.first + 1 - closed
    step = np.maximum(FINEST_STEP_PX, STEP_PER_WIDTH * medians(rows.axis[:, 2], rows.first, own))
    pieces = np.maximum(np.ceil(lines.length / step).astype(np.int64), 2)
    count = pieces + 1 - closed
    track = np.repeat(np.arange(len(count)), count)
    at = spread(np.zeros_like(count), count) * (lines.length / pieces)[track]
    row = np.searchsorted(lines.measure, lines.base[track] + at, side="right") - 1
    row = np.clip(row, rows.first[track], rows.last[track] - 1)
    share = np.clip((at - lines.along[row]) / np.maximum(lines.along[row + 1] - lines.along[row], 1e-12), 0.0, 1.0)
    line = rows.axis[row] + (rows.axis[row + 1] - rows.axis[row]) * share[:, None]
    sides = []
    for ring, way, xy, on in zip(rows.rings, rows.ways, points, follows, strict=True):
        read = xy[row] + (xy[row + 1] - xy[row]) * share[:, None]
        there = on[row]
        read[there] = rings.at(ring[row[there]], (way[row] + (way[row + 1] - way[row]) * share)[there])
        sides.append(read)
    ends = np.cumsum(count)
    return [
        Run(line[a:b], sides[0][a:b], sides[1][a:b], whole)
        for a, b, whole in zip((ends - count).tolist(), ends.tolist(), closed.tolist(), strict=True)
    ]


def _spans(points: Floats) -> Floats:
    """Lengths of the straight pieces between points."""
    return np.asarray(np.hypot(points[1:, 0] - points[:-1, 0], points[1:, 1] - points[:-1, 1]))


def _follows(ring: Ints, way: Floats, points: Floats, width: Floats) -> NDArray[np.bool_]:
    """Where a side goes along its ring from one row to the next: at a pinch it hops from leg to leg instead."""
    near = np.abs(np.diff(way)) <= HOP * _spans(points) + np.maximum(width[1:], width[:-1])
    return np.asarray((ring[1:] == ring[:-1]) & near)
