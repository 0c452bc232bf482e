"""From shared chains of points to polygons that meet without gap or overlap."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from analyse.regions.cracks import Cracks

Floats = NDArray[np.float64]


def rings(cracks: Cracks, lines: list[Floats]) -> list[tuple[int, Floats]]:
    """(region, closed ring of points) for every ring, built of whole shared chains.

    lines: the points of each chain, (N, 2) x, y, its junctions included; a closed chain's last point is its first.
    """
    right, left = cracks.right[cracks.first[:-1]], cracks.left[cracks.first[:-1]]
    found: list[tuple[int, Floats]] = []
    seen = np.zeros(2 * len(lines), dtype=bool)
    for start in range(2 * len(lines)):
        if seen[start]:
            continue
        pieces, chain = [], start
        while not seen[chain]:
            seen[chain] = True
            line = lines[chain // 2]
            pieces.append((line if chain % 2 == 0 else line[::-1])[:-1])
            chain = int(cracks.following[chain])
        ring = np.concatenate(pieces)
        region = int((right if start % 2 == 0 else left)[start // 2])
        found.append((region, np.vstack([ring, ring[:1]])))
    return found


def polygons(cracks: Cracks, lines: list[Floats], count: int) -> list[Polygon]:
    """One polygon for each region 0 .. count - 1."""
    shells: list[Floats | None] = [None] * count
    holes: list[list[Floats]] = [[] for _ in range(count)]
    for region, ring in rings(cracks, lines):
        if region < 0 or len(ring) < 4:
            continue
        x, y = ring[:, 0], ring[:, 1]
        if (x[:-1] * y[1:] - x[1:] * y[:-1]).sum() > 0:  # clockwise as seen: the outside
            shells[region] = ring
        else:
            holes[region].append(ring)
    return [shapely.Polygon(shell, inner) for shell, inner in zip(shells, holes, strict=True)]
