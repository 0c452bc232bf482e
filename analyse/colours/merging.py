"""Fewer colours: which of them may fall together and be missed least."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.colours.lab import Floats, srgb_to_lab
from analyse.colours.names import colour

Labels = NDArray[np.int16]

_EDGE_PX = 6.0  # how much area one px of a shared edge is worth: what vanishes with it is a line, and lines are seen


def merge(labels: Labels, colours: Floats, most: int | None) -> tuple[Labels, Floats, tuple[str, ...]]:
    """At most `most` colours, merged one pair at a time, and a note on each that went.

    The loss of a pair is the smaller one's area, with the edge they share, times how different they look
    (CIEDE2000); the larger one's colour stays.
    """
    notes: list[str] = []
    while most is not None and len(colours) > max(most, 1):
        lost, kept = _least_loss(labels, colours)
        gone, stays = colour(colours[lost]), colour(colours[kept])
        apart = float(ciede2000(gone.lab, stays.lab))
        notes.append(f"{gone.name} {gone.rgb} merged into {stays.name} {stays.rgb}, dE00 {apart:.1f}")
        place = np.arange(len(colours), dtype=np.int16)
        place[lost] = kept
        place -= (place > lost).astype(np.int16)
        labels = np.where(labels < 0, labels, place[labels]).astype(np.int16)
        colours = np.delete(colours, lost, axis=0)
    return labels, colours, tuple(notes)


def _least_loss(labels: Labels, colours: Floats) -> tuple[int, int]:
    count = len(colours)
    area = np.bincount(labels[labels >= 0], minlength=count).astype(np.float64)
    shared = np.zeros((count, count))
    for one, two in ((labels[:, 1:], labels[:, :-1]), (labels[1:], labels[:-1])):
        meets = (one != two) & (one >= 0) & (two >= 0)
        pairs = np.bincount(one[meets].astype(np.int64) * count + two[meets], minlength=count * count)
        shared += pairs.reshape(count, count)
    shared += shared.T
    lab = srgb_to_lab(colours)
    loss = ciede2000(lab[:, None], lab[None]) * (np.minimum(area[:, None], area[None]) + _EDGE_PX * shared)
    loss[np.arange(count), np.arange(count)] = np.inf
    first, second = divmod(int(np.argmin(loss)), count)
    return (first, second) if area[first] < area[second] else (second, first)
