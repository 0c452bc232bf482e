"""Widths along the way, as the 10th, 50th and 90th percentile by length."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.strokes import Stroke

SWELLS = 1.5  # a body this much wider than the 90th percentile lies beyond the axis' end: it counts as the high
DOT = 2.0  # a shape no longer than this many widths is a dot


def by_length(axes: list[Floats]) -> tuple[Floats, Floats]:
    """Widths along several axes with the length each stands for."""
    widths, lengths = [], []
    for axis in axes:
        widths.append((axis[1:, 2] + axis[:-1, 2]) / 2.0)
        lengths.append(np.hypot(axis[1:, 0] - axis[:-1, 0], axis[1:, 1] - axis[:-1, 1]))
    return np.concatenate(widths), np.concatenate(lengths)


def percentiles(widths: Floats, lengths: Floats) -> tuple[float, float, float]:
    """10th, 50th and 90th percentile of widths that each stand for a length."""
    order = np.argsort(widths, kind="stable")
    reach = np.cumsum(lengths[order]) - lengths[order] / 2.0
    low, median, high = np.interp(np.array([0.1, 0.5, 0.9]) * lengths.sum(), reach, widths[order]).tolist()
    return low, median, high


def percentiles_px(stroke: Stroke) -> tuple[float, float, float]:
    """The shape's width percentiles along its axis; its largest disc's width where the axis is a point."""
    if "widths" not in stroke.known:
        stroke.known["widths"] = _percentiles_px(stroke)
    low, median, high = stroke.known["widths"]
    return low, median, high


def _percentiles_px(stroke: Stroke) -> tuple[float, float, float]:
    axes = _lines(stroke)
    across = float(stroke.pole[2])
    if not axes:
        return across, across, across
    low, median, high = percentiles(*by_length(axes))
    return low, median, across if across > SWELLS * high else high


def known_together(strokes: Sequence[Stroke]) -> None:
    """Work out the figures of this module for many strokes at once: the same ones in far less time."""
    new = [(stroke, axes) for stroke in strokes if "widths" not in stroke.known for axes in [_lines(stroke)] if axes]
    if not new:
        return
    sizes = np.array([len(axis) for _, axes in new for axis in axes])
    owner = np.repeat(np.arange(len(new)), [len(axes) for _, axes in new])
    points = np.concatenate([axis[:, :3] for _, axes in new for axis in axes])
    last = np.cumsum(sizes)[:-1] - 1
    step = np.delete(np.diff(points[:, :2], axis=0), last, axis=0)
    width = np.delete((points[1:, 2] + points[:-1, 2]) / 2.0, last)
    length, of = np.hypot(step[:, 0], step[:, 1]), np.repeat(owner, sizes - 1)
    whole, found = np.bincount(of, length, len(new)), _percentiles_of(width, length, of, len(new))
    speaks = _percentiles_of(width, length * width, of, len(new))[:, 1]
    for (stroke, _), total, three, speaking in zip(new, whole.tolist(), found.tolist(), speaks.tolist(), strict=True):
        if total > 0.0:
            stroke.known["speaks"] = (speaking,)
            low, median, high = three
            across = float(stroke.pole[2])
            stroke.known["widths"] = (low, median, across if across > SWELLS * high else high)
            stroke.known["length"] = (total + across,)


def _lines(stroke: Stroke) -> list[Floats]:
    return [axis for axis in stroke.axes if len(axis) > 1]


def _percentiles_of(width: Floats, length: Floats, of: NDArray[np.intp], count: int) -> Floats:
    """(count, 3): the `percentiles` of each owner's widths. of: whose each is, in order."""
    order = np.lexsort((width, of))
    ends = np.cumsum(np.bincount(of, minlength=count))
    reach = np.cumsum(length[order])
    start = np.append(0.0, reach[ends[:-1] - 1])
    asked = start[:, None] + np.array([0.1, 0.5, 0.9]) * (reach[ends - 1] - start)[:, None]
    middle = reach - length[order] / 2.0
    first, final = np.append(0, ends[:-1])[:, None], ends[:, None] - 1
    after = np.clip(np.searchsorted(middle, asked), first, final)
    before = np.maximum(after - 1, first)
    apart = middle[after] - middle[before]
    share = np.clip(np.divide(asked - middle[before], apart, out=np.zeros_like(asked), where=apart > 0), 0.0, 1.0)
    widths = width[order]
    return np.asarray(widths[before] + share * (widths[after] - widths[before]))


def speaking_width_px(stroke: Stroke) -> float:
    """The width that half of the shape's area is at least as wide as: what a tapering stroke is sewn by."""
    if "speaks" not in stroke.known:
        axes = _lines(stroke)
        if axes:
            widths, lengths = by_length(axes)
            stroke.known["speaks"] = (percentiles(widths, lengths * widths)[1],)
        else:
            stroke.known["speaks"] = (float(stroke.pole[2]),)
    return stroke.known["speaks"][0]


def run_length_px(stroke: Stroke) -> float:
    """Length of all the shape's branches, a width added at most for its two ends."""
    if "length" not in stroke.known:
        axes = _lines(stroke)
        length = float(by_length(axes)[1].sum()) if axes else 0.0
        stroke.known["length"] = (length + float(stroke.pole[2]),)
    return stroke.known["length"][0]


def is_dot(stroke: Stroke) -> bool:
    """Whether a shape is hardly longer than wide."""
    across = float(stroke.pole[2])
    return float(stroke.filled.area) < DOT * across**2 and run_length_px(stroke) < DOT * across
