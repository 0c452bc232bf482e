"""A line of lettering laid straight and level, as a person would read it, whatever way it runs on the artwork."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon

from analyse.lettering.baselines import stand
from analyse.lettering.lines import Line
from analyse.values import Drawing, Floats
from analyse.widths.measuring import Measures


def upright(line: Line, drawing: Drawing, measures: Measures) -> tuple[Polygon, ...]:
    """Its letters and marks on the baseline y = 0, px: x runs along the line from 0, y down; first to last as read.

    Each is turned as a whole, by the direction of the line at its middle; none is bent.
    """
    outlines = [drawing.regions[i].outline for i in line.regions]
    outlines += [measures.background[k].outline for k in line.openings]
    outlines += line.attached
    laid = sorted((_laid(outline, line) for outline in outlines), key=lambda each: each.bounds[0])
    left = min(each.bounds[0] for each in laid)
    return tuple(shapely.transform(each, lambda xy: xy - (left, 0.0)) for each in laid)


def _laid(outline: Polygon, line: Line) -> Polygon:
    points = shapely.get_coordinates(outline.convex_hull)[None]
    centre = np.asarray(shapely.get_coordinates(outline.centroid))
    placed = stand(line.baseline, points, centre)
    up, along = line.baseline.frames(placed.foot)

    def turned(xy: Floats) -> Floats:
        off = xy - placed.foot[0]
        middle = (placed.start[0] + placed.end[0]) / 2.0
        return np.column_stack([off @ along[0] + middle, -(off @ up[0]) - placed.bottom[0]])

    return shapely.transform(outline, turned)
