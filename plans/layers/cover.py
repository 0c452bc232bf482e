"""What each fill covers: run under what closes it, closed beneath what lies on it, cut out where nothing is wanted."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable

import numpy as np
import shapely

from plans.edges import Reach, Shape, polygons, run_beneath
from plans.layers.fields import Survey

CRUMB_MM2 = 0.5
"""Holes smaller than this are sewn over: no row could stop for them."""
GRID_MM = 1e-6
STEP_MM = 0.1
"""Reaches are rounded up to this, so that one buffer serves many neighbours."""


def outline(survey: Survey, parts: Iterable[int]) -> Shape:
    """The parts of one body together, with dropped parts that lie in it."""
    every = [piece for part in parts for piece in (part, *survey.absorbed.get(part, ()))]
    return _without_crumbs(shapely.union_all([survey.sized.parts[part].outline_mm for part in every]))


def under_neighbours(
    survey: Survey, shape: Shape, overs: Iterable[int], reach: Callable[[int], Reach], angle_deg: float
) -> Shape:
    """`shape` run beneath each of `overs` as far as `reach` says."""
    by_reach: dict[Reach, list[Shape]] = defaultdict(list)
    for over in overs:
        by_reach[_rounded(reach(over))].append(survey.sized.parts[over].outline_mm)
    beneath = [shape]
    for far, shapes in sorted(by_reach.items(), key=lambda item: (item[0].ends_mm, item[0].rows_mm)):
        beneath.append(run_beneath(shape, far, angle_deg, shapely.union_all(shapes)))
    return _without_crumbs(_together(beneath))


def _together(shapes: list[Shape]) -> shapely.Geometry:
    """All as one; where edges lie so near each other that GEOS loses its way, on a grid that does not show."""
    try:
        return shapely.union_all(shapes)
    except shapely.GEOSException:
        return shapely.union_all(shapes, grid_size=GRID_MM)


def closed(survey: Survey, shape: Shape) -> Shape:
    """`shape` with every part that lies in its holes: only holes that show the cloth stay open."""
    shells = shapely.union_all([shapely.Polygon(area.exterior) for area in shapely.get_parts(shape)])
    outlines = [part.outline_mm for part in survey.sized.parts if part.kind != "drop"]
    shapely.prepare(shells)
    inside = shapely.contains_properly(shells, shapely.point_on_surface(outlines))
    return _without_crumbs(shapely.union_all([shape, *(outlines[i] for i in np.flatnonzero(inside))]))


def _rounded(reach: Reach) -> Reach:
    ends, rows = (float(np.ceil(far / STEP_MM - 1e-9) * STEP_MM) for far in (reach.ends_mm, reach.rows_mm))
    return Reach(ends, rows)


def _without_crumbs(shape: shapely.Geometry) -> Shape:
    areas = [
        shapely.Polygon(area.exterior, [hole for hole in area.interiors if shapely.Polygon(hole).area >= CRUMB_MM2])
        for area in shapely.get_parts(polygons(shape))
    ]
    return areas[0] if len(areas) == 1 else polygons(shapely.union_all(areas))  # an island may lie in what is closed
