"""How does one trail begin, end and follow another? Ties, hidden travel, jump and trim, by the trade's rules."""

from __future__ import annotations

from bisect import bisect_right
from itertools import pairwise
from math import dist

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.curves import along, lengths
from plans.stitching.trails import begun, chained, part_of, trail_of
from plans.stitching.travel import stepped
from plans.values import Lay, Move, Trail

OFF_SHARE = 0.75  # a tie-off begins this much shorter, so that it misses the holes of a tie-in at the same place
TRIED = (1.0, 0.9, 1.1, 1.25, 0.75, 1.4, 1.6, 1.8, 2.1, 2.5)  # shares of a tie's length tried in turn
FEW = 32  # points in which a tie is usually found
Place = tuple[float, float]


def tied(trail: Trail, trade: Trade, shortest_mm: float = 0.0) -> Trail:
    """`trail` with its tie-in before and its tie-off behind, at every trim inside it too.

    Both run back over the trail's own first and last stitches, so that they lie within what is sewn and no hole is
    pierced again and again. shortest_mm: what the cloth asks of every stitch, where that is more than ties have.
    """
    cuts = [0, *np.flatnonzero(trail.move[1:] == Move.TRIM) + 1, len(trail.xy)]
    return chained([_tied(part_of(trail, first, behind), trade, shortest_mm) for first, behind in pairwise(cuts)])


def _tied(trail: Trail, trade: Trade, shortest_mm: float) -> Trail:
    if len(trail.xy) < 2:
        return trail
    ahead = tie_points(trail.xy, trade, shortest_mm=shortest_mm)[::-1]
    behind = tie_points(trail.xy[::-1], trade, OFF_SHARE, shortest_mm)
    tie_in = begun(trail_of(ahead, Move.SEW, Lay.TIE), Move(int(trail.move[0])))
    first = Move.SEW if len(tie_in.xy) else Move(int(trail.move[0]))
    return chained([tie_in, begun(trail, first), trail_of(behind, Move.SEW, Lay.TIE)])


def tie_points(path: Floats, trade: Trade, first_share: float = 1.0, shortest_mm: float = 0.0) -> Floats:
    """Places along the first stitches of `path`, each a tie's length further from its start by the thread.

    first_share: the first one's share of that length. Where the path turns back on itself the thread goes on until the
    needle falls far enough from the last place; where there is no such place the tie is that much shorter. Where the
    cloth bears no tie's short stitches (`shortest_mm`) it lies in the path's own holes, which are never doubled there.
    """
    count, length, shortest = trade.value("tie.count"), trade.value("tie.length"), trade.value("tie.shortest")
    if shortest_mm > length:
        return np.asarray(path[1 : count + 1])
    xy, way = _begin(path, count * length * max(TRIED))
    points: list[Place] = []
    at, here = 0.0, xy[0]
    for number in range(count):
        first = length * (1.0 if number else first_share)
        tried = (at + first * share for share in TRIED)
        found = next(((to, fit) for to in tried if dist(fit := _at(xy, way, to), here) >= shortest), None)
        if found is None:
            break
        at, here = found
        points.append(here)
    return np.array(points).reshape(-1, 2)


def _begin(path: Floats, reach_mm: float) -> tuple[list[Place], list[float]]:
    """The points of the first `reach_mm` of a path, and the way to each."""
    few = FEW
    while few < len(path) and lengths(path[:few]).sum() < reach_mm:
        few *= 2
    xy: list[Place] = [(x, y) for x, y in path[:few].tolist()]
    return xy, along(path[:few]).tolist()


def _at(xy: list[Place], way: list[float], to: float) -> Place:
    """The point at a way along a path; its last one beyond its end."""
    last = bisect_right(way, to)
    if last == len(way):
        return xy[-1]
    (x, y), (next_x, next_y) = xy[last - 1], xy[last]
    share = (to - way[last - 1]) / (way[last] - way[last - 1])
    return x + share * (next_x - x), y + share * (next_y - y)


def move_between(
    exit_xy: Place, entry_xy: Place, *, hidden: Polygon | MultiPolygon | None, same_thread: bool, trade: Trade
) -> Trail:
    """The way from the end of one trail to the start of the next: the moves up to and with the one to `entry_xy`.

    Travel stitches where one thread can go hidden inside `hidden`; a jump where it is short; a trim otherwise. The
    last row lies on `entry_xy`, so the next trail is joined without its own first row.
    """
    ends = np.array([exit_xy, entry_xy], float)
    gap = float(np.hypot(*(ends[1] - ends[0])))
    if same_thread and gap < trade.value("stitch.never_under"):
        return trail_of(ends[1:], Move.JUMP, Lay.TRAVEL)
    if not same_thread:
        return trail_of(ends[1:], Move.TRIM, Lay.TRAVEL)
    reach = trade.value("travel.hidden_between_parts")
    if hidden is not None and gap <= reach and shapely.covers(hidden, shapely.LineString(ends)):
        return trail_of(stepped(ends, trade.value("travel.stitch"))[1:], Move.TRAVEL, Lay.TRAVEL)
    return trail_of(ends[1:], gap_move(ends, trade), Lay.TRAVEL)


def gap_move(ends: Floats, trade: Trade) -> Move:
    """How one thread crosses a gap that nothing hides: a jump left lying where it is short, else a trim."""
    gap = float(np.hypot(*(ends[1] - ends[0])))
    return Move.TRIM if gap > trade.value("travel.trim_over") else Move.JUMP
