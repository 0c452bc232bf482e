"""What lies under the top stitches? Each kind of underlay of a fill and of a column, by its name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.compensation import polygons
from plans.stitching.curves import along, at_way, lengths, stitched
from plans.stitching.ground import FillPlan, Ground, Place, hidden_way
from plans.stitching.open_rows import lay_open_rows
from plans.stitching.sides import Sides, held_back
from plans.stitching.trails import chained, trail_of
from plans.stitching.travel import stepped
from plans.values import Lay, Move, Sewing, Trail, Underlay

EVEN_MM = 1e-6  # distances that differ by less are even


def fill_underlay(ground: Ground, sewing: Sewing, layer: Underlay, start: Place, trade: Trade) -> Trail:
    """One underlay of a fill over one connected ground, begun near `start`."""
    shape, narrow = ground.shape, sewing.shortest_mm / 2
    if narrow > layer.inset_mm:  # the top has no stitch in a tip that holds none this cloth bears
        shape = shape.intersection(shape.buffer(-narrow).buffer(narrow))
    inner = sorted(polygons(shape.buffer(-layer.inset_mm, join_style="mitre")), key=lambda part: -part.area)
    if layer.kind == "edge-run":
        return _edge_runs(ground, inner, start, trade)
    trails: list[Trail] = []
    at = np.asarray(start if start is not None else ground.shape.exterior.coords[0], float)
    while inner:
        part = inner.pop(int(np.argmin(shapely.distance(inner, shapely.points(at)))))
        angle = (sewing.angle_deg or 0.0) + 90.0 if layer.angle_deg is None else layer.angle_deg
        plan = FillPlan(angle, 2 * layer.spacing_mm, trade.value("fill.stitch"), lay=Lay.UNDERLAY, turned=False)
        trails.append(linked(ground, trails, lay_open_rows(part, plan, ground, at, trade), trade))
        at = trails[-1].xy[-1] if len(trails[-1].xy) else at
    return chained(trails)


def linked(ground: Ground, before: list[Trail], trail: Trail, trade: Trade) -> Trail:
    """`trail` with the hidden travel to it from where the trails `before` it ended."""
    laid = [one for one in before if len(one.xy)]
    if not laid or not len(trail.xy):
        return trail
    way = hidden_way(ground, laid[-1].xy[-1], trail.xy[0], trade.value("travel.stitch"))
    if lengths(way).sum() < trade.value("stitch.never_under"):
        return Trail(trail.xy[1:], trail.move[1:], trail.lay[1:])
    return chained([trail_of(way[1:-1], Move.TRAVEL, Lay.TRAVEL), trail])


def _edge_runs(ground: Ground, inner: list[Polygon], start: Place, trade: Trade) -> Trail:
    rings = [shapely.get_coordinates(ring) for part in inner for ring in (part.exterior, *part.interiors)]
    rings = [ring for ring in rings if lengths(ring).sum() > trade.value("fill.underlay_least_ring")]
    at = rings[0][0] if start is None and rings else np.asarray(start, float)
    lines = np.array([shapely.LineString(ring) for ring in rings])
    boxes, left = shapely.bounds(lines), np.arange(len(rings))
    trails: list[Trail] = []
    while len(left):
        nearest = _nearest_line(lines[left], boxes[left], at)
        ring, left = rings[int(left[nearest])], np.delete(left, nearest)
        first = int(np.argmin(np.hypot(*(ring[:-1] - at).T)))
        turned = np.roll(ring[:-1], -first, axis=0)
        if not shapely.is_ccw(shapely.LinearRing(ground.frame.inward(ring))):
            turned = np.concatenate([turned[:1], turned[:0:-1]])
        loop = stitched(turned, trade.value("running.stitch"), trade.value("running.chord_error"), closed=True)
        trails.append(linked(ground, trails, trail_of(loop, Move.SEW, Lay.UNDERLAY), trade))
        at = loop[-1]
    return chained(trails)


def _nearest_line(lines: NDArray[np.object_], boxes: Floats, at: Floats) -> int:
    """The line nearest to a place, the first of those equally near; boxes (N, 4): their bounds.

    A line lies no nearer than its box: only those are measured whose box lies nearer than the nearest box's line.
    """
    place = shapely.points(at)
    off = np.hypot(*np.maximum(np.maximum(boxes[:, :2] - at, at - boxes[:, 2:]), 0.0).T)
    sure = float(shapely.distance(lines[int(np.argmin(off))], place))
    near = np.flatnonzero(off <= sure + EVEN_MM)
    return int(near[np.argmin(shapely.distance(lines[near], place))])


@dataclass(frozen=True, slots=True)
class RunRules:
    """The trade's rules for a run of underlay, mm. longest: a zigzag's longer stitches are parted.

    short_of_end: how far it stays from an open end.
    """

    stitch: float
    chord_error: float
    longest: float
    short_of_end: float


def run_rules(trade: Trade) -> RunRules:
    """Rules for the runs that lie under a column."""
    return RunRules(
        trade.value("running.stitch"),
        trade.value("running.chord_error"),
        float(trade.range("fill.stitch")[1]),
        trade.value("column.underlay_short_of_end"),
    )


def column_underlay(sides: Sides, layer: Underlay, rules: RunRules) -> Floats:
    """Needle points of one underlay of a column, from its start."""
    inner = sides if sides.closed else held_back(sides, rules.short_of_end, rules.short_of_end)
    return COLUMN_KINDS[layer.kind](inner, layer, rules)


def _centre_run(sides: Sides, _layer: Underlay, rules: RunRules) -> Floats:
    return stitched(sides.middle, rules.stitch, rules.chord_error)


def _edge_run(sides: Sides, layer: Underlay, rules: RunRules) -> Floats:
    inner = sides.inset(layer.inset_mm)
    path = np.concatenate([inner.left, inner.right[::-1], inner.left[:1]])
    return stitched(path, rules.stitch, rules.chord_error)


def _zigzag(sides: Sides, layer: Underlay, rules: RunRules) -> Floats:
    inner = sides.inset(layer.inset_mm)
    way = along(inner.middle)
    count = max(round(way[-1] / layer.spacing_mm), 1)
    wanted = np.linspace(0.0, way[-1], count + 1)
    left, right = at_way(inner.left, way, wanted), at_way(inner.right, way, wanted)
    points = np.where((np.arange(count + 1) % 2 == 0)[:, None], left, right)
    return stepped(points, rules.longest)


COLUMN_KINDS: dict[str, Callable[[Sides, Underlay, RunRules], Floats]] = {
    "centre-run": _centre_run,
    "edge-run": _edge_run,
    "zigzag": _zigzag,
}
