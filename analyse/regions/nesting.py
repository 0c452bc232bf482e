"""Which region encloses which, and who touches whom along how much edge."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, STRtree

from analyse.regions.cracks import Cracks

Floats = NDArray[np.float64]


def shared_edges(cracks: Cracks, lines: list[Floats]) -> dict[tuple[int, int], float]:
    """Length in px of the edge that each pair of regions shares, lower number first."""
    right, left = cracks.right[cracks.first[:-1]], cracks.left[cracks.first[:-1]]
    shared: dict[tuple[int, int], float] = {}
    for one, other, line in zip(right.tolist(), left.tolist(), lines, strict=True):
        step = np.diff(line, axis=0)
        pair = (min(one, other), max(one, other))
        shared[pair] = shared.get(pair, 0.0) + float(np.hypot(step[:, 0], step[:, 1]).sum())
    return shared


def parents(outlines: list[Polygon]) -> list[int | None]:
    """The smallest shape, holes filled, that each one lies in; None for those in no other."""
    filled = shapely.polygons(shapely.get_exterior_ring(outlines))
    areas = shapely.area(filled)
    inner, outer = STRtree(filled).query(shapely.point_on_surface(outlines), predicate="within")
    around: list[int | None] = [None] * len(outlines)
    for place in np.lexsort((outer, -areas[outer])):
        own, other = int(inner[place]), int(outer[place])
        if areas[other] > areas[own]:
            around[own] = other
    return around
