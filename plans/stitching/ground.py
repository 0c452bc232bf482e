"""What is there to fill? A connected polygon cut into rows and pieces, and the ways over it that rows will hide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.compensation import compensated_rows, polygons
from plans.stitching.pieces import Pieces, cut_pieces
from plans.stitching.rows import Frame, Ints, frame_of, picked
from plans.stitching.travel import inside_way, route, stepped, way_through
from plans.values import Lay

Place = tuple[float, float] | None


LOOKED_AT = 24  # spans nearest to a place that are tried for a clear way to it


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """One connected polygon cut into rows and pieces, ready to be sewn or travelled over.

    over: the close rows that open ones lie under; ways between open rows are found along those.
    """

    shape: Polygon
    frame: Frame
    pieces: Pieces
    over: Ground | None = None


@dataclass(frozen=True, slots=True)
class FillPlan:
    """How to fill: angle_deg of the rows, spacing_mm across two lines, stitch_mm along a row, compensation, lay.

    turned: rows begin inside their edge, as the top of a fill does and open underlay rows do not.
    """

    angle_deg: float
    spacing_mm: float
    stitch_mm: float
    pull_mm: float = 0.0
    push_mm: float = 0.0
    lay: Lay = Lay.TOP
    turned: bool = True


def entered(shape: Polygon, start: tuple[float, float]) -> Floats:
    """`start` if it lies in the shape, else the place of the shape nearest to it."""
    point = shapely.Point(start)
    if shapely.distance(shape, point) <= 0:
        return np.asarray(start, float)
    return np.asarray(shapely.get_coordinates(shapely.shortest_line(shape, point))[0])


def ground_of(shape: Polygon, plan: FillPlan, trade: Trade, start: Place = None) -> Ground:
    """The shape cut for `plan`."""
    frame = frame_of(shape, plan.angle_deg, start)
    rows = compensated_rows(shape, frame, plan.spacing_mm / 2, plan.pull_mm, plan.push_mm, trade)
    rows = picked(rows, rows.high - rows.low >= trade.value("stitch.never_under"))
    return Ground(shape, frame, cut_pieces(rows))


def hidden_way(ground: Ground, start: Floats, goal: Floats, stitch_mm: float) -> Floats:
    """Points from `start` to `goal` (both included) through the ground, no step over `stitch_mm`."""
    pieces, (a, b) = ground.pieces, ground.frame.inward(np.array([start, goal]))
    spans = route(pieces, span_at(ground, a), span_at(ground, b)) if len(pieces.rows) else None
    if spans is None or shapely.covers(ground.shape, shapely.LineString([start, goal])):
        return stepped(inside_way(ground.shape, np.array([start, goal])), stitch_mm)
    uv = way_through(pieces, spans, (float(a[0]), float(a[1])), float(b[0]), stitch_mm)
    return np.concatenate([ground.frame.outward(uv[:-1]), [goal]])


def span_at(ground: Ground, place: Floats, among: Ints | None = None) -> int:
    """The span, of all or of those `among`, nearest to a place (u, v) that is reached without leaving the shape."""
    rows = ground.pieces.rows
    spans = np.arange(len(rows)) if among is None else among
    met = np.column_stack([np.clip(place[0], rows.low[spans], rows.high[spans]), rows.v[spans]])
    order = np.argsort(np.hypot(*(met - place).T), kind="stable")[:LOOKED_AT]
    ends = np.stack([np.broadcast_to(place, (len(order), 2)), met[order]], axis=1)
    shapely.prepare(ground.shape)
    clear = np.flatnonzero(shapely.covers(ground.shape, shapely.linestrings(ground.frame.outward(ends))))
    return int(spans[order[clear[0]] if len(clear) else order[0]])


def fill_parts(shape: Polygon | MultiPolygon) -> list[Polygon]:
    """The connected polygons of a shape, largest first."""
    return sorted(polygons(shape), key=lambda part: -part.area)
