"""What shape do the rows of a fill aim at? Held back by push across the rows, lengthened by pull along them."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import MultiPolygon, Polygon
from shapely.affinity import translate

from plans.stitching.rows import Frame

LEAST_AREA_MM2 = 1e-4  # specks that clipping leaves
SAME_MM = 1e-6  # points nearer than this are one: GEOS fails on holes that touch their rim by less
KEPT_SHARE = 0.5  # holding back may take at most this share of a shape


def polygons(shape: Polygon | MultiPolygon) -> list[Polygon]:
    """The polygons of a shape that have an area."""
    return [part for part in shapely.get_parts(shape) if isinstance(part, Polygon) and part.area > LEAST_AREA_MM2]


def cleaned(shape: Polygon | MultiPolygon) -> Polygon | MultiPolygon:
    """`shape` with its points told apart enough for overlays to succeed."""
    pierced = any(part.interiors for part in shapely.get_parts(shape) if isinstance(part, Polygon))
    return shapely.set_precision(shape, SAME_MM) if pierced and shapely.minimum_clearance(shape) < SAME_MM else shape


@dataclass(frozen=True, slots=True, eq=False)
class HeldBack:
    """A shape with its edges drawn in across the rows by `by_mm`."""

    shape: Polygon
    by_mm: float


def held_back(shape: Polygon, frame: Frame, push_mm: float) -> HeldBack:
    """`shape` with its edges drawn in by `push_mm` across the rows.

    Where a shape is so slight that this would cut it apart or eat most of it, less is held back.
    """
    for share in (1.0, 0.5, 0.25):
        step = share * push_mm * frame.outward([0.0, 1.0])
        if not step.any():
            break
        back = shape & translate(shape, *step) & translate(shape, *-step)
        left = polygons(back)
        if len(left) == 1 and left[0].area > KEPT_SHARE * shape.area:
            return HeldBack(left[0], share * push_mm)
    return HeldBack(shape, 0.0)
