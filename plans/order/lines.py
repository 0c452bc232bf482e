"""Lines of lettering: sewn letter by letter, in the order they are read."""

from __future__ import annotations

import numpy as np

from analyse.values import Floats, Part
from plans.values import Sewing

Line = tuple[tuple[int, ...], ...]
"""The sewings of each letter, in reading order."""


def lines_of(sewings: tuple[Sewing, ...], parts: tuple[Part, ...]) -> tuple[Line, ...]:
    """The lines of lettering among sewings, of one thread each."""
    found: dict[tuple[str, int], dict[int, list[int]]] = {}
    for index, sewing in enumerate(sewings):
        part = parts[sewing.part]
        if part.role_hint == "letter" and part.family:
            found.setdefault((part.family, sewing.thread), {}).setdefault(part.region, []).append(index)
    return tuple(_read(letters, sewings) for letters in found.values() if len(letters) > 1)


def _read(letters: dict[int, list[int]], sewings: tuple[Sewing, ...]) -> Line:
    regions = sorted(letters)
    middles = np.array([_middle([sewings[index] for index in letters[region]]) for region in regions])
    return tuple(tuple(letters[regions[number]]) for number in reading_order(middles))


def _middle(pieces: list[Sewing]) -> tuple[float, float]:
    boxes = np.array([piece.shape.bounds for piece in pieces])
    (left, top), (right, bottom) = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return float(left + right) / 2, float(top + bottom) / 2


def reading_order(middles: Floats) -> list[int]:
    """Letters of one line, straight or on a curve, from its left end; bottom up where it stands upright.

    A line's ends are those two from which the shortest walk from letter to nearest letter leads through all.
    """
    walks = [_walk(middles, start) for start in range(len(middles))]
    lengths = [np.hypot(*np.diff(middles[walk], axis=0).T).sum() for walk in walks]
    walk = walks[int(np.argmin(np.round(lengths, 6)))]
    (x0, y0), (x1, y1) = middles[walk[0]], middles[walk[-1]]
    upright = abs(x1 - x0) < abs(y1 - y0) / 4
    backwards = y0 < y1 if upright else x0 > x1
    return walk[::-1] if backwards else walk


def _walk(middles: Floats, start: int) -> list[int]:
    walk, left = [start], np.ones(len(middles), bool)
    left[start] = False
    while left.any():
        off = np.where(left, np.hypot(*(middles - middles[walk[-1]]).T), np.inf)
        walk.append(int(np.argmin(np.round(off, 6))))
        left[walk[-1]] = False
    return walk
