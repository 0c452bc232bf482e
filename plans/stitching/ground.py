"""What is there to fill? A connected polygon cut into rows and pieces, and the ways over it that rows will hide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.compensation import HeldBack, cleaned, held_back, polygons
from plans.stitching.pieces import Pieces, cut_pieces
from plans.stitching.rows import Frame, Ints, cut_rows, frame_of, lengthened, picked
from plans.stitching.travel import inside_way, route, stepped, way_through
from plans.values import Lay

Place = tuple[float, float] | None


LOOKED_AT = 24  # spans nearest to a place that are tried for a clear way to it
NEAR_ROWS = 6  # and they are looked for first in so many rows on either side


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """One connected polygon cut into rows and pieces, ready to be sewn or travelled over.

    back: the shape without what push brings.
    """

    shape: Polygon
    back: HeldBack
    frame: Frame
    pieces: Pieces

    @property
    def in_frame(self) -> Polygon:
        """The shape in its frame's axes."""
        return shapely.transform(self.shape, self.frame.inward)


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
    shortest_mm: float = 0.0


def entered(shape: Polygon, start: tuple[float, float]) -> Floats:
    """`start` if it lies in the shape, else the place of the shape nearest to it."""
    point = shapely.Point(start)
    if shapely.distance(shape, point) <= 0:
        return np.asarray(start, float)
    return np.asarray(shapely.get_coordinates(shapely.shortest_line(shape, point))[0])


def ground_of(
    shape: Polygon, plan: FillPlan, trade: Trade, start: Place = None, back: HeldBack | None = None
) -> Ground:
    """The shape cut for `plan`. back: the shape without what push brings, where that is known already."""
    frame = frame_of(shape, plan.angle_deg, start)
    back = held_back(shape, frame, plan.push_mm) if back is None else back
    rows = cut_rows(back.shape, frame, plan.spacing_mm / 2, back.by_mm)
    rows = lengthened(rows, plan.pull_mm, trade.value("gap.needle_to_needle"))
    rows = picked(rows, rows.high - rows.low >= trade.value("stitch.never_under"))
    return Ground(shape, back, frame, cut_pieces(rows))


def begun_at(ground: Ground, plan: FillPlan, trade: Trade, start: Place) -> Ground:
    """The same ground with its rows counted from where it is begun now."""
    same = frame_of(ground.shape, plan.angle_deg, start) == ground.frame
    return ground if same else ground_of(ground.shape, plan, trade, start, ground.back)


def hidden_way(ground: Ground, start: Floats, goal: Floats, stitch_mm: float) -> Floats:
    """Points from `start` to `goal` (both included) through the ground, no step over `stitch_mm`."""
    ends = np.array([start, goal])
    pieces = ground.pieces
    if not len(pieces.rows) or clear(ground.shape, ends):
        return stepped(ends, stitch_mm)
    a, b = ground.frame.inward(ends)
    spans = route(pieces, span_at(ground, a), span_at(ground, b))
    if spans is None:
        return stepped(inside_way(ground.shape, ends), stitch_mm)
    uv = way_through(pieces, spans, (float(a[0]), float(a[1])), float(b[0]), stitch_mm)
    return np.concatenate([ground.frame.outward(uv[:-1]), [goal]])


def span_at(ground: Ground, place: Floats, among: Ints | None = None) -> int:
    """The span, of all or of those `among`, nearest to a place (u, v) that is reached without leaving the shape."""
    rows = ground.pieces.rows
    near, sure = rows.near(float(place[1]), NEAR_ROWS) if among is None else (among, np.inf)
    while True:
        met = np.column_stack([np.clip(place[0], rows.low[near], rows.high[near]), rows.v_of(near)])
        gaps = np.hypot(*(met - place).T)
        order = np.argsort(gaps, kind="stable")[:LOOKED_AT]
        shapely.prepare(ground.shape)
        for one in order[gaps[order] <= sure].tolist():
            if clear(ground.shape, ground.frame.outward(np.array([place, met[one]]))):
                return int(near[one])
        if len(near) == len(rows) or among is not None:
            return int(near[order[0]])
        near, sure = np.arange(len(rows)), np.inf


def clear(shape: Polygon, ends: Floats) -> bool:
    """Whether the straight way between two places stays in the shape."""
    return bool(shapely.covers(shape, shapely.linestrings(ends)))


def fill_parts(shape: Polygon | MultiPolygon) -> list[Polygon]:
    """The connected polygons of a shape, largest first."""
    return sorted(polygons(cleaned(shape)), key=lambda part: -part.area)
