"""How a compact shape's stitches lie: straight across, along its longer way."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from analyse.values import Floats
from analyse.widths.lines import spread
from analyse.widths.samples import Ints
from analyse.widths.sides import FINEST_STEP_PX, STEP_PER_WIDTH, Run

SLICES = 24  # stitch lines across a compact shape, at least
WHOLE = 0.97  # of the lines' length lies inside: the shape can be crossed in this direction
TURNS = 12  # directions tried where it cannot in the direction of its longer way
SHORT = 2.2  # a shape of no more area than this many squares of its largest disc's width
FULL = 0.88  # and of at least this share of its convex hull is compact
HARDLY = 0.03  # nearer than this to either limit it is hardly so


def is_compact(outline: Polygon | MultiPolygon, disc_px: float) -> bool:
    """Whether a shape is hardly longer than wide and bulges everywhere: no run bends through it."""
    area = float(outline.area)
    return area <= SHORT * disc_px**2 and area >= FULL * float(outline.convex_hull.area)


def hardly_compact(outline: Polygon | MultiPolygon, disc_px: float) -> bool:
    """Whether a shape is so near to being compact, or to not being so, that another reading may decide."""
    area = float(outline.area)
    if area > (1.0 + HARDLY) * SHORT * disc_px**2:
        return False
    return area > (1.0 - HARDLY) * SHORT * disc_px**2 or abs(area / float(outline.convex_hull.area) - FULL) < HARDLY


def sliced(outlines: Sequence[Polygon | MultiPolygon]) -> list[Run]:
    """Compact shapes as one run each along their longer way, or where that leaves them, along that which does least."""
    if not outlines:
        return []
    edges = np.diff(_boxes(np.array(outlines, dtype=object)), axis=1)
    ahead = edges[np.arange(len(edges)), np.hypot(edges[..., 0], edges[..., 1]).argmax(axis=1)]
    runs = _slices(outlines, ahead)
    for i, (run, share) in enumerate(runs):
        if share < WHOLE:
            turns = float(np.arctan2(*ahead[i, ::-1])) + np.pi * np.arange(1, TURNS) / TURNS
            others = _slices([outlines[i]] * len(turns), np.column_stack([np.cos(turns), np.sin(turns)]))
            runs[i] = max([(run, share), *others], key=lambda each: round(each[1], 6))
    return [run for run, _ in runs]


def _boxes(outlines: NDArray[np.object_]) -> Floats:
    """Three corners of each shape's smallest rectangle, (N, 3, 2)."""
    boxes = shapely.minimum_rotated_rectangle(outlines)
    flat = shapely.get_num_coordinates(boxes) != 5
    boxes[flat] = shapely.box(*shapely.bounds(outlines[flat]).T)
    return np.asarray(shapely.get_coordinates(boxes).reshape(-1, 5, 2)[:, :3])


def _slices(outlines: Sequence[Polygon | MultiPolygon], ahead: Floats) -> list[tuple[Run, float]]:
    """Stitch lines across a direction (N, 2) of each, and what share of them lies in the shape."""
    ahead = ahead / np.maximum(np.hypot(ahead[:, 0], ahead[:, 1]), 1e-9)[:, None]
    aside = np.column_stack([ahead[:, 1], -ahead[:, 0]])
    xy, shape, edge = _edges(outlines)
    along, off = (xy * ahead[shape]).sum(axis=1), (xy * aside[shape]).sum(axis=1)
    first = np.searchsorted(shape, np.arange(len(outlines)))
    low, high = np.minimum.reduceat(along, first), np.maximum.reduceat(along, first)
    across = np.maximum.reduceat(off, first) - np.minimum.reduceat(off, first)
    step = np.maximum(FINEST_STEP_PX, STEP_PER_WIDTH * across)
    count = np.maximum(SLICES, ((high - low) / step).astype(np.int64)) + 1
    owner = np.repeat(np.arange(len(count)), count)
    nth = spread(np.zeros_like(count), count) / (count - 1)[owner]
    turn = (1.0 - np.cos(np.pi * nth)) / 2.0  # closer at the ends, where a disc narrows fast
    at = low[owner] + (high - low)[owner] * np.clip(turn, 1e-6, 1.0 - 1e-6)
    # one measure for all: shape after shape, so that a place is found among its own shape's lines
    base = np.cumsum(high - low + 1.0) - (high - low + 1.0) - low
    off, line = _crossings(base[shape] + along, off, edge, base[owner] + at)
    crossed, begin = np.unique(line, return_index=True)
    most, least = np.maximum.reduceat(off, begin), np.minimum.reduceat(off, begin)
    nth = np.arange(len(off)) - np.repeat(begin, np.diff(np.append(begin, len(off))))
    within = np.add.reduceat(off * np.where(nth % 2, 1.0, -1.0), begin)  # of pairs: out less in
    own = owner[crossed]
    middle = ahead[own] * at[crossed, None]
    left, right = (middle + aside[own] * side[:, None] for side in (most, least))
    width = most - least
    rows = np.column_stack([(left + right) / 2.0, width])
    bounds = np.searchsorted(own, np.arange(len(count) + 1)).tolist()
    runs = []
    for a, b in pairwise(bounds):
        steps = np.gradient(at[crossed[a:b]])
        share = float((within[a:b] * steps).sum()) / max(float((width[a:b] * steps).sum()), 1e-9)
        runs.append((Run(rows[a:b], left[a:b], right[a:b]), share))
    return runs


def _edges(outlines: Sequence[Polygon | MultiPolygon]) -> tuple[Floats, Ints, Ints]:
    """All rings' points, the shape each belongs to, and the rows from which an edge leads to the next."""
    parts, shape = shapely.get_parts(np.array(outlines, dtype=object), return_index=True)
    rings, part = shapely.get_rings(parts, return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    return xy, shape[part[ring]].astype(np.int64), np.flatnonzero(ring[1:] == ring[:-1])


def _crossings(along: Floats, off: Floats, edge: Ints, at: Floats) -> tuple[Floats, Ints]:
    """Where lines across cross the outlines: places along them, rising, line by line; which line each."""
    start, end = np.sort([along[edge], along[edge + 1]], axis=0)
    low = np.searchsorted(at, start)
    count = np.searchsorted(at, end) - low
    edge = np.repeat(edge, count)
    line = spread(low, count)
    share = (at[line] - along[edge]) / (along[edge + 1] - along[edge])
    place = off[edge] + share * (off[edge + 1] - off[edge])
    order = np.lexsort((place, line))
    return place[order], line[order]
