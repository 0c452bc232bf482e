"""Every shared edge: which part runs beneath, how far, and whether the cloth may drift that much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon, affinity

from analyse.trade import Trade
from analyse.units import direction
from analyse.values import Part, SizedDrawing, State
from plans.seams import CLOTH, Seams
from plans.values import Edge

Shape: TypeAlias = Polygon | MultiPolygon
SMOOTHED_MM = 0.03
"""Outlines lose detail finer than this before they are grown: far below a needle's place, and a tenth of the cost."""
LEAST_REACH_MM = 0.01
"""A shop may let nothing run under: an ellipse must have an extent still."""
LEAST_EDGE_MM = 0.3
"""Parts that touch for less than this meet in a point, not along an edge."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a part runs under its neighbour: where its stitches end on the edge, and where they run along it."""

    ends_mm: float
    rows_mm: float

    def towards(self, off_deg: float) -> float:
        """The reach at an edge whose normal lies `off_deg` off the stitches: an ellipse of both."""
        turn = np.radians(off_deg)
        return float(np.hypot(self.ends_mm * np.cos(turn), self.rows_mm * np.sin(turn)))


def reach_under(under: Part, over: Part, trade: Trade, drift_mm: float, thread: str, *, closes: bool = True) -> Reach:
    """How far `under` must run beneath `over`: fill under fill, under a stroke, column under column.

    closes: the stroke closes the edge of a body, which runs under half of it; on a body it needs the least only.
    """
    narrowest_mm = float(trade.value("column.narrowest", thread=thread))
    width_mm = max(over.width_mm.median, narrowest_mm)
    if over.kind == "fill":
        ends, rows = float(trade.value("edge.overlap_row_ends")), float(trade.value("edge.overlap_rows"))
        return Reach(max(ends, drift_mm), max(rows, drift_mm))
    if under.kind == "fill":
        beneath = max(float(trade.value("border.run_under")), width_mm / 2 if closes else drift_mm)
        return Reach(beneath, beneath)
    beneath = min(max(float(trade.value("edge.overlap_rows")), drift_mm), width_mm / 2)
    return Reach(beneath, beneath)


def run_beneath(shape: Shape, reach: Reach, angle_deg: float, over: Shape) -> Shape:
    """`shape` with what it gains beneath `over`: `reach.ends_mm` along its stitches, `reach.rows_mm` across them."""
    smooth = shape.simplify(SMOOTHED_MM)
    if reach.ends_mm == reach.rows_mm:
        grown = smooth.buffer(reach.ends_mm, quad_segs=3)
    else:
        grown = _stretched_buffer(smooth, reach, angle_deg)
    gained = shapely.intersection(grown, over)
    return polygons(shapely.union(shape, gained))


def _stretched_buffer(shape: Shape, reach: Reach, angle_deg: float) -> Shape:
    """A buffer by an ellipse: squeeze the plane so that the ellipse is a circle, buffer, and let go."""
    ends_mm, rows_mm = max(reach.ends_mm, LEAST_REACH_MM), max(reach.rows_mm, LEAST_REACH_MM)
    ratio = rows_mm / ends_mm
    turned = affinity.rotate(shape, angle_deg, origin=(0, 0))  # y runs down: this brings the stitches to lie along x
    grown = affinity.scale(turned, ratio, 1.0, origin=(0, 0)).buffer(rows_mm, quad_segs=3)
    return affinity.rotate(affinity.scale(grown, 1 / ratio, 1.0, origin=(0, 0)), -angle_deg, origin=(0, 0))


def polygons(shape: shapely.Geometry, least_mm2: float = 0.02) -> Shape:
    """The areas of `shape`, crumbs and lines left out."""
    areas = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and part.area >= least_mm2]
    return areas[0] if len(areas) == 1 else MultiPolygon(areas)


def plan_edges(
    sized: SizedDrawing,
    seams: Seams,
    height: Callable[[int], tuple[float, ...]],
    reach: Callable[[int, int], Reach | None],
    angle: Callable[[int], float | None],
) -> tuple[Edge, ...]:
    """All shared edges. height: what lies higher is sewn over; reach: of an under and an over, None if butted."""
    drift_mm = sized.trade.cloth(sized.cloth).drift_mm
    at_risk = float(sized.trade.value("detail.at_risk"))
    edges = []
    for first, second, rows in meetings(seams):
        under, over = (first, second) if height(first) < height(second) else (second, first)
        own = rows[seams.part[rows] == under]
        far = reach(under, over)
        overlap_mm = _overlap(seams, own if len(own) else rows, far, angle(under)) if far else 0.0
        state: State = (
            "holds" if overlap_mm >= drift_mm else "at-risk" if overlap_mm >= drift_mm * (1 - at_risk) else "lost"
        )
        length_mm = float(seams.length[rows].sum()) / (2 if len(own) not in (0, len(rows)) else 1)
        name = None if far is None else "a" if under == first else "b"
        edges.append(Edge((first, second), length_mm, name, overlap_mm, drift_mm, state))
    return tuple(edges)


def meetings(seams: Seams) -> list[tuple[int, int, np.ndarray]]:
    """Pairs of parts that share an edge, with the outline pieces of both along it."""
    rows = np.flatnonzero(seams.other != CLOTH)
    low = np.minimum(seams.part[rows], seams.other[rows])
    high = np.maximum(seams.part[rows], seams.other[rows])
    code = low.astype(np.int64) * seams.count + high
    by_pair = np.argsort(code, kind="stable")
    found, starts = np.unique(code[by_pair], return_index=True)
    groups = np.split(rows[by_pair], starts[1:]) if len(found) else []
    return [
        (int(pair // seams.count), int(pair % seams.count), group)
        for pair, group in zip(found, groups, strict=True)
        if seams.length[group].sum() >= 2 * LEAST_EDGE_MM
    ]


def _overlap(seams: Seams, rows: np.ndarray, reach: Reach, angle_deg: float | None) -> float:
    """Mean overlap along an edge, by length."""
    if angle_deg is None or reach.ends_mm == reach.rows_mm:
        return min(reach.ends_mm, reach.rows_mm)
    along = np.abs(seams.normal[rows] @ np.array(direction(angle_deg)))
    far = np.hypot(reach.ends_mm * along, reach.rows_mm * np.sqrt(np.maximum(1 - along**2, 0)))
    return float(np.average(far, weights=seams.length[rows]))
