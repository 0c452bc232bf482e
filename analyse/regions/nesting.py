"""Which region encloses which, and who touches whom along how much edge."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analyse.regions.cracks import Cracks

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def shared_edges(cracks: Cracks, lines: list[Floats]) -> dict[tuple[int, int], float]:
    """Length in px of the edge that each pair of regions shares, lower number first."""
    right, left = cracks.right[cracks.first[:-1]], cracks.left[cracks.first[:-1]]
    shared: dict[tuple[int, int], float] = {}
    for one, other, line in zip(right.tolist(), left.tolist(), lines, strict=True):
        step = np.diff(line, axis=0)
        pair = (min(one, other), max(one, other))
        shared[pair] = shared.get(pair, 0.0) + float(np.hypot(step[:, 0], step[:, 1]).sum())
    return shared
