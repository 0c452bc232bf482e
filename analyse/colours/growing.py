"""Where a flat colour runs on into parts too thin to be flat: tapers, strokes, corners."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analyse.colours.flats import UNLABELLED, Flats
from analyse.colours.lab import Floats
from analyse.colours.metrics import metric
from analyse.colours.mixtures import labels_within

Bytes = NDArray[np.uint8]
Indices = NDArray[np.int64]
Reals = NDArray[np.floating[Any]]

_SURE = {False: 2.0, True: 3.0}  # steps of 255 a pixel may be off a colour and be that alone; in compressed art
_ROUNDING = 1e-3  # of a square: greys lie a whole number of steps apart
_CELL_BITS, _CELL_HALF = 3, 4  # of the cells in which pixels are sifted first
_CELL_STEPS = np.array([(256 >> _CELL_BITS) ** 2, 256 >> _CELL_BITS, 1], np.int32)
_SEVERAL = UNLABELLED - 1  # no label: those are under 32
_LONGEST_PX = 60  # that a colour may run on
_AROUND = tuple((down, right) for down in (-1, 0, 1) for right in (-1, 0, 1) if (down, right) != (0, 0))


def grown(rgb: Bytes, flats: Flats) -> Flats:
    """The flats with pixels as their seeds that show nothing but the colour of a seed they touch, one by one."""
    turn, sure = metric(compressed=flats.compressed), _SURE[flats.compressed]
    at = np.flatnonzero(flats.seeds == UNLABELLED)
    pixels = np.take(rgb.reshape(-1, 3), at, axis=0)
    cells = (pixels >> _CELL_BITS).astype(np.int32) @ _CELL_STEPS
    label = np.take(_nearest_of_cells(flats.colours @ turn.T, turn, sure), cells)
    sifted = np.flatnonzero(label != UNLABELLED)
    at, label, colours = at[sifted], label[sifted], (flats.colours @ turn.T).astype(np.float32)
    points = np.take(pixels, sifted, axis=0).astype(np.float32) @ turn.T.astype(np.float32)
    several = np.flatnonzero(label == _SEVERAL)
    label[several] = np.argmin(_squares(points[several], colours), axis=1)
    points -= np.take(colours, label, axis=0)
    own = np.einsum("ij,ij->i", points, points) < sure**2 + _ROUNDING
    return replace(flats, seeds=_run_on(flats.seeds, len(colours), at[own], label[own]))


def _nearest_of_cells(colours: Floats, turn: Floats, sure: float) -> Bytes:
    """The one colour that may lie within `sure` of what each cell of sRGB, 8 steps wide each way, holds.

    UNLABELLED where none may, _SEVERAL where more than one may.
    """
    steps = (np.arange(256 >> _CELL_BITS) << _CELL_BITS) + _CELL_HALF
    middles = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)
    corner = float(np.sqrt(((np.abs(turn).sum(axis=1) * (_CELL_HALF + 0.5)) ** 2).sum()))
    apart = _squares(middles.reshape(-1, 3) @ turn.T, colours)
    near = (apart < (sure + corner) ** 2).sum(axis=1)
    nearest = np.where(near == 1, np.argmin(apart, axis=1), np.where(near, _SEVERAL, UNLABELLED))
    found: Bytes = nearest.astype(np.uint8)
    return found


def _squares(points: Reals, colours: Reals) -> Floats:
    """Squared distances, (N, K), of points, (N, 3), from colours, (K, 3)."""
    apart = np.empty((len(points), len(colours)))
    for index, colour in enumerate(colours):
        step = points - colour
        apart[:, index] = np.einsum("ij,ij->i", step, step)
    return apart


def _run_on(seeds: Bytes, count: int, at: Indices, label: Bytes) -> Bytes:
    """The seeds, and of the pixels `at` those that a chain of their own label joins to one."""
    padded = np.pad(seeds, 1, constant_values=UNLABELLED)
    wide, flat = padded.shape[1], padded.reshape(-1)
    y, x = np.divmod(at, seeds.shape[1])
    places = (y + 1) * wide + x + 1
    want = np.full(flat.shape, UNLABELLED, np.uint8)
    want[places] = label
    steps = [down * wide + right for down, right in _AROUND]
    touched = labels_within(seeds, count, at, 1)
    front = places[touched >> label & 1 == 1]
    flat[front], want[front] = want[front], UNLABELLED
    for _ in range(_LONGEST_PX - 1):
        own, reached = np.take(flat, front), []
        for step in steps:
            there = front + step
            new = there[np.take(want, there) == own]
            flat[new], want[new] = want[new], UNLABELLED
            reached.append(new)
        front = np.concatenate(reached)
        if not len(front):
            break
    return padded[1:-1, 1:-1].copy()
