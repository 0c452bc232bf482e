"""The curve along each chain of cracks."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.regions.cracks import STEP_X, STEP_Y, Cracks

Floats = NDArray[np.float64]

TOLERANCE_PX = 0.35  # how far a simplified outline may leave the measured one


def crack_points(cracks: Cracks) -> list[Floats]:
    """Each chain's junctions and the middles of its cracks; a closed chain ends as it starts."""
    middle = np.stack([cracks.x + STEP_X[cracks.way] / 2, cracks.y + STEP_Y[cracks.way] / 2], axis=1)
    begin = np.stack([cracks.x, cracks.y], axis=1).astype(np.float64)
    end = begin + np.stack([STEP_X[cracks.way], STEP_Y[cracks.way]], axis=1)
    lines = []
    for first, last, closed in zip(cracks.first[:-1], cracks.first[1:], cracks.closed, strict=True):
        points = middle[first:last]
        if closed:
            lines.append(np.vstack([points, points[:1]]))
        else:
            lines.append(np.vstack([begin[first], points, end[last - 1]]))
    return lines


def simplified(lines: list[Floats]) -> list[Floats]:
    """Fewer points, none farther than TOLERANCE_PX from the line as it was; ends stay."""
    shapes = np.array([shapely.LineString(line) for line in lines], dtype=object)
    kept = shapely.simplify(shapes, TOLERANCE_PX, preserve_topology=False)
    return [
        shapely.get_coordinates(short) if shapely.get_num_coordinates(short) >= (4 if closed else 2) else line
        for short, line, closed in zip(kept, lines, (np.array_equal(line[0], line[-1]) for line in lines), strict=True)
    ]
