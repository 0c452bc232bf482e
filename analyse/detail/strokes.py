"""How wide a shape is as a stroke, and which strokes of it are so much thinner that they stand by themselves."""

from __future__ import annotations

from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np

from analyse.values import Drawing, Floats
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import by_length, percentiles, percentiles_px, speaking_width_px
from analyse.widths.tracks import Track

THINNER = 0.6  # a stroke this much thinner than most of its shape is a detail of its own,
RUNS_ON = 4.0  # where it runs on so for so many widths
TAPERS = 0.7  # and is not just the taper of something wider: its lower tenth is at least so much of its median
SEEN_PX = 2.0  # between two colours nothing narrower is told from the seam itself
SAMPLES = 9  # places along a stroke where it is looked what lies beside it,
BESIDE_PX = 1.5  # so far off its edge


@dataclass(frozen=True, slots=True, eq=False)
class Finer:
    """A thin stroke of a wider shape: where, its width in px, its share of the shape's area.

    beside_px: (2, N, 2), places just beside it on its left and on its right.
    """

    at_px: tuple[float, float]
    width: float
    share: float
    beside_px: Floats


Main = tuple[float, float, tuple[Finer, ...]]
_KEPT: WeakKeyDictionary[Drawing, tuple[Main, ...]] = WeakKeyDictionary()


def main_strokes(drawing: Drawing, measures: Measures) -> tuple[Main, ...]:
    """The `main_stroke` of each region. Worked out once for a drawing."""
    if drawing not in _KEPT:
        _KEPT[drawing] = tuple(main_stroke(shape) for shape in measures.regions)
    return _KEPT[drawing]


def main_stroke(shape: Shape) -> Main:
    """The width in px that speaks for the shape, its share of the area, and the finer strokes it does not speak for.

    The width is the one that half of the area is at least as wide as, so that the ends of tapers and twigs of the axis,
    long but of little area, do not speak for the whole.
    """
    width = speaking_width_px(shape.whole)
    if percentiles_px(shape.whole)[0] >= THINNER * width:
        return width, 1.0, ()
    lines = [line for line in shape.lines if len(line.axis) > 1]
    axes = [line.axis for line in lines]
    stretches = [_thin(line, width) for line in lines]
    if not any(own.stop for own in stretches):
        return width, 1.0, ()
    total = max(float(shape.outline.area), 1e-9)
    finer = tuple(_finer(axis[own], total) for axis, own in zip(axes, stretches, strict=True) if own.stop)
    rest = [part for axis, own in zip(axes, stretches, strict=True) for part in _without(axis, own)]
    if not rest:
        return width, 1.0, ()
    widths, lengths = by_length(rest)
    return percentiles(widths, lengths * widths)[1], max(1.0 - sum(each.share for each in finer), 0.0), finer


def _without(axis: Floats, own: slice) -> list[Floats]:
    return [part for part in (axis[: own.start], axis[own.stop :]) if len(part) > 1]


def sides_of(drawing: Drawing, finer: Finer) -> tuple[int, int]:
    """The colours that lie on the left and on the right of most of a stroke; -1 for the cloth."""
    height, width = drawing.labels.shape
    at = np.floor(finer.beside_px).astype(int)
    seen = drawing.labels[np.clip(at[..., 1], 0, height - 1), np.clip(at[..., 0], 0, width - 1)]
    left, right = (int(np.bincount(side.astype(int) + 1).argmax()) - 1 for side in seen)
    return left, right


def _area(axis: Floats) -> float:
    widths, lengths = by_length([axis])
    return float((widths * lengths).sum())


def _thin(line: Track, width: float) -> slice:
    """The longest stretch of a line that is a finer stroke; slice(0, 0) where there is none."""
    axis, along = line.axis, line.along
    if along[-1] < RUNS_ON * SEEN_PX or axis[:, 2].min() > THINNER * width:
        return slice(0, 0)
    thin = np.concatenate([[False], axis[:, 2] <= THINNER * width, [False]])
    ends = np.flatnonzero(thin[1:] != thin[:-1]).reshape(-1, 2)
    first, last = ends[int((along[ends[:, 1] - 1] - along[ends[:, 0]]).argmax())].tolist()
    length = float(along[last - 1] - along[first])
    if length < RUNS_ON * SEEN_PX:
        return slice(0, 0)
    low, median, _ = percentiles(*by_length([axis[first:last]]))
    steady = median >= SEEN_PX and low >= TAPERS * median and length >= RUNS_ON * median
    return slice(first, last) if steady else slice(0, 0)


def _finer(axis: Floats, total: float) -> Finer:
    x, y, _ = axis[len(axis) // 2].tolist()
    return Finer((x, y), percentiles(*by_length([axis]))[1], _area(axis) / total, _beside(axis))


def _beside(axis: Floats) -> Floats:
    at = np.linspace(0, len(axis) - 1, SAMPLES + 2).astype(int)[1:-1]
    before, after = axis[np.maximum(at - 1, 0), :2], axis[np.minimum(at + 1, len(axis) - 1), :2]
    way = after - before
    across = np.stack([-way[:, 1], way[:, 0]], axis=1) / np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]
    off = across * (axis[at, 2:3] / 2.0 + BESIDE_PX)
    return np.stack([axis[at, :2] - off, axis[at, :2] + off])
