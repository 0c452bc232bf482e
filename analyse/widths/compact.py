"""How a compact shape's stitches lie: straight across, along its longer way."""

from __future__ import annotations

import numpy as np
import shapely
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


def is_compact(outline: Polygon | MultiPolygon, disc_px: float) -> bool:
    """Whether a shape is hardly longer than wide and bulges everywhere: no run bends through it."""
    area = float(outline.area)
    return area <= SHORT * disc_px**2 and area >= FULL * float(outline.convex_hull.area)


def sliced(outline: Polygon | MultiPolygon) -> Run:
    """A compact shape as one run along its longer way, or where that leaves it, along the way that leaves it least."""
    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(outline))
    edges = box[1:3] - box[:2]
    ahead = edges[int(np.argmax(np.hypot(*edges.T)))]
    run, share = _slices(outline, ahead)
    if share >= WHOLE:
        return run
    turns = np.pi * np.arange(1, TURNS) / TURNS
    heading = float(np.arctan2(ahead[1], ahead[0]))
    others = [_slices(outline, np.array([np.cos(heading + turn), np.sin(heading + turn)])) for turn in turns]
    return max([(run, share), *others], key=lambda each: round(each[1], 6))[0]


def _slices(outline: Polygon | MultiPolygon, ahead: Floats) -> tuple[Run, float]:
    """Stitch lines across a direction, and what share of them lies in the shape."""
    ahead = ahead / max(float(np.hypot(*ahead)), 1e-9)
    aside = np.array([ahead[1], -ahead[0]])
    rim = shapely.get_coordinates(outline)
    low, high = float((rim @ ahead).min()), float((rim @ ahead).max())
    out = rim @ aside
    count = max(SLICES, int((high - low) / max(FINEST_STEP_PX, STEP_PER_WIDTH * float(np.ptp(out)))))
    turn = (1.0 - np.cos(np.linspace(0.0, np.pi, count + 1))) / 2.0  # closer at the ends, where a disc narrows fast
    at = low + (high - low) * np.clip(turn, 1e-6, 1.0 - 1e-6)
    base = ahead * at[:, None]
    off, line = _crossings(outline, ahead, aside, at)
    crossed, first = np.unique(line, return_index=True)
    most, least = np.maximum.reduceat(off, first), np.minimum.reduceat(off, first)
    left, right = (base[crossed] + aside * side[:, None] for side in (most, least))
    width, step = most - least, np.gradient(at[crossed])
    within = np.add.reduceat(off * np.where(np.arange(len(off)) % 2, 1.0, -1.0), first)  # of pairs: out less in
    share = float((within * step).sum()) / max(float((width * step).sum()), 1e-9)
    return Run(np.column_stack([(left + right) / 2.0, width]), left, right), share


def _crossings(outline: Polygon | MultiPolygon, ahead: Floats, aside: Floats, at: Floats) -> tuple[Floats, Ints]:
    """Where lines across a direction cross the outline: places along them, rising, line by line; which line each."""
    xy, ring = shapely.get_coordinates(shapely.get_rings(shapely.get_parts(outline)), return_index=True)
    same = np.flatnonzero(ring[1:] == ring[:-1])
    along, off = xy @ ahead, xy @ aside
    start, end = np.sort([along[same], along[same + 1]], axis=0)
    low = np.searchsorted(at, start)
    count = np.searchsorted(at, end) - low
    edge = np.repeat(same, count)
    line = spread(low, count)
    share = (at[line] - along[edge]) / (along[edge + 1] - along[edge])
    place = off[edge] + share * (off[edge + 1] - off[edge])
    order = np.lexsort((place, line))
    return place[order], line[order]
