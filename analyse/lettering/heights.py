"""How tall and how heavy the letters of a line are: capitals, small letters, stems."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analyse.lettering.baselines import Baseline, Stand
from analyse.values import Floats
from analyse.widths.measuring import Shape

SMALL = 0.88  # letters under this share of the tallest are the small ones; x-heights lie at 0.65 to 0.8 of capitals
MIXED = 0.2  # share of small letters that makes a line mixed case, and at least two of them
LEVEL = 0.02  # an edge this near a letter's end, in letter heights, and
SLOPE = 0.03  # this nearly level, is what its height is taken from: round letters overshoot
ROUND = 0.02  # a letter without such an edge counts as if it had one so long, in letter heights
UPRIGHT_DEG = (6.0, 20.0)  # runs this near upright are stems; slanted faces have none under the first
ENOUGH = 0.7  # of stem, in letter heights, to measure it on
WORD = 2.0  # a gap this many times the middle one, and
SPACE = 0.2  # this many letter heights, parts words


@dataclass(frozen=True, slots=True)
class Heights:
    """In px. capitals: of the tall letters; small: x-height of mixed case, None where all are tall; smallest: which
    letters are of the smallest class."""

    capitals: float
    small: float | None
    smallest: tuple[bool, ...]


def heights(hulls: Floats, places: Stand, baseline: Baseline, centre: Floats, swelling: bool) -> Heights:
    """Heights of letters in reading order. swelling: the line grows or tapers along its way, so all are one class."""
    tallest = float(places.top.max())
    at_bottom, at_top = _level_edges(hulls, baseline, centre, tallest)
    standing = np.abs(places.bottom) < 0.1 * tallest
    zero = _middle(places.bottom[standing], _weight(at_bottom[standing], tallest))
    top = places.top - zero
    tallest = float(np.sort(top)[-2:].mean())
    small = top < SMALL * tallest
    weights = _weight(at_top, tallest)
    if swelling or small.sum() < 2 or small.mean() < MIXED:
        keep = ~small if not swelling and (~small).any() else np.ones(len(top), dtype=bool)
        return Heights(_middle(top[keep], weights[keep]), None, tuple(keep.tolist()))
    capitals = ~small & _starts(places, tallest)
    if not capitals.any():
        capitals = ~small
    return Heights(
        _middle(top[capitals], weights[capitals]), _middle(top[small], weights[small]), tuple(small.tolist())
    )


def _level_edges(hulls: Floats, baseline: Baseline, centre: Floats, height: float) -> tuple[Floats, Floats]:
    """Length of each letter's level edges at its bottom and at its top."""
    up, along = baseline.frames(centre)
    y, x = np.einsum("nkc,nc->nk", hulls, up), np.einsum("nkc,nc->nk", hulls, along)
    y1, x1 = np.roll(y, -1, axis=1), np.roll(x, -1, axis=1)
    long = np.where(np.abs(y1 - y) <= SLOPE * np.abs(x1 - x), np.abs(x1 - x), 0.0)
    low, high = y.min(axis=1, keepdims=True), y.max(axis=1, keepdims=True)
    bottom = np.where(np.maximum(y, y1) <= low + LEVEL * height, long, 0.0).sum(axis=1)
    top = np.where(np.minimum(y, y1) >= high - LEVEL * height, long, 0.0).sum(axis=1)
    return bottom, top


def _weight(level: Floats, height: float) -> Floats:
    """Square of the level edges: the short ones are those of round letters."""
    return (level + ROUND * height) ** 2


def _middle(values: Floats, weights: Floats) -> float:
    """Weighted median."""
    order = np.argsort(values)
    reach = np.cumsum(weights[order])
    return float(values[order][int(np.searchsorted(reach, reach[-1] / 2.0))])


def _starts(places: Stand, height: float) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Which letters begin a word."""
    gaps = places.start[1:] - np.maximum.accumulate(places.end)[:-1]
    wide = gaps > max(WORD * float(np.median(gaps)), SPACE * height) if len(gaps) else gaps > 0
    return np.append(True, wide)


def stem(shapes: Sequence[Shape], ups: Floats, height: float) -> float | None:
    """Width of the upright strokes, by length, px; None where too few run upright."""
    steps, widths, lean = [], [], []
    for shape, up in zip(shapes, ups, strict=True):
        for branch in shape.branches:
            step = np.diff(branch.axis[:, :2], axis=0)
            length = np.hypot(step[:, 0], step[:, 1])
            steps.append(length)
            widths.append((branch.axis[1:, 2] + branch.axis[:-1, 2]) / 2.0)
            lean.append(np.abs(step @ up) / np.maximum(length, 1e-12))
    if not steps:
        return None
    length, width, upright = np.concatenate(steps), np.concatenate(widths), np.concatenate(lean)
    for most_deg in UPRIGHT_DEG:
        near = upright >= np.cos(np.radians(most_deg))
        if length[near].sum() >= ENOUGH * height:
            return _middle(width[near], length[near])
    return None
