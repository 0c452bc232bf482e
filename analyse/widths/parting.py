"""A stroke cut across at places along its way: each piece keeps its stretch of the run; the pieces share the cuts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely

from analyse.values import Floats
from analyse.widths.centreline import Side
from analyse.widths.cuts import Cut, Piece, split
from analyse.widths.samples import Ints
from analyse.widths.strokes import Stroke
from analyse.widths.tracks import Track


def parted(stroke: Stroke, rows: Sequence[int]) -> tuple[Stroke, ...]:
    """The pieces of a stroke cut across at rows of its track, in its order; the stroke itself where that cannot be."""
    track = stroke.track
    if track is None or not rows:
        return (stroke,)
    places = [Cut(*((int(side.ring[row]), float(side.way[row])) for side in (track.left, track.right))) for row in rows]
    whole = Piece(stroke.filled, stroke.filled, stroke.cuts)
    pieces = split([whole], stroke.rings, [stroke.own_rings], [places])[0]
    stretches = _stretches(len(track.axis), sorted(rows), closed=track.closed)
    if len(pieces) != len(stretches):
        return (stroke,)
    middles = shapely.points([track.axis[rows[len(rows) // 2], :2] for rows in stretches])
    lies_in = shapely.contains(np.array([piece.outline for piece in pieces], dtype=object)[:, None], middles)
    if (lies_in.sum(axis=0) != 1).any() or (lies_in.sum(axis=1) != 1).any():
        return (stroke,)
    own = lies_in.argmax(axis=0).tolist()
    return tuple(
        _piece(stroke, track, pieces[k], stretch, (number == 0, number == len(own) - 1))
        for number, (k, stretch) in enumerate(zip(own, stretches, strict=True))
    )


def _stretches(count: int, rows: Sequence[int], *, closed: bool) -> list[Ints]:
    """The track's rows between the cuts, those of the cuts in both; a ring begins at its first cut."""
    ends = [*rows, rows[0] + count] if closed else [0, *rows, count - 1]
    return [np.arange(a, b + 1) % count for a, b in pairwise(ends)]


def _piece(stroke: Stroke, track: Track, piece: Piece, rows: Ints, first_last: tuple[bool, bool]) -> Stroke:
    axis = track.axis[rows]
    steps = np.hypot(*np.diff(axis[:, :2], axis=0).T)
    sides = [
        Side(side.ring[rows], _unwrapped(side, rows, stroke, closed=track.closed)) for side in (track.left, track.right)
    ]
    stretch = Track(axis, np.concatenate([[0.0], np.cumsum(steps)]), sides[0], sides[1], closed=False)
    free = (False, False) if track.closed else tuple(a and b for a, b in zip(stroke.free, first_last, strict=True))
    on_top = None if stroke.body is None else stroke.body.difference(stroke.outline)
    return replace(
        stroke,
        outline=piece.outline if on_top is None else piece.outline.difference(on_top),
        body=None if on_top is None else piece.outline,
        axes=(axis,),
        track=stretch,
        pole=axis[int(axis[:, 2].argmax())],
        cuts=piece.cuts,
        free=(free[0], free[1]),
        laid=[],
        known={},
        parts={},
        across=[],
    )


def _unwrapped(side: Side, rows: Ints, stroke: Stroke, *, closed: bool) -> Floats:
    """A side's ways at the rows, one turn on behind the place where a ring began."""
    way = side.way[rows]
    if not closed:
        return way
    length = float(stroke.rings.length[int(side.ring[0])])
    turn = np.round((side.way[-1] - side.way[0]) / length) if abs(side.way[-1] - side.way[0]) > length / 2.0 else 0.0
    again = np.concatenate([[False], np.diff(rows) < 0]).cumsum()
    return np.asarray(way + again * turn * length)
