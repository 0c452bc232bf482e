"""How a compact shape's stitches lie: straight across, along its longer way."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon

from analyse.widths.sides import FINEST_STEP_PX, STEP_PER_WIDTH, Run

SLICES = 24  # stitch lines across a compact shape, at least


def sliced(outline: Polygon) -> Run:
    """A compact shape as one run along its longer way: straight stitch lines across it."""
    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(outline))
    edges = box[1:3] - box[:2]
    ahead = edges[int(np.argmax(np.hypot(*edges.T)))]
    ahead = ahead / max(float(np.hypot(*ahead)), 1e-9)
    aside = np.array([ahead[1], -ahead[0]])
    rim = shapely.get_coordinates(outline.exterior)
    low, high = float((rim @ ahead).min()), float((rim @ ahead).max())
    out = rim @ aside
    count = max(SLICES, int((high - low) / max(FINEST_STEP_PX, STEP_PER_WIDTH * float(np.ptp(out)))))
    turn = (1.0 - np.cos(np.linspace(0.0, np.pi, count + 1))) / 2.0  # closer at the ends, where a disc narrows fast
    at = low + (high - low) * np.clip(turn, 1e-6, 1.0 - 1e-6)
    base = ahead * at[:, None]
    lines = shapely.linestrings(np.stack([base + aside * (out.min() - 1.0), base + aside * (out.max() + 1.0)], axis=1))
    ends = [shapely.get_coordinates(cut) for cut in shapely.intersection(lines, outline) if not cut.is_empty]
    left = np.array([xy[np.argmax(xy @ aside)] for xy in ends])
    right = np.array([xy[np.argmin(xy @ aside)] for xy in ends])
    return Run(np.column_stack([(left + right) / 2.0, np.hypot(*(left - right).T)]), left, right)
