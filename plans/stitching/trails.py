"""How are needle points put together? Building, joining and cleaning trails."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from plans.stitching.curves import lengths
from plans.values import Lay, Move, Trail

FEW = 16  # so few points are looked at one by one
NOTHING = Trail(np.empty((0, 2)), np.empty(0, np.uint8), np.empty(0, np.uint8))


def trail_of(xy: Floats, move: Move, lay: Lay) -> Trail:
    """One trail of points (N, 2) that all lie on one kind of move and lay."""
    points = np.asarray(xy, float).reshape(-1, 2)
    return Trail(points, np.full(len(points), move, np.uint8), np.full(len(points), lay, np.uint8))


def chained(trails: Sequence[Trail]) -> Trail:
    """The trails one after the other, as they are; no move between them is made up."""
    kept = [trail for trail in trails if len(trail.xy)]
    if not kept:
        return NOTHING
    return Trail(
        np.concatenate([trail.xy for trail in kept]),
        np.concatenate([trail.move for trail in kept]),
        np.concatenate([trail.lay for trail in kept]),
    )


def part_of(trail: Trail, first: int, behind: int) -> Trail:
    """Needle points `first` to `behind`, that one left out."""
    return Trail(trail.xy[first:behind], trail.move[first:behind], trail.lay[first:behind])


def begun(trail: Trail, move: Move = Move.JUMP) -> Trail:
    """`trail` with `move` as the way to its first point."""
    if not len(trail.xy):
        return trail
    moves = trail.move.copy()
    moves[0] = move
    return Trail(trail.xy, moves, trail.lay)


def backwards(trail: Trail) -> Trail:
    """`trail` sewn from its end to its start; every stitch keeps its kind and lay."""
    if not len(trail.xy):
        return trail
    move = np.concatenate([trail.move[:1], trail.move[:0:-1]])
    lay = np.concatenate([trail.lay[-1:], trail.lay[:0:-1]])
    return Trail(trail.xy[::-1], move, lay)


def without_short(trail: Trail, shortest_mm: float) -> Trail:
    """`trail` without the points that lie nearer than `shortest_mm` to the one before; the last point stays."""
    keep = kept_apart(trail.xy, shortest_mm, trail.move)
    return trail if keep.all() else Trail(trail.xy[keep], trail.move[keep], trail.lay[keep])


def kept_apart(xy: Floats, shortest_mm: float, move: NDArray[np.uint8] | None = None) -> NDArray[np.bool_]:
    """Mask of the points to keep so that no two in a row lie nearer than `shortest_mm`.

    The first point always stays, the last one stays in place of the one before it; a jump is never dropped.
    """
    keep = np.ones(len(xy), bool)
    if len(xy) < 2:
        return keep
    if len(xy) <= FEW and move is None:
        return _few_kept_apart(xy.tolist(), shortest_mm)
    if lengths(xy).min() >= shortest_mm:
        return keep
    while True:
        index = np.flatnonzero(keep)
        steps = np.diff(xy[index], axis=0)
        short = np.hypot(steps[:, 0], steps[:, 1]) < shortest_mm
        if move is not None:
            short &= move[index[1:]] < Move.JUMP
        if not short.any():
            return keep
        place = np.flatnonzero(short)
        place = place[np.concatenate([[True], np.diff(place) > 1])]
        drop = place + 1
        last = len(index) - 1
        drop = np.where((drop == last) & (drop > 1), drop - 1, drop)
        if move is not None:
            drop = drop[move[index[drop]] < Move.JUMP]
            if not len(drop):
                return keep
        keep[index[drop]] = False


def _few_kept_apart(xy: list[list[float]], shortest_mm: float) -> NDArray[np.bool_]:
    """The same for a few points, point by point."""
    index = list(range(len(xy)))
    while True:
        drop: list[int] = []
        before = False
        for place in range(len(index) - 1):
            (x0, y0), (x1, y1) = xy[index[place]], xy[index[place + 1]]
            short = hypot(x1 - x0, y1 - y0) < shortest_mm
            if short and not before:
                drop.append(place + 1)
            before = short
        if not drop:
            break
        last = len(index) - 1
        drop = [at - 1 if at == last and at > 1 else at for at in drop]
        gone = set(drop)
        index = [at for place, at in enumerate(index) if place not in gone]
    keep = np.zeros(len(xy), bool)
    keep[index] = True
    return keep


def without_long(trail: Trail, longest_mm: float) -> Trail:
    """`trail` with every sewn or travelled stitch over `longest_mm` parted evenly."""
    steps = np.diff(trail.xy, axis=0)
    parts = np.ceil(np.hypot(steps[:, 0], steps[:, 1]) / longest_mm - 1e-9).astype(np.int64)
    parts = np.where(trail.move[1:] < Move.JUMP, np.maximum(parts, 1), 1)
    if (parts == 1).all():
        return trail
    index = np.repeat(np.arange(len(steps)), parts)
    share = (np.arange(len(index)) - np.repeat(np.cumsum(parts) - parts, parts) + 1) / parts[index]
    xy = np.concatenate([trail.xy[:1], trail.xy[index] + share[:, None] * steps[index]])
    rows = np.concatenate([[0], index + 1])
    return Trail(xy, trail.move[rows], trail.lay[rows])
