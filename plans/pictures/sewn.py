"""Where the needle goes: the outline a sewing is sewn to, pull and push allowed for."""

from __future__ import annotations

import numpy as np
from shapely import MultiPolygon, Polygon, get_parts
from shapely.affinity import rotate, scale
from shapely.geometry.base import BaseGeometry

from analyse.values import Floats, Spine
from plans.values import Sewing

STRETCH = 1000.0  # one axis enlarged so far that growing moves the other alone
Line = tuple[Floats, bool]  # (N, 2) mm, and whether the last point joins the first


def sewn_lines(sewing: Sewing) -> list[Line]:
    """Lines along the outermost needle points, in mm.

    A column's two sides, each moved out by its widening and its pull; the outline of a fill; a running line itself.
    """
    if sewing.kind == "column" and sewing.spines:
        grow = sewing.pull_mm + sewing.widen_mm
        return [line for spine in sewing.spines for line in _sides(spine, grow)]
    if sewing.kind == "running" and sewing.spines:
        return [(spine.line[:, :2], spine.closed) for spine in sewing.spines]
    return rings(filled_to(sewing))


def filled_to(sewing: Sewing) -> Polygon | MultiPolygon:
    """The outline a fill is sewn to: longer by pull along its rows, held back by push across them."""
    angle_deg, centre = sewing.angle_deg or 0.0, sewing.shape.centroid
    level = rotate(sewing.shape, angle_deg, origin=centre)  # y runs down: turning by +angle lays the rows level
    wide = scale(scale(level, 1, STRETCH, origin=centre).buffer(sewing.pull_mm), 1, 1 / STRETCH, origin=centre)
    flat = scale(scale(wide, STRETCH, 1, origin=centre).buffer(-sewing.push_mm), 1 / STRETCH, 1, origin=centre)
    return rotate(flat if not flat.is_empty else wide, -angle_deg, origin=centre)


def rings(shape: BaseGeometry) -> list[Line]:
    """The outlines and holes of an area."""
    polygons = [piece for piece in get_parts(shape) if isinstance(piece, Polygon) and not piece.is_empty]
    return [
        (np.asarray(ring.coords)[:-1, :2], True) for piece in polygons for ring in (piece.exterior, *piece.interiors)
    ]


def _sides(spine: Spine, grow_mm: float) -> list[Line]:
    across = spine.right - spine.left
    length = np.maximum(np.hypot(across[:, 0], across[:, 1]), 1e-9)
    out = across / length[:, None] * grow_mm
    return [(spine.left - out, spine.closed), (spine.right + out, spine.closed)]
