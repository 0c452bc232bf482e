"""Pieces that are no shapes: what the colours on either side of them explain as well."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.colours.halos import CUT_OFF, STRONGEST, bled
from analyse.colours.lab import Floats, srgb_to_lab
from analyse.colours.metrics import lengths, metric
from analyse.colours.reading import CLEAR, Reading
from analyse.regions.connected import connect, saddles

Ints = NDArray[np.int64]

_LARGEST_PX = 4000  # a piece without a flat pixel that is larger is a shape
_FEW_FLAT = 8  # flat pixels that a speck in compressed art may have
_FLAT_SHARE = 0.35  # or this share of its pixels: a halo is flat where it was cut off at black or white
_WEIGHT = {False: 120.0, True: 200.0}  # px times dE00 to what is about it, under which a piece is not seen; compressed
_FAINT_PX = 120  # flat pieces of fewer pixels may be a compressed picture's blocks
_FAINT_DE = 10.0  # if they are no farther from what is about them
_FAINT_WEIGHT = 600.0  # px times dE00
_EDGE_PX = 7  # no edge is so wide: what holds a square of it is a shape,
_SHAPE_DE = 10.0  # if it is so far from what is about it
_RIM_PX = 40  # a sliver along the rim of art on nothing has no more pixels, and is one pixel wide
_RARE = 1e-4  # share of the picture under which a colour without any flat pixel is a meeting of three others
_EXACT = 3.0  # steps of 255 that a mixture in clean art may be off
_BETTER = 0.5  # of the misfit, that a piece's own colour must leave to be believed
_ALL_BUT = 0.95  # of a colour, that must be no shape before the rest is none
_EXPLAINED = 0.8  # of the limit, that the mean misfit may reach


def without_specks(reading: Reading) -> Reading:
    """The reading without slivers along edges and specks of noise: their pixels go to the colours about them.

    A piece goes if it has no flat pixel (few in compressed art), and either the two colours it meets most explain
    its pixels as their mixtures, or it is too small for its contrast to be seen.
    """
    numbered, own = connect(reading.label, saddles(reading.label))
    area = np.bincount(numbered.ravel(), minlength=len(own))
    flat = area - np.bincount(numbered.reshape(-1)[np.flatnonzero(~reading.flat)], minlength=len(own))
    noisy = reading.compressed or reading.haloed
    few = np.maximum(_FEW_FLAT, _FLAT_SHARE * area) if noisy else np.zeros(len(area))
    unsure = (flat <= few) & (area < _LARGEST_PX)
    suspect = (unsure | (noisy & (area < _FAINT_PX))) & (own != CLEAR)
    if not suspect.any() or suspect.all():
        return reading
    beside = _met_most(numbered, own, suspect)
    sliver = suspect & (area <= _RIM_PX) & _along_rims(numbered, beside)
    beside[sliver] = beside[sliver].min(axis=1)[:, None]
    suspect &= (beside != CLEAR).all(axis=1)
    at = np.flatnonzero(suspect[numbered.ravel()])
    piece = numbered.reshape(-1)[at]
    misfit, share = _as_mixture(reading, at, beside[piece])
    mean = np.bincount(piece, misfit, len(own)) / np.maximum(area, 1)
    apart = _contrast(reading, own, beside)
    rare = np.bincount(own, area, 256) < _RARE * reading.label.size
    rare &= np.bincount(own, flat, 256) == 0
    mixed = mean < _EXPLAINED * reading.limit
    if not noisy:
        mixed &= ~_better_itself(reading, at, piece, own, beside, mean)
    mixed &= ~_wide(numbered, suspect & mixed & (apart >= _SHAPE_DE) & (area >= _EDGE_PX**2))
    explained = sliver | rare[own] | mixed | (area * apart < _WEIGHT[noisy])
    faint = (apart < _FAINT_DE) & (area * apart < _FAINT_WEIGHT)
    lost = suspect & np.where(unsure, explained, faint)
    all_but = np.bincount(own, area * lost, 256) > _ALL_BUT * np.bincount(own, area, 256)
    gone = (lost | (suspect & all_but[own]))[piece]
    return _given_away(reading, at[gone], beside[piece[gone]], share[gone])


def _better_itself(
    reading: Reading,
    at: Ints,
    piece: NDArray[np.int32],
    own: NDArray[np.uint8],
    beside: NDArray[np.uint8],
    mean: Floats,
) -> NDArray[np.bool_]:
    """Which pieces their own colour, mixed with one of those beside them, explains far better than these two, (R,)."""
    sides = [_as_mixture(reading, at, np.stack([own, beside[:, k]], axis=1)[piece])[0] for k in (0, 1)]
    area = np.maximum(np.bincount(piece, minlength=len(mean)), 1)
    itself = np.bincount(piece, np.minimum(*sides), len(mean)) / area
    better: NDArray[np.bool_] = (mean > _EXACT) & (itself < _BETTER * mean)
    return better


def _wide(numbered: NDArray[np.int32], asked: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which of the pieces asked for, (R,), hold a square that is wider than any edge."""
    wide = np.zeros_like(asked)
    if asked.any():
        window = np.ones((_EDGE_PX, _EDGE_PX), np.uint8)
        wide[numbered[cv2.erode(asked[numbered].astype(np.uint8), window, borderValue=0) > 0]] = True
    return wide


