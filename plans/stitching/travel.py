"""How does the needle get from one place in a shape to another without leaving it? Along its rows' spans."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, hypot

import numpy as np
import shapely
from shapely import Polygon

from analyse.values import Floats
from plans.stitching.curves import along, at_way
from plans.stitching.pieces import BOTTOM, TOP, Pieces
from plans.stitching.rows import Ints
from plans.stitching.trails import chained, part_of, trail_of
from plans.stitching.walk import connected
from plans.values import Lay, Move, Trail

MARGIN_MM = 0.5  # travel keeps this far from a span's ends, so that the rows over it hide it
DETOUR_TIMES = 2.0  # a way along an edge is cut short where it is so many times as long as the straight one
DRAWN_IN_TIMES = 1.5  # where that takes a step so many times as long, as in a neck or a corner, it stays on the edge
STEP_IN_MM = 0.5  # a travel along a row is on the row by then
EVEN_MM, EVEN_DIGITS = 1e-6, 6  # what differs by less is even
STRAIGHTEN_MM = 0.1  # how far a travel may leave the way it was found along: less than a row, or it would lie bare


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
    over = np.asarray(spans, np.int64)
    low, high, v = rows.low[over], rows.high[over], rows.v_of(over)
    margin = np.minimum(MARGIN_MM, (high - low) / 3)
    corners, u = [start], start[0]
    for a, b, off, at in zip(low.tolist(), high.tolist(), margin.tolist(), v.tolist(), strict=True):
        met, kept = min(max(u, a), b), min(max(u, a + off), b - off)
        if abs(met - u) > 2 * rows.pitch:
            corners.append((met, corners[-1][1]))
        if abs(kept - met) > 2 * rows.pitch:
            corners.append((met, at))
        corners.append((kept, at))
        u = kept
    if abs(goal_u - u) > STEP_IN_MM * 2:
        corners.append((u + np.copysign(STEP_IN_MM, goal_u - u), v[-1]))
    corners.append((goal_u, v[-1]))
    return stepped(straightened(np.round(corners, EVEN_DIGITS)), stitch_mm)


def under_row(start: Floats, goal: Floats, stitch_mm: float) -> Floats:
    """Points between `start`, at the end of a row, and `goal`, at the far end of the next, along that next row."""
    step_in = np.copysign(min(STEP_IN_MM, abs(goal[0] - start[0]) / 2), goal[0] - start[0])
    return stepped(np.array([start, [start[0] + step_in, goal[1]], goal]), stitch_mm)[1:-1]


def inside_way(shape: Polygon, ends: Floats, margin_mm: float = MARGIN_MM) -> Floats:
    """Corners of a way between two places in or at the edge of `shape`: straight where that stays inside, else
    along the nearest edge, `margin_mm` within it where the shape is wide enough."""
    shapely.prepare(shape)
    if shapely.dwithin(shape, shapely.points(stepped(ends, STRAIGHTEN_MM)), STRAIGHTEN_MM).all():
        return ends
    rings = np.array([shape.exterior, *shape.interiors])
    gaps = shapely.distance(rings[:, None], shapely.points(ends)[None]).sum(axis=1)
    ring = rings[int(np.argmin(gaps))]
    path = shapely.get_coordinates(ring)
    way = along(path)
    a, b = shapely.line_locate_point(ring, shapely.points(ends)).tolist()
    low, high = min(a, b), max(a, b)
    if high - low <= way[-1] / 2:
        ways = np.concatenate([[low], way[(way > low) & (way < high)], [high]])
    else:
        ways = np.concatenate([[high], way[way > high], way[(way > 0) & (way < low)], [low]])
    edge = _drawn_in(shape, at_way(path, way, ways), margin_mm)
    return straightened(_cut_short(shape, np.vstack([ends[:1], edge if (ways[0] == a) else edge[::-1], ends[1:]])))


def _cut_short(shape: Polygon, path: Floats) -> Floats:
    """A way with its detours cut off: it goes straight where that stays inside and saves half of it."""
    within = shape.buffer(STRAIGHTEN_MM, quad_segs=2)
    shapely.prepare(within)
    way, kept, here = along(path), [0], 0
    while here < len(path) - 1:
        ahead = np.arange(here + 2, len(path))
        straight = np.hypot(*(path[ahead] - path[here]).T)
        ahead = ahead[way[ahead] - way[here] > DETOUR_TIMES * straight]
        lines = shapely.linestrings(np.stack([np.broadcast_to(path[here], (len(ahead), 2)), path[ahead]], axis=1))
        seen = ahead[shapely.covers(within, lines)]
        here = int(seen[-1]) if len(seen) else here + 1
        kept.append(here)
    return np.asarray(path[kept])


def _drawn_in(shape: Polygon, edge: Floats, margin_mm: float) -> Floats:
    """A way along an edge drawn in from it, so that rows hide it, but where the shape is too narrow for that."""
    inner = shape.buffer(-margin_mm, join_style="mitre")
    if not margin_mm or inner.is_empty:
        return edge
    points = shapely.get_coordinates(shapely.segmentize(shapely.LineString(edge), margin_mm))
    put = shapely.get_coordinates(shapely.shortest_line(shapely.points(points), inner)).reshape(-1, 2, 2)[:, 1]
    near = np.hypot(*(put - points).T) <= DRAWN_IN_TIMES * margin_mm
    return np.asarray(np.where(near[:, None], put, points))


def kept_inside(trail: Trail, shape: Polygon, stitch_mm: float) -> Trail:
    """`trail` with its sewn turns led along the edge, within it, where they would cut across a bay or a hole."""
    steps = shapely.linestrings(np.stack([trail.xy[:-1], trail.xy[1:]], axis=1))
    shapely.prepare(shape)
    bare = np.flatnonzero(~shapely.covers(shape, steps) & (trail.move[1:] == Move.SEW))
    if not len(bare):
        return trail
    pieces, done = [], 0
    for step in bare.tolist():
        way = stepped(inside_way(shape, trail.xy[step : step + 2]), stitch_mm)[1:-1]
        move, lay = Move(int(trail.move[step + 1])), Lay(int(trail.lay[step + 1]))
        pieces += [part_of(trail, done, step + 1), trail_of(way, move, lay)]
        done = step + 1
    return chained([*pieces, part_of(trail, done, len(trail.xy))])


def straightened(path: Floats) -> Floats:
    """`path` with as few corners as keep within STRAIGHTEN_MM of it (Douglas and Peucker, 1973).

    Of corners that lie equally far off the first is kept, whichever way the path is turned.
    """
    kept, stretches = {0, len(path) - 1}, [(0, len(path) - 1)]
    while stretches:
        first, last = stretches.pop()
        if last - first < 2:
            continue
        run, off = path[last] - path[first], path[first + 1 : last] - path[first]
        share = np.clip(off @ run / max(float(run @ run), 1e-12), 0.0, 1.0)
        gaps = np.hypot(*(off - share[:, None] * run).T)
        if gaps.max() > STRAIGHTEN_MM:
            corner = first + 1 + int(np.argmax(gaps >= gaps.max() - EVEN_MM))
            kept.add(corner)
            stretches += [(first, corner), (corner, last)]
    return np.asarray(path[sorted(kept)])


def stepped(path: Floats, stitch_mm: float) -> Floats:
    """Points along `path`, its corners kept, no two further apart than `stitch_mm`."""
    corners = path.tolist()
    points = []
    for (x, y), (to_x, to_y) in pairwise(corners):
        count = max(ceil(hypot(to_x - x, to_y - y) / stitch_mm - 1e-9), 1)
        points += [(x + (to_x - x) * step / count, y + (to_y - y) * step / count) for step in range(count)]
    return np.array([*points, corners[-1]])


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


def nearest_span(pieces: Pieces, u: float, v: float, among: Ints | None = None) -> int:
    """The span nearest to a place, of all or of those `among`."""
    rows = pieces.rows
    spans = np.arange(len(rows)) if among is None else among
    aside = np.maximum(np.maximum(rows.low[spans] - u, u - rows.high[spans]), 0.0)
    return int(spans[np.argmin(np.hypot(aside, rows.v_of(spans) - v))])


def way_across(pieces: Pieces, shape: Polygon, at: Floats, entry: int, stitch_mm: float) -> Floats:
    """The way from `at` to span `entry` where no rows lead there: over the rows at hand, then within `shape` (u, v).

    Empty where rows lead there.
    """
    here = nearest_span(pieces, float(at[0]), float(at[1]))
    if here == entry or route(pieces, here, entry) is not None:
        return np.empty((0, 2))
    rows = pieces.rows
    middle = float(rows.low[entry] + rows.high[entry]) / 2
    group = next(group for group in connected(pieces) if int(pieces.piece[here]) in group)
    near = np.flatnonzero(np.isin(pieces.piece, list(group)))
    leave = nearest_span(pieces, middle, float(rows.v_of(np.array([entry]))[0]), near)
    spans = route(pieces, here, leave) or [here]
    leave_u = float(np.clip(middle, rows.low[leave], rows.high[leave]))
    path = way_through(pieces, spans, (float(at[0]), float(at[1])), leave_u, stitch_mm)
    met = np.array([np.clip(leave_u, rows.low[entry], rows.high[entry]), rows.v_of(np.array([entry]))[0]])
    return np.concatenate([path[:-1], stepped(inside_way(shape, np.vstack([path[-1], met])), stitch_mm)])
