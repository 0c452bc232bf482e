"""What looks like a colour of its own beside an edge, and is the edge's doing: overshoot and bled colour."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analyse.colours.flats import Flats
from analyse.colours.lab import Floats
from analyse.colours.mixtures import REACHES_PX, Mixtures, metric, seeds_within, unexplained

Bytes = NDArray[np.uint8]

STRONGEST = 1.2  # of the step across the edge, that sharpening may add on each side
_HALO_SHARE = 0.015  # of all edge pixels that must overshoot before the picture counts as sharpened
_FITS = 0.6  # of the misfit that may be left
LOOK_PX = REACHES_PX[3]  # how far an edge's doings reach
FAR_LOOK_PX = REACHES_PX[4]  # and at most, in soft or sharpened art
_ENDS = (2, 253)  # channel values that may have been cut off


def without_edge_effects(rgb: Bytes, mixtures: Mixtures, flats: Flats, look_px: int = LOOK_PX) -> Mixtures:
    """Explain unexplained pixels by what edges do: overshoot after sharpening; colour that bled past its edge."""
    open_ = np.flatnonzero(unexplained(mixtures, flats))
    if not len(open_):
        return mixtures
    at = mixtures.at[open_]
    pixels = rgb.reshape(-1, 3)[at].astype(np.float64)
    about = seeds_within(flats.seeds, at, look_px)
    turn = metric(compressed=flats.compressed)
    misfit, main = mixtures.misfit.copy(), mixtures.main.copy()
    other, share = mixtures.other.copy(), mixtures.share.copy()
    over, beside = _overshoot(pixels, about, flats.colours, turn)
    halo = over < _FITS * misfit[open_]
    haloed = mixtures.haloed or bool(halo.sum() > _HALO_SHARE * len(mixtures.at))
    if haloed:
        own = at[halo]
        misfit[open_[halo]] = over[halo]
        main.reshape(-1)[own] = other.reshape(-1)[own] = beside[halo]
        share.reshape(-1)[own] = 255
    if flats.compressed:
        misfit[open_] = np.minimum(misfit[open_], _bled(pixels, about, flats.colours, turn))
    return replace(mixtures, main=main, other=other, share=share, misfit=misfit, haloed=haloed)


def _overshoot(pixels: Floats, about: NDArray[np.uint32], colours: Floats, turn: Floats) -> tuple[Floats, Bytes]:
    """Misfit of each pixel as a colour about it pushed away from another, cut off at 0 and 255; and that colour."""
    best, beside = np.full(len(pixels), np.inf), np.zeros(len(pixels), np.uint8)
    free = (pixels > _ENDS[0]) & (pixels < _ENDS[1])
    for one in range(len(colours)):
        for two in range(len(colours)):
            both = (about >> one & 1 & about >> two) == 1
            if one == two or not both.any():
                continue
            way = (colours[one] - colours[two]) * free[both]
            amount = ((pixels[both] - colours[one]) * way).sum(axis=1) / np.maximum((way * way).sum(axis=1), 1e-9)
            amount = np.where(free[both].any(axis=1), amount, STRONGEST)
            reached = colours[one] + np.clip(amount, 0, STRONGEST)[:, None] * (colours[one] - colours[two])
            off = np.sqrt((((pixels[both] - np.clip(reached, 0, 255)) @ turn.T) ** 2).sum(axis=1))
            places = np.flatnonzero(both)
            better = off < best[places]
            best[places[better]], beside[places[better]] = off[better], one
    return best, beside


def _bled(pixels: Floats, about: NDArray[np.uint32], colours: Floats, turn: Floats) -> Floats:
    """Misfit of each pixel if its light and its colour may be mixed in different shares (4:2:0 JPEG)."""
    best = np.full(len(pixels), np.inf)
    points, known = pixels @ turn.T, colours @ turn.T
    for one in range(len(colours)):
        for two in range(one + 1, len(colours)):
            both = np.flatnonzero((about >> one & 1 & about >> two) == 1)
            way = known[two] - known[one]
            step = points[both] - known[one]
            light = step[:, 0] - np.clip(step[:, 0], min(0.0, way[0]), max(0.0, way[0]))
            part = np.clip(step[:, 1:] @ way[1:] / max(float(way[1:] @ way[1:]), 1e-9), 0, 1)
            chroma = step[:, 1:] - part[:, None] * way[1:]
            best[both] = np.minimum(best[both], np.sqrt(light**2 + (chroma**2).sum(axis=1)))
    return best
