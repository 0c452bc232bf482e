"""What looks like a colour of its own beside an edge, and is the edge's doing: overshoot and bled colour."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, permutations

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.flats import Flats
from analyse.colours.lab import Floats
from analyse.colours.metrics import lengths, metric
from analyse.colours.mixtures import REACHES_PX, UNEXPLAINED, Mixtures, doubted, grouped, seeds_within, unexplained

Bytes = NDArray[np.uint8]

STRONGEST = 1.2  # of the step across the edge, that sharpening may add on each side
_HALO_SHARE = 0.015  # of all edge pixels that must overshoot before the picture counts as sharpened
_FITS = 0.6  # of the misfit that may be left
LOOK_PX = REACHES_PX[3]  # how far an edge's doings reach
FAR_LOOK_PX = REACHES_PX[4]  # and at most, in soft or sharpened art
BLOCKS_PX = REACHES_PX[6]  # and in compressed art: two blocks of colour, once the picture was doubled
_RINGS = 0.15  # of the step in light across an edge, by which compression and resampling overshoot it
_THROUGH = {False: 0.3, True: 0.45}  # of a pixel, that what lies under two edges may show through; once sharpened
_PAIRS_OF = 4  # colours near a pixel that are tried in pairs
THIN = 0.6  # of the step, by which what has no flat pixel of its own may overshoot
CUT_OFF = (2, 253)  # channel values that may have been cut off
_CLOSE = 3.0  # steps of 255
_AMOUNTS = np.linspace(0, 1, 13)  # of the strongest overshoot, that are tried


def without_edge_effects(
    rgb: Bytes, mixtures: Mixtures, flats: Flats, look_px: int, *, thin_too: bool = False, doubt: bool = False
) -> Mixtures:
    """Explain unexplained pixels by what edges do.

    They overshoot after sharpening; colour bleeds past them; where two lie on each other a third colour shines through.
    thin_too: also by the overshoot of what has no flat pixel near; its label is not told.
    doubt: ask of all that might be explained better, as in clean art.
    """
    open_ = np.flatnonzero(doubted(mixtures, flats) if doubt else unexplained(mixtures, flats))
    if not len(open_):
        return mixtures
    at = mixtures.at[open_]
    pixels = rgb.reshape(-1, 3)[at].astype(np.float64)
    about = seeds_within(flats, at, look_px)
    turn = metric(compressed=flats.compressed)
    misfit, main = mixtures.misfit.copy(), mixtures.main.copy()
    other, share = mixtures.other.copy(), mixtures.share.copy()
    own_labels = np.left_shift(np.uint32(1), main.reshape(-1)[at]) | np.left_shift(np.uint32(1), other.reshape(-1)[at])
    over, beside = _overshoot(pixels, about, about, flats.colours, turn, STRONGEST)
    halo = over < _FITS * misfit[open_]
    haloed = mixtures.haloed or bool(halo.sum() > _HALO_SHARE * mixtures.rough)
    if haloed:
        own = at[halo]
        misfit[open_[halo]] = over[halo]
        main.reshape(-1)[own] = other.reshape(-1)[own] = beside[halo]
        share.reshape(-1)[own] = 255
    near = seeds_within(flats, at, REACHES_PX[3 if haloed else 1])
    left, one, two, part = _shone_through(pixels, near, flats.colours, turn, haloed=haloed)
    seen = left < np.minimum(_FITS * misfit[open_], UNEXPLAINED)
    own = at[seen]
    misfit[open_[seen]] = left[seen]
    main.reshape(-1)[own], other.reshape(-1)[own] = one[seen], two[seen]
    share.reshape(-1)[own] = np.rint(255 * part[seen])
    if haloed and thin_too:
        thin, _ = _overshoot(pixels, np.full_like(about, 0xFFFFFFFF), about | own_labels, flats.colours, turn, THIN)
        misfit[open_] = np.minimum(misfit[open_], thin)
    if flats.compressed:
        misfit[open_] = np.minimum(misfit[open_], bled(pixels, about | own_labels, flats.colours, turn))
    return replace(mixtures, main=main, other=other, share=share, misfit=misfit, haloed=haloed)


def _shone_through(
    pixels: Floats, near: NDArray[np.uint32], colours: Floats, turn: Floats, *, haloed: bool
) -> tuple[Floats, Bytes, Bytes, Floats]:
    """Each pixel as two colours near it and a little of any third: misfit, main and other label, share of main.

    Where two smoothed edges lie on each other, what is under them shows with up to a quarter.
    """
    best, share = np.full(len(pixels), np.inf), np.ones(len(pixels))
    main, other = np.zeros(len(pixels), np.uint8), np.zeros(len(pixels), np.uint8)
    points, known = pixels @ turn.T, colours @ turn.T
    beyond = STRONGEST / 2 if haloed else 0.0
    for pattern, alike in grouped(near, np.arange(len(pixels))):
        labels = [label for label in range(len(colours)) if pattern >> label & 1][:_PAIRS_OF]
        for one, two in combinations(labels, 2):
            for third in (label for label in range(len(colours)) if label not in (one, two)):
                sides = np.stack([known[two] - known[one], known[third] - known[one]], axis=1)
                step = points[alike] - known[one]
                parts = step @ np.linalg.pinv(sides).T
                parts[:, 1] = np.clip(parts[:, 1], -_THROUGH[True] if haloed else 0.0, _THROUGH[haloed])
                along = (step - parts[:, 1:] * sides[:, 1]) @ sides[:, 0] / max(float(sides[:, 0] @ sides[:, 0]), 1e-9)
                parts[:, 0] = np.clip(along, -beyond, 1 - np.maximum(parts[:, 1], 0) + beyond)
                off = lengths(step - parts @ sides.T)
                better = off < best[alike] - 1e-6
                own = alike[better]
                best[own] = off[better]
                second = np.clip(parts[better, 0] / (1 - parts[better, 1]), 0, 1)
                more = second > 0.5
                main[own], other[own] = np.where(more, two, one), np.where(more, one, two)
                share[own] = np.where(more, second, 1 - second)
    return best, main, other, share


def _overshoot(
    pixels: Floats,
    pushed: NDArray[np.uint32],
    about: NDArray[np.uint32],
    colours: Floats,
    turn: Floats,
    strongest: float,
) -> tuple[Floats, Bytes]:
    """Misfit of each pixel as a colour of `pushed` away from one of `about`, cut off at 0 and 255; and that colour."""
    best, beside = np.full(len(pixels), np.inf), np.zeros(len(pixels), np.uint8)
    free = (pixels > CUT_OFF[0]) & (pixels < CUT_OFF[1])
    for one, two in permutations(range(len(colours)), 2):
        places = np.flatnonzero((pushed >> one & 1 & about >> two) == 1)
        if not len(places):
            continue
        step, way = pixels[places] - colours[one], colours[one] - colours[two]
        open_way = way * free[places]
        amount = np.einsum("ij,ij->i", step, open_way) / np.maximum(lengths(open_way) ** 2, 1e-9)
        amount = np.clip(np.where(free[places].any(axis=1), amount, strongest), 0, strongest)
        off = _off(pixels[places], colours[one] + amount[:, None] * way, turn)
        # Where a channel was cut off, more may have been cut than the others tell.
        cut = np.flatnonzero((off > _CLOSE) & ~free[places].all(axis=1))
        for more in _AMOUNTS * strongest:
            off[cut] = np.minimum(off[cut], _off(pixels[places[cut]], colours[one] + more * way, turn))
        better = off < best[places]
        best[places[better]], beside[places[better]] = off[better], one
    return best, beside


def _off(pixels: Floats, reached: Floats, turn: Floats) -> Floats:
    """Distance of each pixel from what it should have reached, cut off at 0 and 255."""
    return lengths((pixels - np.clip(reached, 0, 255)) @ turn.T)


def bled(pixels: Floats, about: NDArray[np.uint32], colours: Floats, turn: Floats) -> Floats:
    """Misfit of each pixel if its light and its colour may be mixed in different shares (4:2:0 JPEG).

    Light may be anything between the colours about, and a little beyond; colour anything that these mix to.
    """
    best = np.full(len(pixels), np.inf)
    points, known = pixels @ turn.T, colours @ turn.T
    for pattern, alike in grouped(about, np.arange(len(pixels))):
        labels = [label for label in range(len(colours)) if pattern >> label & 1]
        if len(labels) < 2:
            continue
        low, high = known[labels, 0].min(), known[labels, 0].max()
        rings = _RINGS * (high - low)
        light = points[alike, 0] - np.clip(points[alike, 0], low - rings, high + rings)
        chroma = _from_hull(points[alike, 1:], known[labels, 1:])
        best[alike] = np.hypot(light, chroma)
    return best


def _from_hull(points: Floats, corners: Floats) -> Floats:
    """Distance of points, (N, 2), from the convex hull of corners, (K, 2); 0 inside."""
    hull = np.asarray(cv2.convexHull(corners.astype(np.float32)), np.float64).reshape(-1, 2)
    outside, inside = np.full(len(points), np.inf), np.ones(len(points), dtype=bool)
    for one, two in zip(hull, np.roll(hull, -1, axis=0), strict=True):
        way, step = two - one, points - one
        along = np.clip(step @ way / max(float(way @ way), 1e-9), 0, 1)
        outside = np.minimum(outside, np.sqrt(((step - along[:, None] * way) ** 2).sum(axis=1)))
        inside &= way[0] * step[:, 1] - way[1] * step[:, 0] >= 0
    flat = abs(float(cv2.contourArea(hull.astype(np.float32)))) < 1.0
    return np.where(inside & (not flat), 0.0, outside)
