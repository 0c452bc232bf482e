"""Strokes too thin for a flat interior: found by what the flat colours about them cannot explain."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.colours.flats import MOST_COLOURS, Flats
from analyse.colours.halos import THIN
from analyse.colours.lab import Floats, srgb_to_lab
from analyse.colours.metrics import lengths, metric
from analyse.colours.mixtures import UNEXPLAINED, Mixtures, doubted, misfit_limit, unexplained
from analyse.colours.pieces import longer_sides, pieces

Bytes = NDArray[np.uint8]
Indices = NDArray[np.int64]

_BETTER = 0.5  # another colour explains a pixel if it leaves under this share of the misfit
_NO_WORSE = 1.5  # steps of 255 a simpler explanation may be worse
_BAND_PX = 7  # so long at least
_NEW_DE = 6.0  # a hairline's own colour lies this far from all others
_LEAST_PX = 8  # extreme pixels that agree on a new colour
_SMALL_PX = 8_000  # a picture of fewer has few pixels of anything
_AGREE_DE = 3.0
_MEETING_TIMES = 20  # so many times as many pixels must agree on what may be three colours meeting
_CORE_PX = 4  # pixels with all eight neighbours alike: no edge has them
_ROUGHLY = 0.1  # of a share
_RUN_PX = 6  # a run of like pixels, side by side or corner to corner
_IN_RUNS = 0.5


def with_palette(rgb: Bytes, mixtures: Mixtures, flats: Flats, *, doubt: bool = False) -> Mixtures:
    """Explain what is unexplained, or doubted, by any colour of the palette, mixed with one of those about it."""
    open_ = np.flatnonzero((doubted if doubt else unexplained)(mixtures, flats))
    if not len(open_):
        return mixtures
    at = mixtures.at[open_]
    pixels, colours, turn = rgb.reshape(-1, 3)[at], flats.colours, metric(compressed=flats.compressed)
    about = np.stack([mixtures.main.reshape(-1)[at], mixtures.other.reshape(-1)[at]])
    best, near, label, part = np.full(len(at), np.inf), about[0].copy(), about[0].copy(), np.ones(len(at))
    most = 1 + THIN if mixtures.haloed else 1.0
    for side in about:
        base = colours[side]
        for candidate in range(len(colours)):
            way = colours[candidate] - base
            turned = way @ turn.T
            along = np.einsum("ij,ij->i", (pixels - base) @ turn.T, turned) / np.maximum(lengths(turned) ** 2, 1e-9)
            along = np.clip(along, 0, most)
            reached = np.clip(base + along[:, None] * way, 0, 255)
            off = lengths((pixels - reached) @ turn.T)
            better = off < best - 1e-6
            best[better], near[better], label[better] = off[better], side[better], candidate
            part[better] = np.minimum(along[better], 1)
    found = best < _BETTER * mixtures.misfit[open_]
    more = part > 0.5
    main, other = mixtures.main.copy(), mixtures.other.copy()
    share, misfit = mixtures.share.copy(), mixtures.misfit.copy()
    main.reshape(-1)[at[found]] = np.where(more, label, near)[found]
    other.reshape(-1)[at[found]] = np.where(more, near, label)[found]
    share.reshape(-1)[at[found]] = np.rint(255 * np.where(more, part, 1 - part)[found])
    misfit[open_[found]] = best[found]
    thin = mixtures.thin.copy()
    thin[open_[found]] = True
    return replace(mixtures, main=main, other=other, share=share, misfit=misfit, thin=thin)


def with_bands(bare: Mixtures, mixtures: Mixtures, rgb: Bytes, flats: Flats) -> Mixtures:
    """The mixtures with runs of pixels that one more colour of the palette explains at least as well as what edges do.

    bare: the mixtures of near colours, before anything was put down to edges. A band of a known colour between two
    others is seldom wide enough to be flat, and three colours with a little of the right one come near any pixel.
    """
    open_ = doubted(bare, flats)
    if not open_.any():
        return mixtures
    tried = with_palette(rgb, bare, flats, doubt=True)
    label = tried.main.reshape(-1)[tried.at]
    band = tried.thin & (tried.misfit < mixtures.misfit + _NO_WORSE)
    band &= (label != bare.main.reshape(-1)[bare.at]) & (label != bare.other.reshape(-1)[bare.at])
    band &= _in_runs(label, tried.at, band, flats.seeds.shape[1])
    at = tried.at[band]
    main, other, share = (field.copy() for field in (mixtures.main, mixtures.other, mixtures.share))
    for field, theirs in ((main, tried.main), (other, tried.other), (share, tried.share)):
        field.reshape(-1)[at] = theirs.reshape(-1)[at]
    misfit = np.where(band, tried.misfit, mixtures.misfit)
    return replace(mixtures, main=main, other=other, share=share, misfit=misfit, thin=mixtures.thin | band)


def _in_runs(label: Bytes, at: Indices, counted: NDArray[np.bool_], wide: int) -> NDArray[np.bool_]:
    """Which of the pixels `at` lie among counted ones of their own label that run on for _BAND_PX, (N,)."""
    found = np.zeros(len(at), dtype=bool)
    for index in np.unique(label[counted]).tolist():
        own = np.flatnonzero(counted & (label == index))
        piece = pieces(at[own], wide)
        found[own] = (longer_sides(at[own], wide, piece) >= _BAND_PX)[piece]
    return found


def new_colours(rgb: Bytes, mixtures: Mixtures, flats: Flats) -> Floats:
    """Colours of hairlines that the palette does not hold, (N, 3) sRGB."""
    open_ = unexplained(mixtures, flats)
    if open_.sum() < _LEAST_PX:
        return np.empty((0, 3))
    height = np.zeros(mixtures.main.shape, np.float32)
    height.reshape(-1)[mixtures.at[open_]] = mixtures.misfit[open_]
    extreme = (height > 0) & (height >= 0.98 * cv2.dilate(height, np.ones((3, 3), np.uint8)))
    points = rgb[extreme].astype(np.float64)
    lab, known = srgb_to_lab(points), srgb_to_lab(flats.colours)
    noise = 1 if mixtures.main.size < _SMALL_PX else 8 if mixtures.haloed else 4 if flats.compressed else 1
    least = _LEAST_PX * noise
    found: list[Floats] = []
    free = ciede2000(lab[:, None], known[None]).min(axis=1) > _NEW_DE
    while free.sum() >= least and len(found) + len(known) < MOST_COLOURS:
        cells, counts = np.unique(np.floor(lab[free] / 4), axis=0, return_counts=True)
        middle = (cells[int(np.argmax(counts))] + 0.5) * 4
        near = free & (ciede2000(lab, middle) < 2 * _AGREE_DE)
        if near.sum() < least:
            break
        free &= ciede2000(lab, middle) > _NEW_DE
        mask = _alike(rgb, mixtures, open_, middle)
        if not _hangs_together(mask):
            continue
        colour = np.median(points[near], axis=0)
        if near.sum() < _MEETING_TIMES * _LEAST_PX and not _has_core(mask) and _is_meeting(colour, flats.colours):
            continue
        found.append(colour)
        free &= ciede2000(lab, srgb_to_lab(colour)) > 2 * _NEW_DE
    return np.array(found).reshape(-1, 3)


def _is_meeting(colour: Floats, colours: Floats) -> bool:
    """Whether a colour, (3,), is a mixture of three known ones: what pixels show where these meet."""
    for three in combinations(range(len(colours)), 3):
        first, second, third = colours[list(three)]
        sides = np.stack([second - first, third - first], axis=1)
        parts, *_ = np.linalg.lstsq(sides, colour - first, rcond=None)
        inside = parts.min() > -_ROUGHLY and parts.sum() < 1 + _ROUGHLY
        if inside and np.sqrt(((first + sides @ parts - colour) ** 2).mean()) < UNEXPLAINED:
            return True
    return False


def with_seeds(rgb: Bytes, mixtures: Mixtures, flats: Flats, more: Floats) -> Flats:
    """The flats with `more` colours, (N, 3), and as their seeds the pixels that these explain far better."""
    turn = metric(compressed=flats.compressed)
    points = rgb.reshape(-1, 3)[mixtures.at] @ turn.T
    apart = np.sqrt(((points[:, None] - more @ turn.T) ** 2).sum(axis=2))
    nearest = np.argmin(apart, axis=1)
    off = apart[np.arange(len(nearest)), nearest]
    sure = (off < misfit_limit(mixtures, flats)) & (off < _BETTER * mixtures.misfit)
    seeds = flats.seeds.copy()
    seeds.reshape(-1)[mixtures.at[sure]] = len(flats.colours) + nearest[sure]
    pixels = rgb.reshape(-1, 3)[mixtures.at]
    # What was found at the extremes lies a little beyond the colour itself; its seeds agree on the colour.
    true = [
        np.median(pixels[own], axis=0) if (own := sure & (nearest == k)).any() else more[k] for k in range(len(more))
    ]
    return replace(flats, colours=np.concatenate([flats.colours, np.array(true)]), seeds=seeds)


def _alike(rgb: Bytes, mixtures: Mixtures, open_: NDArray[np.bool_], lab: Floats) -> Bytes:
    """The unexplained pixels near one colour, (H, W), 1 or 0."""
    at = mixtures.at[open_]
    near = ciede2000(srgb_to_lab(rgb.reshape(-1, 3)[at]), lab) < 3 * _AGREE_DE
    mask = np.zeros(mixtures.main.shape, np.uint8)
    mask.reshape(-1)[at[near]] = 1
    return mask


def _hangs_together(mask: Bytes) -> bool:
    """Whether most of the pixels lie in runs, as those of a stroke do."""
    area = np.bincount(pieces(np.flatnonzero(mask), mask.shape[1]))
    return bool(area[area >= _RUN_PX].sum() > _IN_RUNS * area.sum())


def _has_core(mask: Bytes) -> bool:
    """Whether the pixels are wider than an edge between colours could be."""
    return int(np.asarray(cv2.erode(mask, np.ones((3, 3), np.uint8), borderValue=0)).sum()) >= _CORE_PX
