"""Where a running line runs out of a stroke it goes on into it a little, so that the two hold together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from analyse.values import Floats
from analyse.widths.sides import Run
from analyse.widths.strokes import Stroke

ON_CUT = 1e-3  # of a cut's length: a side that ends so near to a cut's end ends there
SHORTER = (1.0, 0.5, 0.25)  # of the way it should go on, until it ends inside


def reaching(stroke: Stroke, reach_px: float, whole: Polygon | MultiPolygon) -> Run:
    """A stroke's spine, carried on over the cuts at its ends, as far as that stays inside the whole."""
    run = stroke.run
    if run.closed or not len(stroke.cuts) or reach_px <= 0.0:
        return run
    ahead = _carried_on(run, stroke.cuts, reach_px, whole)
    return _turned(_carried_on(_turned(ahead), stroke.cuts, reach_px, whole))


def _turned(run: Run) -> Run:
    return replace(run, line=run.line[::-1], left=run.right[::-1], right=run.left[::-1])


def _carried_on(run: Run, cuts: Floats, reach_px: float, whole: Polygon | MultiPolygon) -> Run:
    across = run.left[-1] - run.right[-1]
    size = float(np.hypot(*across))
    ends = np.array([run.left[-1], run.right[-1]])
    off = np.hypot(*(ends[:, None] - cuts[None]).transpose(2, 0, 1)).min(axis=1)
    if size <= 0.0 or (off > ON_CUT * size).any():
        return run
    ahead = np.array([across[1], -across[0]]) / size
    if ahead @ (run.line[-1, :2] - run.line[max(len(run.line) - 4, 0), :2]) < 0.0:
        ahead = -ahead
    for share in SHORTER:
        step = ahead * reach_px * share
        if shapely.contains_xy(whole, *(run.line[-1, :2] + step)):
            last = np.append(run.line[-1, :2] + step, run.line[-1, 2])
            return Run(
                np.vstack([run.line, last]), np.vstack([run.left, ends[0] + step]),
                np.vstack([run.right, ends[1] + step]),
            )  # fmt: skip
    return run
