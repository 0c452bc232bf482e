"""How a stroke ends: blunt, pointed or round; where its sides stop, and the stitch lines out to there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.cuts import on_grid
from analyse.widths.lines import spread, together
from analyse.widths.rings import BARELY_PX, Rings
from analyse.widths.samples import Ints
from analyse.widths.tracks import Track

STEP_PER_WIDTH = 0.12  # stitch lines out to an end lie this densely, in widths
FINEST_STEP_PX = 0.5
CORNER_DEG = 45.0  # a turn this sharp, over a baseline of CORNER_REACH widths, ends a side
CORNER_REACH = 0.12
PAST_TIP = 0.5  # in middle widths: sides whose last places passed each other by no more than this have met at the tip
LEAST_END = 0.35  # corners further apart than this, in widths, make a blunt end; nearer ones a pointed one


@dataclass(frozen=True, slots=True, eq=False)
class Caps:
    """Rows beyond the tracks' last discs, as the tracks run.

    track (N,); tail (N,): behind its last row, else before its first; axis (N, 3): x, y, width; places of both sides.
    """

    track: Ints
    tail: NDArray[np.bool_]
    axis: Floats
    left_ring: Ints
    left_way: Floats
    right_ring: Ints
    right_way: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Ends:
    """Ends of tracks, looking out: the outline runs from the left side's last place over `reach` to the right's."""

    track: Ints
    tail: NDArray[np.bool_]
    ring: Ints
    start: Floats
    reach: Floats
    width: Floats


def caps_of(tracks: Sequence[Track], rings: Rings, free: Sequence[tuple[bool, bool]], cuts: Sequence[Floats]) -> Caps:
    """Stitch lines from the last discs out to the ends of the shape. cuts: for each track (C, 2) where cuts end."""
    ends = _ends(tracks, rings, free)
    one, two = _ends_of_sides(ends, rings, cuts)
    step = np.maximum(STEP_PER_WIDTH * ends.width, FINEST_STEP_PX)
    count = np.maximum(np.ceil(np.maximum(one, ends.reach - two) / step).astype(np.int64), 1)
    which = np.repeat(np.arange(len(count)), count)
    nth = spread(np.ones_like(count), count)
    # before a track the outermost row comes first
    out = np.where(ends.tail[which], nth, count[which] + 1 - nth) / count[which]
    ring, tail = ends.ring[which], ends.tail[which]
    left_way = ends.start[which] + out * one[which]
    right_way = (ends.start + ends.reach)[which] - out * (ends.reach - two)[which]
    left, right = rings.at(ring, left_way), rings.at(ring, right_way)
    across = np.minimum(np.hypot(*(left - right).T), ends.width[which])
    axis = np.column_stack([(left + right) / 2.0, across])
    turn_left, turn_right = _turns(tracks, ends, rings)
    own_left = np.where(tail, left_way, right_way) + turn_left[which]
    own_right = np.where(tail, right_way, left_way) + turn_right[which]
    return Caps(ends.track[which], tail, axis, ring, own_left, ring, own_right)


def _ends(tracks: Sequence[Track], rings: Rings, free: Sequence[tuple[bool, bool]]) -> _Ends:
    found = []
    for number, (track, (head, tail)) in enumerate(zip(tracks, free, strict=True)):
        if track.closed:
            continue
        for row, wanted, one, two in ((0, head, track.right, track.left), (-1, tail, track.left, track.right)):
            if wanted and one.ring[row] == two.ring[row]:
                width = track.axis[row, 2]
                middle = max(width, float(np.median(track.axis[:, 2])))
                found.append((number, row == -1, one.ring[row], one.way[row], two.way[row], width, middle))
    table = np.array(found, dtype=float).reshape(-1, 7)
    ring, start, width = table[:, 2].astype(np.int64), table[:, 3], table[:, 5]
    reach = np.mod(table[:, 4] - start, rings.length[ring])
    past = rings.length[ring] - reach
    met = past < np.maximum(PAST_TIP * table[:, 6], BARELY_PX)
    start, reach = np.where(met, start - past / 2.0, start), np.where(met, 0.0, reach)
    return _Ends(table[:, 0].astype(np.int64), table[:, 1] > 0, ring, start, reach, width)


def _turns(tracks: Sequence[Track], ends: _Ends, rings: Rings) -> tuple[Floats, Floats]:
    """Whole turns of the ring by which the caps' ways must be moved to go on from the tracks' own."""
    sides = []
    for name, looks in (("left", ends.tail), ("right", ~ends.tail)):
        # the side that is the left one looking out begins at start, the other at start + reach
        begins = np.where(looks, ends.start, ends.start + ends.reach)
        row = np.where(ends.tail, -1, 0)
        own = np.array([
            getattr(tracks[t], name).way[r] for t, r in zip(ends.track.tolist(), row.tolist(), strict=True)
        ])  # fmt: skip
        length = rings.length[ends.ring]
        sides.append(np.round((own - begins) / length) * length if len(own) else np.empty(0))
    return sides[0], sides[1]


def _ends_of_sides(ends: _Ends, rings: Rings, cuts: Sequence[Floats]) -> tuple[Floats, Floats]:
    """How far along each end's outline the left side ends and the right one begins."""
    first, last = _marked(ends, rings, cuts)
    open_ = np.flatnonzero(~(first < last))
    found = corners_between(rings, ends.ring[open_], ends.start[open_], ends.reach[open_], ends.width[open_])
    for k, corners in zip(open_.tolist(), found, strict=True):
        first[k], last[k] = (corners[0], corners[-1]) if corners else (ends.reach[k] / 2.0,) * 2
    apart = rings.at(ends.ring, ends.start + first) - rings.at(ends.ring, ends.start + last)
    pointed = np.hypot(*apart.T) < LEAST_END * ends.width
    middle = (first + last) / 2.0
    return np.where(pointed, middle, first), np.where(pointed, middle, last)


