"""Where the needle goes: the outline a shape is sewn to, pull and push allowed for."""

from __future__ import annotations

from shapely import MultiPolygon, Polygon, intersection, union_all
from shapely.affinity import rotate, scale
from shapely.geometry.base import BaseGeometry

from plans.values import Sewing

STRETCH = 1000.0  # one axis enlarged so far that growing moves the other alone


def sewn_to(sewing: Sewing) -> Polygon | MultiPolygon:
    """The outline the needle points reach: grown by pull along the stitch, held back by push across it.

    A column's stitches run across it, so it grows on its sides; its ends are left as drawn. A running line is its own.
    """
    grow = sewing.pull_mm + sewing.widen_mm
    if sewing.kind == "column":
        return sewing.shape.buffer(grow, join_style="mitre", mitre_limit=2.0)
    if sewing.kind == "running" or sewing.angle_deg is None:
        return sewing.shape
    return _along(sewing.shape, sewing.angle_deg, grow, sewing.push_mm)


def _along(shape: BaseGeometry, angle_deg: float, pull_mm: float, push_mm: float) -> BaseGeometry:
    centre = shape.centroid
    level = rotate(shape, angle_deg, origin=centre)  # y runs down: turning by +angle lays the rows level
    wide = scale(scale(level, 1, STRETCH, origin=centre).buffer(pull_mm), 1, 1 / STRETCH, origin=centre)
    flat = scale(scale(wide, STRETCH, 1, origin=centre).buffer(-push_mm), 1 / STRETCH, 1, origin=centre)
    return rotate(flat if not flat.is_empty else wide, -angle_deg, origin=centre)


def all_sewn(shapes: list[BaseGeometry], within: BaseGeometry | None = None) -> BaseGeometry:
    """All shapes as one, cut to `within` if given."""
    whole = union_all(shapes)
    return whole if within is None else intersection(whole, within)
