"""What a region is as a body: with what lies on top of it (letters, fur, scales, spots) not cut out of it."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon

DETAIL = 0.25  # a hole thinner than this share of the body's width is detail lying on it, not an opening in it
MANY = 4  # so many holes are no counters of a letter: they are a pattern on the body,
PATTERN = 0.5  # as long as they are thinner than this share of its width


def body_of(outline: Polygon, disc_px: float) -> Polygon:
    """The outline without the holes that are detail on it. disc_px: how wide the outline's own largest disc is."""
    if not outline.interiors:
        return outline
    holes = shapely.polygons(list(outline.interiors))
    thickness = 4.0 * shapely.area(holes) / np.maximum(shapely.length(holes), 1e-9)
    order = np.argsort(-thickness, kind="stable")
    widest = _widest(outline)
    for kept in range(len(order)):
        left = thickness[order[kept:]]
        least = left[0] / (PATTERN if len(left) >= MANY else DETAIL)
        if least > widest:
            continue
        body = Polygon(outline.exterior, [outline.interiors[i] for i in order[:kept].tolist()])
        if least <= disc_px:
            return body
        widest = _width(body)  # with a hole more it is no wider
        if least <= widest:
            return body
    return outline


def _widest(outline: Polygon) -> float:
    """No disc in the outline, its holes filled, is wider than this."""
    left, top, right, bottom = outline.bounds
    return float(min(right - left, bottom - top, 2.0 * np.sqrt(Polygon(outline.exterior).area / np.pi)))


def _width(body: Polygon) -> float:
    """Width of its largest disc, to a percent."""
    tolerance = max(0.01 * float(np.sqrt(body.area)), 1e-3)
    return 2.0 * float(shapely.maximum_inscribed_circle(body, tolerance=tolerance).length)