def _along_rims(numbered: NDArray[np.int32], beside: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Which pieces are one pixel wide and lie between one colour and nothing, (R,)."""
    square = (numbered[1:, 1:] == numbered[:-1, :-1]) & (numbered[1:, :-1] == numbered[:-1, 1:])
    square &= numbered[1:, 1:] == numbered[1:, :-1]
    wide = np.bincount(numbered[1:, 1:][square], minlength=len(beside)) > 0
    return np.asarray(~wide & ((beside == CLEAR).sum(axis=1) == 1))


def _contrast(reading: Reading, own: NDArray[np.uint8], beside: NDArray[np.uint8]) -> Floats:
    """CIEDE2000 from each piece's colour to the nearer of the two beside it."""
    lab = srgb_to_lab(reading.colours)
    known, near = np.minimum(own, len(lab) - 1), np.minimum(beside, len(lab) - 1)
    return np.minimum(ciede2000(lab[known], lab[near[:, 0]]), ciede2000(lab[known], lab[near[:, 1]]))


def _met_most(numbered: NDArray[np.int32], own: NDArray[np.uint8], suspect: NDArray[np.bool_]) -> NDArray[np.uint8]:
    """The two labels each suspect piece shares most edge with (twice the same if it meets one), (R, 2)."""
    shared = np.zeros((len(own), 256))
    for one, two in ((numbered[:, 1:], numbered[:, :-1]), (numbered[1:], numbered[:-1])):
        meets = one != two
        first, second = one[meets], two[meets]
        for here, there in ((first, second), (second, first)):
            ours = suspect[here] & ~suspect[there]
            np.add.at(shared, (here[ours], own[there[ours]]), 1)
    order = np.argsort(-shared, axis=1, kind="stable")[:, :2]
    none = np.take_along_axis(shared, order, axis=1) == 0
    most = np.where(none[:, :1], own[:, None], order[:, :1])
    return np.concatenate([most, np.where(none[:, 1:], most, order[:, 1:])], axis=1).astype(np.uint8)


def _as_mixture(reading: Reading, at: Ints, beside: NDArray[np.uint8]) -> tuple[Floats, Floats]:
    """How far each pixel is off a mixture of the two colours, and the share of the first.

    Where edges overshoot, so may the mixture, as far as sRGB goes.
    """
    turn = metric(compressed=reading.compressed)
    points = reading.rgb.reshape(-1, 3)[at].astype(np.float64)
    one, two = reading.colours[beside[:, 0]], reading.colours[beside[:, 1]]
    if reading.haloed:
        # What was cut off at 0 or 255 tells nothing of how far it was pushed.
        free = (points > CUT_OFF[0]) & (points < CUT_OFF[1])
        way, step = (two - one) * free, (points - one) * free
    else:
        way, step = (two - one) @ turn.T, (points - one) @ turn.T
    along = (step * way).sum(axis=1) / np.maximum((way * way).sum(axis=1), 1e-9)
    beyond = STRONGEST if reading.haloed else 0.0
    tried = [np.clip(along, -beyond, 1 + beyond)]
    if reading.haloed:
        tried += [np.full(len(at), -beyond), np.full(len(at), 1 + beyond)]
    off = [lengths((points - np.clip(one + part[:, None] * (two - one), 0, 255)) @ turn.T) for part in tried]
    best = np.argmin(off, axis=0)
    part, least = np.choose(best, tried), np.choose(best, off)
    if reading.compressed:
        met = np.bitwise_or.reduce(np.left_shift(np.uint32(1), beside), axis=1).astype(np.uint32)
        least = np.minimum(least, bled(points, met, reading.colours, turn))
    return least, 1 - np.clip(part, 0, 1)


def _given_away(reading: Reading, at: Ints, beside: NDArray[np.uint8], share: Floats) -> Reading:
    label, main, other, part = (field.copy() for field in (reading.label, reading.main, reading.other, reading.share))
    more = share >= 0.5
    first, second = np.where(more, beside[:, 0], beside[:, 1]), np.where(more, beside[:, 1], beside[:, 0])
    label.reshape(-1)[at] = main.reshape(-1)[at] = first
    other.reshape(-1)[at] = second
    part.reshape(-1)[at] = np.rint(255 * np.where(more, share, 1 - share)).astype(np.uint8)
    return replace(reading, label=label, main=main, other=other, share=part)
