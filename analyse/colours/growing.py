"""Where a flat colour runs on into parts too thin to be flat: tapers, strokes, corners."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analyse.colours.flats import UNLABELLED, Flats
from analyse.colours.metrics import metric

Bytes = NDArray[np.uint8]
Indices = NDArray[np.int64]

_SURE = {False: 2.0, True: 6.0}  # steps of 255 a pixel may be off a colour and be that alone; in compressed art
_LONGEST_PX = 60  # that a colour may run on
_AROUND = tuple((down, right) for down in (-1, 0, 1) for right in (-1, 0, 1) if (down, right) != (0, 0))


def grown(rgb: Bytes, flats: Flats, count: int) -> Flats:
    """The flats with pixels as their seeds that show nothing but the colour of a seed they touch, one by one.

    count: of the colours, that were found in flat interiors; the rest have their seeds already.
    """
    at = np.flatnonzero(flats.seeds == UNLABELLED)
    turn = metric(compressed=flats.compressed)
    points, colours = (rgb.reshape(-1, 3)[at] @ turn.T).astype(np.float32), (flats.colours @ turn.T).astype(np.float32)
    # |p - c|^2 less |p|^2, which is one matrix product.
    apart = (colours**2).sum(axis=1) - 2 * points @ colours.T
    label = np.argmin(apart, axis=1).astype(np.uint8)
    least = apart[np.arange(len(at)), label] + np.einsum("ij,ij->i", points, points)
    sure = (label < count) & (least < _SURE[flats.compressed] ** 2)
    return replace(flats, seeds=_run_on(flats.seeds, at[sure], label[sure]))


def _run_on(seeds: Bytes, at: Indices, label: Bytes) -> Bytes:
    """The seeds, and of the pixels `at` those that a chain of their own label joins to one."""
    padded = np.pad(seeds, 1, constant_values=UNLABELLED)
    wide, flat = padded.shape[1], padded.reshape(-1)
    y, x = np.divmod(at, seeds.shape[1])
    places = (y + 1) * wide + x + 1
    for _ in range(_LONGEST_PX):
        beside = np.zeros(len(places), dtype=bool)
        for down, right in _AROUND:
            beside |= flat[places + down * wide + right] == label
        if not beside.any():
            break
        flat[places[beside]] = label[beside]
        places, label = places[~beside], label[~beside]
    return padded[1:-1, 1:-1].copy()
