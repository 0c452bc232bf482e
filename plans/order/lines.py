"""Lines of lettering: sewn letter by letter, in the order they are read."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely

from analyse.values import Floats, Part
from plans.stitching.curves import slopes
from plans.values import Sewing

Line = tuple[tuple[int, ...], ...]
"""The sewings of each letter, in reading order."""
WORD_TIMES, WORD_SHARE = 1.8, 0.25
"""A word ends at a gap so many times the usual one of its line, and over such a share of its letters' height."""


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


def heights(letters: list[Floats]) -> list[Floats]:
    """How far above the line it stands on each place (N, 2) of each letter lies, mm; letters in reading order.

    A letter with a tail stands where the middle one of it and its two neighbours ends; the tail is at no height.
    """
    middles = np.array([(places.min(axis=0) + places.max(axis=0)) / 2 for places in letters])
    run = slopes(middles) if len(middles) > 1 else np.array([[1.0, 0.0]])
    run = run / np.maximum(np.hypot(*run.T), 1e-9)[:, None]
    down = np.column_stack([-run[:, 1], run[:, 0]])
    found = []
    for number, (places, below) in enumerate(zip(letters, down, strict=True)):
        feet = sorted(float((other @ below).max()) for other in letters[max(number - 1, 0) : number + 2])
        depth = places @ below
        found.append(np.maximum(min(float(depth.max()), feet[(len(feet) - 1) // 2]) - depth, 0.0))
    return found


def words_of(lines: tuple[Line, ...], sewings: tuple[Sewing, ...]) -> dict[int, int]:
    """For each sewing of a line of lettering the number of the word it stands in."""
    found: dict[int, int] = {}
    word = 0
    for line in lines:
        shapes = [shapely.union_all([sewings[index].shape for index in letter]) for letter in line]
        gaps = np.array([shapely.distance(one, two) for one, two in pairwise(shapes)])
        sides = shapely.bounds(shapes)
        tall = float(np.median(np.maximum(sides[:, 2] - sides[:, 0], sides[:, 3] - sides[:, 1])))
        apart = gaps > max(WORD_TIMES * float(np.median(gaps)), WORD_SHARE * tall)
        for number, letter in enumerate(line):
            word += int(number == 0 or apart[number - 1])
            found |= dict.fromkeys(letter, word)
    return found


def _walk(middles: Floats, start: int) -> list[int]:
    walk, left = [start], np.ones(len(middles), bool)
    left[start] = False
    while left.any():
        off = np.where(left, np.hypot(*(middles - middles[walk[-1]]).T), np.inf)
        walk.append(int(np.argmin(np.round(off, 6))))
        left[walk[-1]] = False
    return walk
