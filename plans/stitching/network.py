"""In which order is a network of lines sewn? There and back along every line, without a jump: an Euler walk.

Lines that meet are linked at their ends, and where an end lies on the middle of another line that line is parted.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from analyse.values import Floats
from plans.stitching.curves import along, at_way

MEET_MM = 0.3  # ends nearer than this to a line meet it


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """One line (N, 2) between two knots, sewn `passes` times."""

    line: Floats
    ends: tuple[int, int]
    passes: int


@dataclass(frozen=True, slots=True)
class Pass:
    """One pass along a stretch, from its end if `back`."""

    stretch: int
    back: bool


def network_of(lines: Sequence[Floats], closed: Sequence[bool], passes: int) -> tuple[tuple[Stretch, ...], Floats]:
    """Stretches between the places where lines meet, and those places (K, 2)."""
    parted: list[Floats] = []
    for number, line in enumerate(lines):
        whole = np.vstack([line, line[:1]]) if closed[number] else line
        parted += _parted(whole, _met_at(whole, number, lines, closed))
    knots: list[Floats] = []
    ends = [(_knot(knots, line[0]), _knot(knots, line[-1])) for line in parted]
    stretches = (Stretch(line, pair, passes) for line, pair in zip(parted, ends, strict=True))
    return tuple(stretches), np.array(knots).reshape(-1, 2)


def euler_walk(stretches: Sequence[Stretch], knots: Floats, start: Floats, end: Floats | None) -> list[list[Pass]]:
    """For each connected part of the network one walk over all its passes, begun at the knot nearest to `start`.

    Where an odd number of passes leaves no walk without a jump, the shortest stretches that mend it are passed once
    more. The walk ends at `end` where that can be had without a further pass, else where it is shortest.
    """
    walks: list[list[Pass]] = []
    at = start
    left = set(range(len(stretches)))
    while left:
        first = min(left, key=lambda i: (float(np.hypot(*(knots[list(stretches[i].ends)] - at).T).min()), i))
        group = _reach(stretches, first, left)
        left -= group
        begin = min((knot for i in group for knot in stretches[i].ends), key=lambda k: (_far(knots[k], at), k))
        goal = end if not left else None
        times = _mended(stretches, group, begin, None if goal is None else goal, knots)
        walk = _hierholzer(stretches, times, begin)
        walks.append(walk)
        last = walk[-1]
        at = knots[stretches[last.stretch].ends[0 if last.back else 1]]
    return walks


def _met_at(whole: Floats, number: int, lines: Sequence[Floats], closed: Sequence[bool]) -> list[float]:
    ends = [line[i] for other, line in enumerate(lines) if other != number and not closed[other] for i in (0, -1)]
    if not ends:
        return []
    curve, points = shapely.LineString(whole), shapely.points(np.array(ends))
    near = shapely.distance(curve, points) < MEET_MM
    return [float(way) for way in shapely.line_locate_point(curve, points[near])]


def _parted(line: Floats, cuts: list[float]) -> list[Floats]:
    way = along(line)
    inner = sorted(cut for cut in cuts if MEET_MM < cut < way[-1] - MEET_MM)
    kept = [cut for number, cut in enumerate(inner) if number == 0 or cut - inner[number - 1] > MEET_MM]
    bounds = [0.0, *kept, float(way[-1])]
    pieces = []
    for begin, end in pairwise(bounds):
        ways = np.concatenate([[begin], way[(way > begin) & (way < end)], [end]])
        pieces.append(at_way(line, way, ways))
    return pieces


def _knot(knots: list[Floats], place: Floats) -> int:
    for number, knot in enumerate(knots):
        if _far(knot, place) < MEET_MM:
            return number
    knots.append(place)
    return len(knots) - 1


def _reach(stretches: Sequence[Stretch], first: int, left: set[int]) -> set[int]:
    group, knots = {first}, set(stretches[first].ends)
    while True:
        more = {i for i in left - group if knots & set(stretches[i].ends)}
        if not more:
            return group
        group |= more
        knots |= {knot for i in more for knot in stretches[i].ends}


def _mended(
    stretches: Sequence[Stretch], group: set[int], begin: int, goal: Floats | None, knots: Floats
) -> dict[int, int]:
    """How often each stretch is passed so that one walk from `begin` covers them all."""
    times = {i: stretches[i].passes for i in sorted(group)}
    odd = _odd(stretches, times)
    finish = begin
    if odd:
        others = sorted(odd - {begin}) or [begin]
        finish = others[-1] if goal is None else min(others, key=lambda k: (_far(knots[k], goal), k))
    loose = sorted(odd ^ ({begin} ^ {finish}))
    once_more: set[int] = set()
    while loose:
        one = loose.pop(0)
        path = _shortest(stretches, group, one, set(loose))
        loose.remove(_far_end(stretches, one, path))
        once_more ^= set(path)  # two ways over one stretch mend nothing there: both are left out
    return {i: count + (i in once_more) for i, count in times.items()}


def _odd(stretches: Sequence[Stretch], times: dict[int, int]) -> set[int]:
    odd: set[int] = set()
    for i, count in times.items():
        a, b = stretches[i].ends
        if count % 2 and a != b:
            odd ^= {a, b}
    return odd


def _shortest(stretches: Sequence[Stretch], group: set[int], begin: int, goals: set[int]) -> list[int]:
    """Stretches of the shortest way from a knot to any of `goals`."""
    best: dict[int, tuple[float, list[int]]] = {begin: (0.0, [])}
    queue = deque([begin])
    while queue:
        knot = queue.popleft()
        for i in sorted(group):
            a, b = stretches[i].ends
            if knot not in (a, b) or a == b:
                continue
            other = b if knot == a else a
            way = best[knot][0] + float(along(stretches[i].line)[-1])
            if other not in best or way < best[other][0] - 1e-9:
                best[other] = (way, [*best[knot][1], i])
                queue.append(other)
    return min((best[goal] for goal in sorted(goals) if goal in best), key=lambda found: found[0])[1]


def _far_end(stretches: Sequence[Stretch], begin: int, path: list[int]) -> int:
    for i in path:
        a, b = stretches[i].ends
        begin = b if begin == a else a
    return begin


def _hierholzer(stretches: Sequence[Stretch], times: dict[int, int], begin: int) -> list[Pass]:
    """The Euler walk from `begin`; the pass just made is undone last, so that lines are sewn out before back."""
    beside: dict[int, list[int]] = {}
    for i in times:
        for knot in sorted(set(stretches[i].ends)):
            beside.setdefault(knot, []).append(i)
    left = dict(times)
    stack: list[tuple[int, Pass | None]] = [(begin, None)]
    walk: list[Pass] = []
    while stack:
        knot, came = stack[-1]
        open_here = [i for i in beside.get(knot, []) if left[i]]
        if not open_here:
            stack.pop()
            walk += [came] if came is not None else []
            continue
        i = open_here[0]
        left[i] -= 1
        back = stretches[i].ends[0] != knot
        stack.append((stretches[i].ends[0 if back else 1], Pass(i, back)))
    walk.reverse()
    return walk


def _far(a: Floats, b: Floats) -> float:
    return float(np.hypot(*(np.asarray(a) - np.asarray(b))))
