"""How does the needle get from one place in a shape to another without leaving it? Along its rows' spans."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from analyse.values import Floats
from plans.stitching.pieces import BOTTOM, TOP, Pieces

MARGIN_MM = 0.5  # travel keeps this far from a span's ends, so that the rows over it hide it
STRAIGHTEN_MM = 0.3  # how far a travel may leave the way it was found along; less than the margin


def spans_of_way(
    pieces: Pieces, way: Sequence[tuple[int, int]], first: int | None = None, last: int | None = None
) -> list[int]:
    """The spans met along `way`, from span `first` of its first piece to span `last` of its last piece."""
    spans: list[int] = []
    at = first
    for number, (piece, end) in enumerate(way):
        goal = pieces.end_span(piece, end)
        spans += [goal] if at is None else _within(pieces, piece, at, goal)
        leaving = number + 1 < len(way) and way[number + 1][0] != piece
        at = None if leaving else goal
    if last is not None and way:
        spans += _within(pieces, way[-1][0], pieces.end_span(*way[-1]), last)
    return spans


def _within(pieces: Pieces, piece: int, start: int, goal: int) -> list[int]:
    members, rows = pieces.members[piece], pieces.rows.row
    base = rows[members[0]]
    a, b = int(rows[start] - base), int(rows[goal] - base)
    return [int(i) for i in (members[a : b + 1] if b >= a else members[b : a + 1][::-1])]


def way_through(
    pieces: Pieces, spans: Sequence[int], start: tuple[float, float], goal_u: float, stitch_mm: float
) -> Floats:
    """Points (N, 2) u, v of a travel from `start` over `spans` to u `goal_u` in the last of them, both included.

    Steps are at most `stitch_mm`; the way keeps off the spans' ends where they leave it room.
    """
    rows = pieces.rows
    low, high, v = rows.low[list(spans)], rows.high[list(spans)], rows.v[list(spans)]
    margin = np.minimum(MARGIN_MM, (high - low) / 3)
    corners, u = [start], start[0]
    for a, b, at in zip((low + margin).tolist(), (high - margin).tolist(), v.tolist(), strict=True):
        kept = min(max(u, a), b)
        if abs(kept - u) > 2 * rows.pitch:
            corners.append((kept, corners[-1][1]))
        corners.append((kept, at))
        u = kept
    corners.append((goal_u, v[-1]))
    return stepped(straightened(np.array(corners)), stitch_mm)


def straightened(path: Floats) -> Floats:
    """`path` with as few corners as keep within STRAIGHTEN_MM of it."""
    if len(path) < 3:
        return path
    return np.asarray(shapely.get_coordinates(shapely.simplify(shapely.LineString(path), STRAIGHTEN_MM, preserve_topology=False)))


def stepped(path: Floats, stitch_mm: float) -> Floats:
    """Points along `path`, its corners kept, no two further apart than `stitch_mm`."""
    steps = np.diff(path, axis=0)
    counts = np.maximum(np.ceil(np.hypot(steps[:, 0], steps[:, 1]) / stitch_mm - 1e-9), 1).astype(np.int64)
    index = np.repeat(np.arange(len(steps)), counts)
    share = (np.arange(len(index)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[index]
    return np.concatenate([path[index] + share[:, None] * steps[index], path[-1:]])


def route(pieces: Pieces, start: int, goal: int) -> list[int] | None:
    """Spans from span `start` to span `goal` over touching pieces, fewest pieces first; None where none lead there."""
    first, last = int(pieces.piece[start]), int(pieces.piece[goal])
    if first == last:
        return _within(pieces, first, start, goal)
    came: dict[tuple[int, int], tuple[int, int] | None] = {(first, TOP): None, (first, BOTTOM): None}
    queue = list(came)
    for node in queue:
        piece, end = node
        if piece == last:
            break
        beyond = [*pieces.links[piece][end], (piece, 1 - end)]
        for other in beyond:
            if other not in came:
                came[other] = node
                queue.append(other)
    else:
        return None
    way: list[tuple[int, int]] = []
    at: tuple[int, int] | None = node
    while at is not None:
        way.append(at)
        at = came[at]
    way.reverse()
    return spans_of_way(pieces, way, start, goal)


def nearest_span(pieces: Pieces, u: float, v: float) -> int:
    """The span nearest to a place."""
    rows = pieces.rows
    aside = np.maximum(np.maximum(rows.low - u, u - rows.high), 0.0)
    return int(np.argmin(np.hypot(aside, rows.v - v)))
