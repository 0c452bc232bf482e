"""From shared chains of points to polygons that meet without gap or overlap."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from analyse.regions.cracks import STEP_X, STEP_Y, Cracks

Floats = NDArray[np.float64]


def rings(cracks: Cracks, lines: list[Floats]) -> list[tuple[int, bool, Floats]]:
    """(region, whether it is its outside, closed ring of points) for every ring, built of whole shared chains.

    lines: the points of each chain, (N, 2) x, y, its junctions included; a closed chain's last point is its first.
    Outside or hole is told from the pixels' cracks, which turn clockwise about a region as seen.
    """
    turns, following = _turns(cracks).tolist(), cracks.following.tolist()
    right, left = cracks.right[cracks.first[:-1]], cracks.left[cracks.first[:-1]]
    found: list[tuple[int, bool, Floats]] = []
    seen = [False] * (2 * len(lines))
    for start in range(2 * len(lines)):
        if seen[start]:
            continue
        pieces, chain, area = [], start, 0
        while not seen[chain]:
            seen[chain] = True
            line = lines[chain // 2]
            area += turns[chain // 2] * (1 - 2 * (chain % 2))
            pieces.append((line if chain % 2 == 0 else line[::-1])[:-1])
            chain = following[chain]
        pieces.append(pieces[0][:1])
        region = int((right if start % 2 == 0 else left)[start // 2])
        found.append((region, area > 0, np.concatenate(pieces)))
    return found


def _turns(cracks: Cracks) -> NDArray[np.int64]:
    """Twice the area each chain's cracks sweep about the origin."""
    to_x, to_y = cracks.x + STEP_X[cracks.way], cracks.y + STEP_Y[cracks.way]
    swept: NDArray[np.int64] = np.add.reduceat(cracks.x * to_y - to_x * cracks.y, cracks.first[:-1])
    return swept


def polygons(cracks: Cracks, lines: list[Floats]) -> list[Polygon]:
    """One polygon for each region, by number."""
    found = [ring for ring in rings(cracks, lines) if ring[0] >= 0]
    found.sort(key=lambda ring: (ring[0], not ring[1]))  # of each region, its outside first
    region = np.array([ring[0] for ring in found])
    of = np.repeat(np.arange(len(found)), [len(ring[2]) for ring in found])
    made = shapely.linearrings(np.concatenate([ring[2] for ring in found]), indices=of)
    return list(shapely.polygons(made, indices=region))
