"""Where a flat colour runs on into parts too thin to be flat: tapers, strokes, corners."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analyse.colours.flats import UNLABELLED, Flats
from analyse.colours.lab import Floats
from analyse.colours.metrics import metric

Bytes = NDArray[np.uint8]
Indices = NDArray[np.int64]

_SURE = {False: 2.0, True: 3.0}  # steps of 255 a pixel may be off a colour and be that alone; in compressed art
_CELL_BITS, _CELL_HALF = 3, 4  # of the cells in which pixels are sifted first
_LONGEST_PX = 60  # that a colour may run on
_AROUND = tuple((down, right) for down in (-1, 0, 1) for right in (-1, 0, 1) if (down, right) != (0, 0))


def grown(rgb: Bytes, flats: Flats, count: int) -> Flats:
    """The flats with pixels as their seeds that show nothing but the colour of a seed they touch, one by one.

    count: of the colours, that were found in flat interiors; the rest have their seeds already.
    """
    turn, sure = metric(compressed=flats.compressed), _SURE[flats.compressed]
    colours = flats.colours @ turn.T
    at = np.flatnonzero(flats.seeds == UNLABELLED)
    cells = rgb.reshape(-1, 3)[at] >> _CELL_BITS
    at = at[_cells_near(colours, turn, sure)[cells[:, 0], cells[:, 1], cells[:, 2]]]
    apart = _squares(rgb.reshape(-1, 3)[at] @ turn.T, colours)
    label = np.argmin(apart, axis=1).astype(np.uint8)
    own = (label < count) & (apart.min(axis=1) < sure**2)
    return replace(flats, seeds=_run_on(flats.seeds, at[own], label[own]))


def _cells_near(colours: Floats, turn: Floats, sure: float) -> NDArray[np.bool_]:
    """Which cells of sRGB, 8 steps wide each way, hold anything within `sure` of a colour."""
    steps = (np.arange(256 >> _CELL_BITS) << _CELL_BITS) + _CELL_HALF
    middles = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)
    corner = float(np.sqrt(((np.abs(turn).sum(axis=1) * (_CELL_HALF + 0.5)) ** 2).sum()))
    nearest = _squares(middles.reshape(-1, 3) @ turn.T, colours).min(axis=1)
    near: NDArray[np.bool_] = (nearest < (sure + corner) ** 2).reshape(middles.shape[:3])
    return near


def _squares(points: Floats, colours: Floats) -> Floats:
    """Squared distances, (N, K), of points, (N, 3), from colours, (K, 3)."""
    apart = np.empty((len(points), len(colours)))
    for index, colour in enumerate(colours):
        step = points - colour
        apart[:, index] = np.einsum("ij,ij->i", step, step)
    return apart


def _run_on(seeds: Bytes, at: Indices, label: Bytes) -> Bytes:
    """The seeds, and of the pixels `at` those that a chain of their own label joins to one."""
    padded = np.pad(seeds, 1, constant_values=UNLABELLED)
    wide, flat = padded.shape[1], padded.reshape(-1)
    y, x = np.divmod(at, seeds.shape[1])
    places = (y + 1) * wide + x + 1
    want = np.full(flat.shape, UNLABELLED, np.uint8)
    want[places] = label
    beside = np.zeros(len(places), dtype=bool)
    for down, right in _AROUND:
        beside |= flat[places + down * wide + right] == label
    front = places[beside]
    for _ in range(_LONGEST_PX):
        if not len(front):
            break
        own = want[front]
        flat[front], want[front] = own, UNLABELLED
        reached = [front + down * wide + right for down, right in _AROUND]
        front = np.unique(np.concatenate([there[want[there] == own] for there in reached]))
    return padded[1:-1, 1:-1].copy()
