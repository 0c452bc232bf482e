"""Edge pixels as mixtures of the flat colours about them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.flats import UNLABELLED, Flats
from analyse.colours.lab import Floats
from analyse.colours.metrics import lengths, metric

Bytes = NDArray[np.uint8]
Bits = NDArray[np.unsignedinteger[Any]]
Indices = NDArray[np.int64]

REACHES_PX = (2, 3, 5, 8, 13, 21, 34)  # how far a pixel looks for the colours it may be a mixture of
UNEXPLAINED = 10.0  # steps of 255 a mixture is off where something else must lie in the pixel; clean art
_DOUBTED = 2.5  # steps of 255 a mixture in clean art is off where another may be nearer
_TIMES_NOISE = 3.0  # and this many times the spread of its flat pixels
_TIMES_USUAL = 2.5  # in noisy art: this many times the usual misfit
_FAR_OFF = 30.0  # and no more: where most of what is not flat has no colour near, the usual misfit says nothing
_PAIRS_OF = 5  # of more colours about, only the nearest this many are mixed
_FEW = 0.25  # of the picture's pixels: fewer to look at are looked up one by one
_FAR_PX = 8  # farther away one looks only for want of any colour
_FITS = 10.0  # steps of 255 a mixture may be off before one looks farther


@dataclass(frozen=True, slots=True, eq=False)
class Mixtures:
    """What each pixel is made of.

    main, other: (H, W) labels; share: (H, W) of main, 128..255 of 255. at: (N,) flat index of the pixels that were
    not flat; misfit: (N,) how far each is from its mixture, steps of 255. thin: (N,) whether one of its colours has
    no flat pixel near. rough: how many pixels were not flat at first, before flat colours ran on into some. haloed:
    whether edges overshoot, as sharpening makes them.
    """

    main: Bytes
    other: Bytes
    share: Bytes
    at: Indices
    misfit: Floats
    thin: NDArray[np.bool_]
    rough: int
    haloed: bool = False


def mix(rgb: Bytes, flats: Flats, *, rough: int) -> Mixtures:
    """Explain every pixel that is not flat as a mixture of two flat colours near it."""
    seeds = flats.seeds
    at = np.flatnonzero(seeds == UNLABELLED)
    main, other = seeds.copy(), seeds.copy()
    share = np.full(seeds.shape, 255, np.uint8)
    misfit = np.zeros(len(at))
    _mix_at(rgb, flats, at, (main, other, share, misfit), np.arange(len(at)))
    return Mixtures(main, other, share, at, misfit, np.zeros(len(at), dtype=bool), rough)


def _mix_at(rgb: Bytes, flats: Flats, at: Indices, into: tuple[Bytes, Bytes, Bytes, Floats], places: Indices) -> None:
    """Explain the pixels `at`: main, other and share, (H, W), and misfit at `places`, are written where they are."""
    if not len(at):
        return
    main, other, share, misfit = into
    turn = metric(compressed=flats.compressed)
    points = rgb.reshape(-1, 3)[at].astype(np.float64) @ turn.T
    first, second, part, misfit[places] = _explain(points, flats, at, flats.colours @ turn.T)
    main.reshape(-1)[at], other.reshape(-1)[at] = first, second
    share.reshape(-1)[at] = np.rint(255 * part)


def mixed_anew(rgb: Bytes, flats: Flats, before: Mixtures, seeds: Bytes) -> Mixtures:
    """`mix`, but from the mixtures `before`, made with other seeds: only what lies near new ones is asked again."""
    new = (flats.seeds != seeds).astype(np.uint8)
    near = cv2.dilate(new, np.ones((2 * _FAR_PX + 1, 2 * _FAR_PX + 1), np.uint8)).reshape(-1)[before.at] > 0
    left = flats.seeds.reshape(-1)[before.at] == UNLABELLED
    at, misfit, again = before.at[left], before.misfit[left], np.flatnonzero(near[left])
    main, other, share = before.main.copy(), before.other.copy(), before.share.copy()
    found = new > 0
    main[found] = other[found] = flats.seeds[found]
    share[found] = 255
    _mix_at(rgb, flats, at[again], (main, other, share, misfit), again)
    return Mixtures(main, other, share, at, misfit, np.zeros(len(at), dtype=bool), before.rough)


def unexplained(mixtures: Mixtures, flats: Flats) -> NDArray[np.bool_]:
    """Which of `mixtures.at` no mixture of the colours about them explains, (N,)."""
    return mixtures.misfit > misfit_limit(mixtures, flats)


def doubted(mixtures: Mixtures, flats: Flats) -> NDArray[np.bool_]:
    """Which of `mixtures.at` the palette might explain better, (N,): in clean art a mixture is exact."""
    limit = misfit_limit(mixtures, flats)
    return mixtures.misfit > (limit if flats.compressed else min(limit, max(_DOUBTED, _TIMES_NOISE * flats.noise)))


def misfit_limit(mixtures: Mixtures, flats: Flats) -> float:
    """How far, in steps of 255, a pixel may be off a mixture that explains it: more where compression shows."""
    if flats.compressed and len(mixtures.misfit):
        return min(max(UNEXPLAINED, _TIMES_USUAL * float(np.median(mixtures.misfit))), _FAR_OFF)
    return UNEXPLAINED


def seeds_within(flats: Flats, at: Indices, reach_px: int) -> Bits:
    """The labels of seeds within `reach_px`, one of REACHES_PX, of the pixels `at`, as bits."""
    place = REACHES_PX.index(reach_px)
    if place not in flats.about and len(at) * (2 * reach_px + 1) ** 2 < _FEW * flats.seeds.size:
        return _gathered(_seed_bits(flats, -1), at, reach_px).astype(np.uint32)
    return _seed_bits(flats, place).reshape(-1)[at].astype(np.uint32)


def _gathered(bits: Bits, at: Indices, reach_px: int) -> Bits:
    """The bits of all within `reach_px` of each of a few pixels."""
    high, wide = bits.shape
    y, x = np.divmod(at, wide)
    steps = range(-reach_px, reach_px + 1)
    rows = [np.clip(y + step, 0, high - 1) * wide for step in steps]
    columns = [np.clip(x + step, 0, wide - 1) for step in steps]
    found, flat = np.zeros(len(at), bits.dtype), bits.reshape(-1)
    for row in rows:
        for column in columns:
            found |= flat[row + column]
    return found


def _seed_bits(flats: Flats, place: int) -> Bits:
    """The labels of seeds within a reach of every pixel, (H, W), kept with the flats."""
    if place < 0 and place in flats.about:
        return flats.about[place]
    if place < 0:
        flats.about[place] = _as_bits(flats.seeds, len(flats.colours))
        return flats.about[place]
    if place not in flats.about:
        nearer = REACHES_PX[place - 1] if place else 0
        flats.about[place] = _spread(_seed_bits(flats, place - 1), REACHES_PX[place] - nearer)
    return flats.about[place]


def labels_within(labels: Bytes, count: int, at: Indices, reach_px: int) -> NDArray[np.uint32]:
    """Which of `count` labels are found within `reach_px` of the pixels `at`, as bits."""
    return _spread(_as_bits(labels, count), reach_px).reshape(-1)[at].astype(np.uint32)


def _as_bits(labels: Bytes, count: int) -> Bits:
    """Each label under `count` as a bit of as short a number as holds them all; other labels as none."""
    size = 1 if count <= 8 else 2 if count <= 16 else 4
    table = np.zeros(256, np.dtype(f"u{size}"))
    table[:count] = 1 << np.arange(count)
    # OpenCV knows 32 bits with a sign only.
    return np.asarray(cv2.LUT(labels, table.view(np.int32) if size == 4 else table)).view(table.dtype)


def _spread(bits: Bits, steps: int) -> Bits:
    """Each pixel's bits joined with those of all within `steps` of it."""
    wide, spare = bits.copy(), np.empty_like(bits)
    done = 0
    while done < steps:
        step = min(steps - done, max(1, done))
        done += step
        for axis in (0, 1):
            ahead = [slice(None), slice(None)]
            behind = [slice(None), slice(None)]
            ahead[axis], behind[axis] = slice(step, None), slice(None, -step)
            np.copyto(spare, wide)
            spare[tuple(ahead)] |= wide[tuple(behind)]
            spare[tuple(behind)] |= wide[tuple(ahead)]
            wide, spare = spare, wide
    return wide