def _marked(ends: _Ends, rings: Rings, cuts: Sequence[Floats]) -> tuple[Floats, Floats]:
    """Where the first and the last cut end on each end's outline, as ways from its start; inf, -inf for none."""
    first, last = np.full(len(ends.ring), np.inf), np.full(len(ends.ring), -np.inf)
    cut, count = together(cuts)
    if not len(cut):
        return first, last
    inner, which = rings.between(ends.ring, ends.start, ends.start + ends.reach)
    number = np.arange(len(ends.ring))
    way = np.concatenate([ends.start, inner, ends.start + ends.reach])
    which = np.concatenate([number, which, number])
    points = np.vstack([on_grid(rings.at(ends.ring[which], way)), on_grid(cut)]) @ (1.0, 1.0j)
    known, point = np.unique(points, return_inverse=True)
    keys = point + len(known) * np.append(ends.track[which], np.repeat(np.arange(len(count)), count))
    hit = np.isin(keys[: len(way)], keys[len(way) :])
    np.minimum.at(first, which[hit], way[hit] - ends.start[which[hit]])
    np.maximum.at(last, which[hit], way[hit] - ends.start[which[hit]])
    return first, last


def corners_between(rings: Rings, ring: Ints, start: Floats, reach: Floats, width: Floats) -> list[list[float]]:
    """Ways, from its start, of the sharp outward corners on each stretch of outline, strongest of each bunch."""
    arm = np.maximum(CORNER_REACH * width, 1e-3)
    pieces = 4 * np.maximum((reach / arm).astype(np.int64), 4)
    even = np.repeat(np.arange(len(ring)), pieces + 1)
    at = spread(np.zeros_like(pieces), pieces + 1) * (reach / pieces)[even]
    inner, which = rings.between(ring, start, start + reach)
    way, which = np.append(at, inner - start[which]), np.append(even, which)
    turn = rings.turns(ring[which], start[which] + way, arm[which])
    sharp = np.flatnonzero(turn >= CORNER_DEG)
    order = sharp[np.lexsort((way[sharp], -turn[sharp], which[sharp]))]
    found: list[list[float]] = [[] for _ in range(len(ring))]
    for k, here, near in zip(which[order].tolist(), way[order].tolist(), arm[which[order]].tolist(), strict=True):
        if all(abs(here - other) > near for other in found[k]):
            found[k].append(here)
    return [sorted(each) for each in found]
