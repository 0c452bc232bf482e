"""How is a column sewn? Stitch lines from side to side; what bends, tapers and wide places ask of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.curves import SAMPLE_MM, lengths
from plans.stitching.needles import SHIFTS
from plans.stitching.sides import Sides
from plans.stitching.trails import kept_apart

SMOOTH_MM = 1.0  # side lengths are evened over this much of the run before their ratio is taken
SHORTENED = 0.3  # a shortened stitch stops this share of the width before the inner edge


def stitch_lines(sides: Sides, spacing_mm: float, trade: Trade, *, start_left: bool = True) -> Floats:
    """Needle points (N + 1, 2) of a column over `sides`, side to side, from its start to its end.

    N = 2 x length / spacing at mid width, until the outer edge would pass 1.1 x the spacing: from there that edge
    holds. A ring has max(2 pi (R + r) / s, 4 pi R / 1.1 s).
    """
    sides = tapered(sides, trade.value("stitch.shortest_shaped"))
    measure = stitch_measure(sides, spacing_mm, trade.value("column.bend_outer"))
    count = max(round(measure[-1]), 2)
    wanted = np.linspace(0.0, measure[-1], count + 1)
    left = _at(sides.left, measure, wanted)
    right = _at(sides.right, measure, wanted)
    on_left = (np.arange(count + 1) % 2 == 0) == start_left
    reach = _shortened(left, right, on_left, trade.value("column.bend_inner"))
    here, there = np.where(on_left[:, None], left, right), np.where(on_left[:, None], right, left)
    points = here + reach[:, None] * (there - here)
    points = points[kept_apart(points, trade.value("stitch.shortest_shaped"))]
    return split(points, trade)


def stitch_measure(sides: Sides, spacing_mm: float, outer_most: float) -> Floats:
    """Stitches from the start to each sample."""
    middle = lengths(sides.middle)
    outer = np.maximum(_evened(lengths(sides.left)), _evened(lengths(sides.right)))
    step = np.maximum(middle, outer / outer_most)
    return np.concatenate([[0.0], np.cumsum(2.0 * step / spacing_mm)])


def tapered(sides: Sides, narrowest_mm: float) -> Sides:
    """`sides` without ends too narrow to carry a stitch across."""
    if sides.closed:
        return sides
    wide = np.flatnonzero(sides.widths >= narrowest_mm)
    if len(wide) < 2:
        return sides
    return Sides(sides.left[wide[0] : wide[-1] + 1], sides.right[wide[0] : wide[-1] + 1], False)


def split(points: Floats, trade: Trade) -> Floats:
    """`points` with every stitch over the limit split, the splits staggered from line to line."""
    step = lengths(points)
    parts = np.where(step > trade.value("kind.split_over") + 1e-9, np.ceil(step / trade.value("fill.stitch")), 1)
    parts = parts.astype(np.int64)
    index = np.repeat(np.arange(len(step)), parts)
    place = np.arange(len(index)) - np.repeat(np.cumsum(parts) - parts, parts)
    shift = (np.asarray(SHIFTS)[index % 4] - 0.375) * 0.8
    share = np.where(place > 0, (place + shift) / parts[index], 0.0)
    return np.concatenate([points[index] + share[:, None] * (points[index + 1] - points[index]), points[-1:]])


def _shortened(left: Floats, right: Floats, on_left: NDArray[np.bool_], least_mm: float) -> Floats:
    """Share of the width each point stays off its edge: every second one on an edge where they would crowd."""
    reach = np.zeros(len(left))
    for side, mine in ((left, on_left), (right, ~on_left)):
        index = np.flatnonzero(mine)
        if len(index) < 2:
            continue
        apart = lengths(side[index])
        crowded = np.concatenate([apart < least_mm, [False]]) & np.concatenate([[False], apart < least_mm])
        second = np.arange(len(index)) % 2 == 1
        reach[index[crowded & second]] = SHORTENED
    return reach


def _evened(step: Floats) -> Floats:
    """Running mean over SMOOTH_MM, its sum kept."""
    width = int(min(round(SMOOTH_MM / SAMPLE_MM), len(step)))
    if width < 2:
        return step
    kernel = np.ones(width) / width
    return np.asarray(np.convolve(np.pad(step, (width // 2, width - 1 - width // 2), mode="reflect"), kernel, "valid"))


def _at(side: Floats, measure: Floats, wanted: Floats) -> Floats:
    return np.column_stack([np.interp(wanted, measure, side[:, 0]), np.interp(wanted, measure, side[:, 1])])
