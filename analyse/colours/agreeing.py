"""Where three colours or more are found within a few unsure pixels, which of them these agree on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analyse.colours.flats import MOST_COLOURS, UNLABELLED, Flats
from analyse.colours.lab import Floats
from analyse.colours.metrics import lengths, metric
from analyse.colours.mixtures import Mixtures, grouped, labels_within, misfit_limit

Bytes = NDArray[np.uint8]
Indices = NDArray[np.int64]

_LOOK_PX = 3  # within which three labels make a pixel contested
_AROUND = tuple((down, right) for down in (-1, 0, 1) for right in (-1, 0, 1) if (down, right) != (0, 0))
_DIAGONAL = 0.7  # weight of a neighbour across a corner
_ALONE = 1.0  # of the limit: a pixel unlike all its neighbours must be explained better by so much
_WORST = 3.0  # times the limit that a misfit can count
_ROUNDS = 12


def agree(rgb: Bytes, label: Bytes, mixtures: Mixtures, flats: Flats) -> tuple[Bytes, Mixtures]:
    """The labels, (H, W), and mixtures, with contested pixels in the colours that explain them and their neighbours.

    Each takes the label of least cost: its squared misfit, as a mixture that is mostly of that label, and a price for
    every neighbour of another (a Potts model; iterated conditional modes: Besag 1986).
    """
    bits = labels_within(label, len(flats.colours), mixtures.at, _LOOK_PX)
    contested = np.flatnonzero(np.bitwise_count(bits) > 2)
    if not len(contested):
        return label, mixtures
    at, limit = mixtures.at[contested], misfit_limit(mixtures, flats)
    off, part, base = _explained(rgb.reshape(-1, 3)[at].astype(np.float64), bits[contested], flats)
    price = (np.minimum(off, _WORST * limit) / (_ALONE * limit)) ** 2
    found = _settled(label, at, price)
    own = found.reshape(-1)[at]
    rows = np.arange(len(at))
    changed = own != label.reshape(-1)[at]
    main, other, share = (field.copy() for field in (mixtures.main, mixtures.other, mixtures.share))
    places = at[changed]
    main.reshape(-1)[places] = own[changed]
    other.reshape(-1)[places] = base[own, rows][changed]
    share.reshape(-1)[places] = np.rint(255 * part[own, rows][changed])
    return found, replace(mixtures, main=main, other=other, share=share)


def _settled(label: Bytes, at: Indices, price: Floats) -> Bytes:
    """The labels after every contested pixel, in turn by fours, took the cheapest one until none changes."""
    wide = label.shape[1]
    found = np.pad(label, 1, constant_values=UNLABELLED)
    y, x = np.divmod(at, wide)
    total = sum(1.0 if 0 in step else _DIAGONAL for step in _AROUND)
    turns = [np.flatnonzero((y % 2 == odd_y) & (x % 2 == odd_x)) for odd_y in (0, 1) for odd_x in (0, 1)]
    for _ in range(_ROUNDS):
        changes = 0
        for turn in turns:
            unlike = np.ones((len(price), len(turn)))
            for down, right in _AROUND:
                near = found[y[turn] + 1 + down, x[turn] + 1 + right]
                known = np.flatnonzero(near < len(price))
                unlike[near[known], known] -= (1.0 if 0 in (down, right) else _DIAGONAL) / total
            best = np.argmin(price[:, turn] + unlike, axis=0).astype(np.uint8)
            changes += int((found[y[turn] + 1, x[turn] + 1] != best).sum())
            found[y[turn] + 1, x[turn] + 1] = best
        if not changes:
            break
    return found[1:-1, 1:-1].copy()


def _explained(pixels: Floats, near: NDArray[np.uint32], flats: Flats) -> tuple[Floats, Floats, Bytes]:
    """For each label and pixel, (K, N): misfit as mostly it with another near, its share, the other."""
    turn, colours = metric(compressed=flats.compressed), flats.colours
    off = np.full((len(colours), len(pixels)), np.inf)
    part, base = np.ones_like(off), np.zeros(off.shape, np.uint8)
    for pattern, alike in grouped(near, np.arange(len(pixels))):
        labels = [label for label in range(min(len(colours), MOST_COLOURS)) if pattern >> label & 1]
        for own in labels:
            for side in labels:
                way = colours[side] - colours[own]
                turned, step = way @ turn.T, (pixels[alike] - colours[own]) @ turn.T
                along = np.clip(step @ turned / max(float(turned @ turned), 1e-9), 0, 0.5)
                found = lengths(step - along[:, None] * turned)
                better = found < off[own, alike] - 1e-6
                places = alike[better]
                off[own, places], part[own, places], base[own, places] = found[better], 1 - along[better], side
    return off, part, base
