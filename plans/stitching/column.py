"""How is a column sewn? Stitch lines from side to side; what bends, tapers and wide places ask of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.corners import CornerRules, Stretch, stretches
from plans.stitching.curves import SAMPLE_MM, at_way, lengths, slopes
from plans.stitching.needles import shifts_of
from plans.stitching.sides import Sides
from plans.stitching.trails import kept_apart

SMOOTH_MM = 1.0  # side lengths are evened over this much of the run before their ratio is taken
SHORTENED = 0.25  # a shortened stitch stops at least this share of the width before the inner edge
SHORTENED_MOST = 0.7


@dataclass(frozen=True, slots=True)
class ColumnRules:
    """The trade's rules for a column, mm: no stitch under `shortest`; over `longest` split in `parts`, staggered.

    bend_outer: times the spacing an outer edge may take; bend_inner: how near its needle points may crowd; shortened:
    shares of the width by which a shortened stitch stops short, at least and at most. corners: what becomes of one.
    """

    shortest: float
    longest: float
    parts: float
    shifts: tuple[float, ...]
    bend_outer: float
    bend_inner: float
    shortened: tuple[float, float]
    corners: CornerRules


def column_rules(trade: Trade, longest_mm: float = 0.0, shortest_mm: float = 0.0) -> ColumnRules:
    """Rules for columns whose stitches may be `longest_mm` long; 0: as the trade has it.

    shortest_mm: what the cloth asks of every stitch, where that is more than the trade does.
    """
    return ColumnRules(
        shortest=max(trade.value("stitch.shortest_shaped"), shortest_mm),
        longest=longest_mm or trade.value("kind.split_over"),
        parts=trade.value("fill.stitch"),
        shifts=tuple(shifts_of(trade).tolist()),
        bend_outer=trade.value("column.bend_outer"),
        bend_inner=trade.value("column.bend_inner"),
        shortened=trade.range("column.shortened"),
        corners=CornerRules(trade.value("column.mitre_over"), trade.value("column.square_over")),
    )


def stitch_lines(sides: Sides, spacing_mm: float, rules: ColumnRules, *, start_left: bool = True) -> Floats:
    """Needle points (N + 1, 2) of a column over `sides`, side to side, from its start to its end.

    N = 2 x length / spacing at mid width, until the outer edge would pass 1.1 x the spacing: from there that edge
    holds. A ring has max(2 pi (R + r) / s, 4 pi R / 1.1 s).
    """
    sides = tapered(sides, rules.shortest)
    runs = stretches(sides, rules.corners)
    left, right = np.vstack([run.left for run in runs]), np.vstack([run.right for run in runs])
    measure = stitch_measure(runs, spacing_mm, rules.bend_outer)
    count = max(round(measure[-1]), 2)
    wanted = np.linspace(0.0, measure[-1], count + 1)
    left, right = at_way(left, measure, wanted), at_way(right, measure, wanted)
    on_left = (np.arange(count + 1) % 2 == 0) == start_left
    reach = shortened(left, right, on_left, rules.bend_inner, rules.shortened)
    here, there = np.where(on_left[:, None], left, right), np.where(on_left[:, None], right, left)
    points = here + reach[:, None] * (there - here)
    points = points[kept_apart(points, rules.shortest)]
    return split(points, rules.longest, rules.parts, np.array(rules.shifts))


def stitch_measure(runs: Sequence[Stretch], spacing_mm: float, outer_most: float) -> Floats:
    """Stitches from the start to each sample of the stretches put together."""
    steps: list[Floats] = []
    for run in runs:
        usual = run.measured if run.measured is not None else _usual_steps(run, outer_most)
        steps += [np.zeros(1), usual]
    return np.asarray(np.cumsum(2.0 * np.concatenate(steps) / spacing_mm))


def _usual_steps(run: Stretch, outer_most: float) -> Floats:
    middle = lengths((run.left + run.right) / 2)
    outer = np.maximum(_evened(lengths(run.left)), _evened(lengths(run.right)))
    return np.asarray(np.maximum(middle, outer / outer_most))


def tapered(sides: Sides, narrowest_mm: float) -> Sides:
    """`sides` without ends too narrow to carry a stitch across."""
    if sides.closed:
        return sides
    wide = np.flatnonzero(sides.widths >= narrowest_mm)
    if len(wide) < 2:
        return sides
    return Sides(sides.left[wide[0] : wide[-1] + 1], sides.right[wide[0] : wide[-1] + 1], False)


def split(points: Floats, longest_mm: float, parts_mm: float, shifts: Floats) -> Floats:
    """`points` with every stitch over `longest_mm` in parts near `parts_mm`, staggered by `shifts` line by line."""
    step = lengths(points)
    if not len(step) or step.max() <= longest_mm + 1e-9:
        return points
    parts = np.where(step > longest_mm + 1e-9, np.ceil(step / parts_mm), 1)
    parts = parts.astype(np.int64)
    index = np.repeat(np.arange(len(step)), parts)
    place = np.arange(len(index)) - np.repeat(np.cumsum(parts) - parts, parts)
    aside = shifts[index % len(shifts)] - shifts.mean()
    shift = aside * 0.8 * np.where(index % 2, -1.0, 1.0)  # every second comes back
    share = np.where(place > 0, (place + shift) / parts[index], 0.0)
    return np.concatenate([points[index] + share[:, None] * (points[index + 1] - points[index]), points[-1:]])


def shortened(
    left: Floats, right: Floats, on_left: NDArray[np.bool_], least_mm: float, shares: tuple[float, float]
) -> Floats:
    """Share of the width each point stays off its edge, within `shares` where it does.

    Where points would crowd on an edge every second one stops short; where that is not enough every second of the
    rest does too, and so on, each as far in as gives it room.
    """
    reach = np.zeros(len(left))
    for side, other, mine in ((left, right, on_left), (right, left, ~on_left)):
        index = np.flatnonzero(mine)
        if len(index) < 3:
            continue
        step = lengths(side[index])
        apart = np.minimum(np.append(step, step[-1]), np.insert(step, 0, step[0]))
        across = np.hypot(*slopes(other[index]).T)
        if apart.min() >= least_mm:
            continue
        level = np.ceil(np.log2(np.maximum(least_mm / np.maximum(apart, least_mm / 8), 1.0)) - 1e-9)
        place = np.arange(len(index))
        halvings = np.where(place > 0, np.log2(np.maximum(place & -place, 1)), 9)
        needed = least_mm / 2.0**halvings
        share = np.clip((needed - apart) / np.maximum(across - apart, 1e-9), *shares)
        reach[index] = np.where(halvings < level, share, 0.0)
    return reach


def _evened(step: Floats) -> Floats:
    """Running mean over SMOOTH_MM, its sum kept."""
    width = int(min(round(SMOOTH_MM / SAMPLE_MM), len(step)))
    if width < 2:
        return step
    kernel = np.ones(width) / width
    return np.asarray(np.convolve(np.pad(step, (width // 2, width - 1 - width // 2), mode="reflect"), kernel, "valid"))
