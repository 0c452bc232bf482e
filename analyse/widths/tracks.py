"""Branches that follow each other, as one track with its two sides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analyse.values import Floats
from analyse.widths.centreline import Branch, Side
from analyse.widths.lines import lines_of
from analyse.widths.rings import Rings


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A run before it is evened: axis rows, the way along it, the sides' places on the rings."""

    axis: Floats
    along: Floats
    left: Side
    right: Side
    closed: bool


def track_of(branches: Sequence[Branch], rings: Rings, *, closed: bool | None = None) -> Track:
    """Branches that follow each other, as one."""
    whole = branches[0].closed if closed is None else closed
    if len(branches) == 1:
        (only,) = branches
        return Track(only.axis, only.along, only.left, only.right, whole)
    left, right = (_joined(sides, rings) for sides in ([b.left for b in branches], [b.right for b in branches]))
    axis = np.vstack([b.axis for b in branches])
    return Track(axis, lines_of(axis, np.array([len(axis)])).along, left, right, whole)


def _joined(sides: Sequence[Side], rings: Rings) -> Side:
    """Sides in a row, their ways counted on where they stay on one ring."""
    ways = [sides[0].way]
    for before, after in pairwise(sides):
        ring, turn = int(after.ring[0]), 0.0
        if ring == int(before.ring[-1]):
            length = float(rings.length[ring])
            turn = round(float(ways[-1][-1] - after.way[0]) / length) * length
        ways.append(after.way + turn)
    return Side(np.concatenate([side.ring for side in sides]), np.concatenate(ways))
