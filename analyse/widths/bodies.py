"""What a region is as a body: with what lies on top of it (letters, fur, scales, spots) not cut out of it."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon

DETAIL = 0.25  # a hole thinner than this share of the body's width is detail lying on it, not an opening in it
MANY = 4  # so many holes are no counters of a letter: they are a pattern on the body,
PATTERN = 0.5  # as long as they are thinner than this share of its width


def body_of(outline: Polygon) -> Polygon:
    """The outline without the holes that are detail on it."""
    if not outline.interiors:
        return outline
    holes = np.array([Polygon(ring) for ring in outline.interiors], dtype=object)
    thickness = 4.0 * shapely.area(holes) / np.maximum(shapely.length(holes), 1e-9)
    order = np.argsort(-thickness, kind="stable")
    for kept in range(len(order) + 1):
        body = Polygon(outline.exterior, [outline.interiors[i] for i in order[:kept].tolist()])
        left = thickness[order[kept:]]
        share = PATTERN if len(left) >= MANY else DETAIL
        if not len(left) or left[0] <= share * _width(body):
            return outline if kept == len(order) else body
    return outline


def _width(body: Polygon) -> float:
    """Width of its largest disc, to a percent."""
    tolerance = max(0.01 * float(np.sqrt(body.area)), 1e-3)
    return 2.0 * float(shapely.maximum_inscribed_circle(body, tolerance=tolerance).length)
