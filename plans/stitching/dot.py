"""How is a dot sewn? Grown to the size that holds, in a handful of stitches across."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.rows import frame_of


def is_dot(shape: Polygon | MultiPolygon, trade: Trade) -> bool:
    """Whether a shape is so small and round that it is sewn as a dot."""
    if shape.geom_type != "Polygon":
        return False
    low_x, low_y, high_x, high_y = shape.bounds
    return bool(max(high_x - low_x, high_y - low_y) <= trade.range("dot.sewn")[1])


def dot_points(
    shape: Polygon | MultiPolygon, angle_deg: float, start: tuple[float, float] | None, trade: Trade
) -> Floats:
    """Needle points of a dot round the shape's centre: side to side across a disc of the sewn size."""
    frame = frame_of(shape, angle_deg, start)
    centre = frame.inward(shapely.get_coordinates(shape.centroid)[0])
    across, count = trade.value("dot.sewn"), int(trade.value("dot.stitches"))
    v = np.linspace(-0.5, 0.5, count + 1) * trade.value("dot.spread") * across
    u = np.sqrt((across / 2) ** 2 - v**2) * np.where(np.arange(count + 1) % 2 == 0, -1.0, 1.0)
    return frame.outward(centre + np.column_stack([u, v]))
