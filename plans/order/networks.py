"""Which running lines are sewn as one network? Lines of one thread that meet, with no cut between them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from analyse.trade import Trade
from analyse.values import Floats, Spine
from plans.layers import Layout
from plans.layers.fields import united
from plans.order.blocks import Tasks
from plans.values import Sewing

MET_MM = 0.01
"""So near, an end lies on the line."""


def networked(layout: Layout, trade: Trade) -> Layout:
    """The layout with running sewings that meet, and are sewn alike, as one; all else as it was.

    An end that stops short of the line it meets is led on to it.
    """
    reach_mm = float(trade.value("running.meets"))
    groups = [group for alike in _alike(layout) for group in _meeting(layout.sewings, alike, reach_mm)]
    if not groups:
        return layout
    into = {number: group[0] for group in groups for number in group}
    left = [number for number in range(len(layout.sewings)) if into.get(number, number) == number]
    place = {number: at for at, number in enumerate(left)}
    now = [place[into.get(number, number)] for number in range(len(layout.sewings))]
    made = {group[0]: _network([layout.sewings[number] for number in group], reach_mm) for group in groups}
    return replace(
        layout,
        sewings=tuple(made.get(number, layout.sewings[number]) for number in left),
        before=tuple(dict.fromkeys((now[a], now[b]) for a, b in layout.before)),
        beneath=tuple(-1 if old < 0 else now[old] for old in layout.beneath),
    )


def _alike(layout: Layout) -> Iterator[list[int]]:
    """Running sewings that could be sewn as one: of one thread, sewn alike, as far up, so that none waits for any."""
    depth = Tasks(tuple(one.thread for one in layout.sewings), (), layout.before).depth
    found: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for number, one in enumerate(layout.sewings):
        if one.kind == "running" and one.spines:
            key = one.thread, one.role, one.passes, one.stitch_mm, one.over_base, one.shortest_mm, depth[number]
            found[key].append(number)
    return (alike for alike in found.values() if len(alike) > 1)


def _meeting(sewings: Sequence[Sewing], alike: list[int], reach_mm: float) -> Iterator[list[int]]:
    """Those of them of which an end of one lies at a line of the other, in groups."""
    lines = [shapely.MultiLineString([_line(spine) for spine in sewings[number].spines]) for number in alike]
    ends = [
        shapely.MultiPoint(
            [end for spine in sewings[number].spines if not spine.closed for end in spine.line[[0, -1], :2]]
        )
        for number in alike
    ]
    one, two = shapely.STRtree(lines).query(ends, predicate="dwithin", distance=reach_mm)
    pairs = [(alike[a], alike[b]) for a, b in zip(one.tolist(), two.tolist(), strict=True) if a != b]
    return (sorted(group) for group in united(alike, pairs) if len(group) > 1)


def _network(sewings: list[Sewing], reach_mm: float) -> Sewing:
    first = sewings[0]
    spines = tuple(spine for one in sewings for spine in one.spines)
    lines = [_line(spine) for spine in spines]
    also = dict.fromkeys(part for one in sewings for part in (one.part, *one.also) if part != first.part)
    return replace(
        first,
        shape=shapely.union_all([one.shape for one in sewings]),
        spines=tuple(_led_on(spine, lines[:at] + lines[at + 1 :], reach_mm) for at, spine in enumerate(spines)),
        also=tuple(also),
        layer=max(one.layer for one in sewings),
        closed_ends=(),
    )


def _led_on(spine: Spine, others: list[shapely.LineString], reach_mm: float) -> Spine:
    """A line with its ends led on to what they stop short of."""
    if spine.closed or not others:
        return spine
    ways = shapely.shortest_line(shapely.points(spine.line[[0, -1], :2]), shapely.MultiLineString(others))
    head, tail = (
        shapely.get_coordinates(way)[1:] if MET_MM < way.length <= reach_mm else np.empty((0, 2)) for way in ways
    )
    width = spine.line[[0, -1], 2:]
    line = np.vstack([_with(head, width[:1]), spine.line, _with(tail, width[1:])])
    return replace(
        spine, line=line, left=np.vstack([head, spine.left, tail]), right=np.vstack([head, spine.right, tail])
    )


def _with(places: Floats, width: Floats) -> Floats:
    return np.column_stack([places, np.repeat(width, len(places), axis=0)])


def _line(spine: Spine) -> shapely.LineString:
    points = spine.line[:, :2]
    return shapely.LineString(np.vstack([points, points[:1]]) if spine.closed or len(points) < 2 else points)