def _explain(points: Floats, flats: Flats, at: Indices, colours: Floats) -> tuple[Bytes, Bytes, Floats, Floats]:
    """Main label, other label, share of main and misfit of each point, from the nearest seeds that explain it."""
    count = len(points)
    main, other = np.zeros(count, np.uint8), np.zeros(count, np.uint8)
    share, misfit = np.ones(count), np.full(count, np.inf)
    todo = np.arange(count)
    for reach in REACHES_PX:
        if reach > _FAR_PX:
            todo = todo[np.isinf(misfit[todo])]
            if not len(todo):
                break
        bits = seeds_within(flats, at[todo], reach)
        ready = bits != 0
        for pattern, alike in grouped(bits[ready], todo[ready]):
            labels = [label for label in range(len(colours)) if pattern >> label & 1]
            found = _best_pair(points[alike], labels, colours)
            better = found[3] < misfit[alike] - 1.0
            own = alike[better]
            main[own], other[own], share[own], misfit[own] = (column[better] for column in found)
        todo = todo[misfit[todo] > _FITS]
        if not len(todo):
            break
    return main, other, share, misfit


def grouped(patterns: Bits, members: Indices) -> list[tuple[int, Indices]]:
    """The members that have each pattern."""
    order = np.argsort(patterns, kind="stable")
    values, first = np.unique(patterns[order], return_index=True)
    return list(zip(values.tolist(), np.split(members[order], first[1:]), strict=True)) if len(values) else []


def _best_pair(points: Floats, labels: list[int], colours: Floats) -> tuple[Bytes, Bytes, Floats, Floats]:
    """The pair of `labels` whose mixture comes nearest to each point."""
    if len(labels) > _PAIRS_OF:
        apart = [float(lengths(points - colours[label]).min()) for label in labels]
        labels = sorted(np.array(labels)[np.argsort(apart, kind="stable")[:_PAIRS_OF]].tolist())
    first = labels[0]
    misfit = lengths(points - colours[first])
    main = np.full(len(points), first, np.uint8)
    other, share = main.copy(), np.ones(len(points))
    for one, two in combinations(labels, 2):
        way = colours[two] - colours[one]
        along = np.clip((points - colours[one]) @ way / max(float(way @ way), 1e-9), 0, 1)
        off = lengths(points - colours[one] - along[:, None] * way)
        better = off < misfit - 1e-6
        misfit[better] = off[better]
        more = along > 0.5
        main[better] = np.where(more, two, one)[better]
        other[better] = np.where(more, one, two)[better]
        share[better] = np.where(more, along, 1 - along)[better]
    return main, other, share, misfit
