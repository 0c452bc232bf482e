"""The flat interiors of a picture, and the colours they agree on."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.colours.lab import Floats, lab_to_srgb, srgb_to_lab
from analyse.colours.metrics import metric

Bytes = NDArray[np.uint8]

UNLABELLED = 255
MOST_COLOURS = 31  # labels travel as bits of 32

_SPANS = (4, 6, 9, 13, 18, 26)  # steps of 255 that may pass for flat within 3 x 3; the first that is enough
_FLAT_SHARE = 0.85  # of what the widest span would call flat
_AREA_PX = 9  # an edge's smooth foot is narrower
_DITHERED = 0.7  # of an area, that is not flat where it is dithered
_MODE_DE = 2.0  # one colour's own spread in clean art
_NOISY_MODE_DE = 7.0  # below it two colours in compressed art must both have a core
_TWIN_SHARE = 0.15  # and of the two the rarer one so much of the other's flat pixels
_SHIFTED = 6.0  # steps of 255, colour weighted as the file keeps it, that compression may shift one colour by
_CORE_PX = 33  # compression shifts colour by whole blocks of 16 px, 32 px once doubled: a core is wider
_SMALL_PX = 8_000  # a picture of fewer has no room for wide cores
_FULL = 0.02  # share of the pixels that make a colour without any core
_ROUGH_DE, _ROUGH_PX = 10.0, 5  # a colour that only rough pixels show lies so far from the others, amid so many px
_SEED_DE = 4.0  # how far a flat pixel may lie from the colour it stands for
_EDGE = 40  # a span that is an edge for certain
_QUIET_PX = (4, 8)  # from there to there beside edges, clean, soft or sharpened art is flat and a JPEG rings
_FAR_PX = 24  # where no block that holds an edge reaches
_DITHER = 0.3  # of the rough pixels beside edges, that must lie so far away as well
_PALETTE = 256  # colours that a file with a palette may hold
_THINNED = 8  # every so many pixels of a row are asked first
_BANDS = 16  # of rows, in which a core is looked for one by one
_RINGS = 0.1  # share of pixels there that are not flat


@dataclass(frozen=True, slots=True, eq=False)
class Flats:
    """colours: (K, 3) float sRGB. seeds: (H, W) uint8, index of a flat pixel's colour, UNLABELLED elsewhere.

    noise: spread of flat pixels about their colour, in steps of 255. compressed: whether blocks and ringing show.
    about: what has been asked of the seeds within a reach, kept (analyse.colours.mixtures).
    """

    colours: Floats
    seeds: Bytes
    noise: float
    compressed: bool
    about: dict[int, NDArray[np.unsignedinteger[Any]]] = field(default_factory=dict, init=False, repr=False)


def local_span(rgb: Bytes) -> Bytes:
    """Largest difference within 3 x 3, over the channels, (H, W)."""
    window = np.ones((3, 3), np.uint8)
    red, green, blue = cv2.split(cv2.subtract(cv2.dilate(rgb, window), cv2.erode(rgb, window)))
    widest: Bytes = np.asarray(cv2.max(cv2.max(red, green), blue), np.uint8)
    return widest


def find_flats(rgb: Bytes, span: Bytes, *, grainy: bool = False) -> Flats:
    """Find the flat pixels and their colours.

    Parameters: rgb, (H, W, 3); span, (H, W), its `local_span`, 255 where pixels do not count; grainy, whether what
    is left of grain shifts colours as compression does.
    """
    limit, code = _flat_span(span), _coded(rgb)
    compressed = grainy or (is_compressed(span) and not _is_dithered(span, code))
    if not compressed:
        return _flats(rgb, code, span, max(limit, _dither_span(span)), compressed=False)
    found, rough = _flats(rgb, code, span, limit, compressed=True), _span_beside_edges(span)
    return found if rough <= limit else _with_rough(found, rgb, code, span <= rough)


def _flats(rgb: Bytes, code: NDArray[np.int32], span: Bytes, limit: int, *, compressed: bool) -> Flats:
    """The pixels whose span keeps to a limit, and their colours."""
    flat = span <= limit
    counts = np.bincount(code[flat], minlength=1 << 21)
    values = np.flatnonzero(counts)
    counts = counts[values]
    bins = np.stack([values >> 14, values >> 7 & 127, values & 127], axis=1) * 2.0 + 0.5
    if not len(values):
        return Flats(np.empty((0, 3)), np.full(span.shape, UNLABELLED, np.uint8), 0.0, compressed)
    lab = srgb_to_lab(bins)
    member, peaks = _modes(lab, counts, 2 * _MODE_DE if limit > _SPANS[1] else _MODE_DE)
    table = np.full(1 << 21, UNLABELLED, np.uint8)
    table[values] = member
    seeds = np.where(flat, table[code], UNLABELLED).astype(np.uint8)
    weights = np.bincount(member, counts.astype(np.float64), len(peaks)).astype(np.float64)
    means = np.stack([np.bincount(member, counts * lab[:, axis], len(peaks)) for axis in range(3)], axis=1)
    centres = means / weights[:, None]
    kept = _supported(seeds, centres, weights, compressed=compressed)
    apart = ciede2000(lab[:, None], centres[kept][None])
    nearest = np.argmin(apart, axis=1)
    close = apart[np.arange(len(nearest)), nearest] < _SEED_DE + (_MODE_DE if compressed else 0)
    table[values] = np.where(close, nearest, UNLABELLED)
    seeds = np.where(flat, table[code], UNLABELLED).astype(np.uint8)
    colours = _true_colours(rgb, seeds, len(kept))
    used = np.where(close, nearest, -1)
    spread = np.abs(bins - colours[nearest]).max(axis=1)[used >= 0]
    noise = float(np.sqrt(np.average(spread**2, weights=counts[used >= 0]))) if len(spread) else 0.0
    return Flats(colours, seeds, noise, compressed)


def _with_rough(found: Flats, rgb: Bytes, code: NDArray[np.int32], calm: NDArray[np.bool_]) -> Flats:
    """Flats with the colours that only show where compression rings: far from all others, and amid their own."""
    at = np.flatnonzero(calm & (found.seeds == UNLABELLED))
    if not len(at) or not len(found.colours):
        return found
    values, which, counts = np.unique(code.reshape(-1)[at], return_inverse=True, return_counts=True)
    bins = np.stack([values >> 14, values >> 7 & 127, values & 127], axis=1) * 2.0 + 0.5
    lab, steps = srgb_to_lab(bins), (bins[:, None] - found.colours[None]) @ metric(compressed=True).T
    far = ciede2000(lab[:, None], srgb_to_lab(found.colours)[None]).min(axis=1) > _ROUGH_DE
    far &= np.sqrt((steps**2).sum(axis=2)).min(axis=1) > 2 * _SHIFTED
    if not far.any():
        return found
    group = np.full(len(values), UNLABELLED, np.uint8)
    group[far], peaks = _modes(lab[far], counts[far], 2 * _MODE_DE)
    seeds = np.full(found.seeds.shape, UNLABELLED, np.uint8)
    seeds.reshape(-1)[at] = group[which]
    more = [k for k in range(len(peaks)) if _has_core(seeds, k, _ROUGH_PX)][: MOST_COLOURS - len(found.colours)]
    colours = [np.median(rgb[seeds == k], axis=0) for k in more]
    place = np.full(256, UNLABELLED, np.uint8)
    place[more] = len(found.colours) + np.arange(len(more))
    seeds = np.where(found.seeds == UNLABELLED, place[seeds], found.seeds)
    return replace(found, colours=np.vstack([found.colours, *colours]), seeds=seeds)


def counted(values: Bytes) -> NDArray[np.int64]:
    """How often each value 0..255 is found in (H, W), (256,)."""
    counts: NDArray[np.int64] = cv2.calcHist([values], [0], None, [256], [0, 256]).ravel().astype(np.int64)
    return counts


def _flat_span(span: Bytes) -> int:
    """The least of _SPANS that calls enough flat of what the widest would."""
    shares = np.cumsum(counted(span))
    return next(step for step in _SPANS if shares[step] >= _FLAT_SHARE * shares[_SPANS[-1]])


def _span_beside_edges(span: Bytes) -> int:
    """The least of _SPANS where compression rings: a wide plain ground would speak for all that is drawn on it."""
    near = span[_edges_within(span, _FAR_PX)]
    return _flat_span(near[None]) if len(near) else _SPANS[0]


def _dither_span(span: Bytes) -> int:
    """The least of _SPANS that leaves no area of small steps: such an area is dither, wider than any edge."""
    for step in _SPANS[:-1]:
        rough = ((span > step) & (span <= _SPANS[-1])).astype(np.float32)
        if (cv2.blur(rough, (_AREA_PX, _AREA_PX)) > _DITHERED).sum() < _AREA_PX**2:
            return step
    return _SPANS[-1]


def is_compressed(span: Bytes) -> bool:
    """Whether the ground rings a few pixels away from edges, as blocks of a JPEG do."""
    beside = span[_edges_within(span, _QUIET_PX[1]) & ~_edges_within(span, _QUIET_PX[0])]
    return bool(len(beside) and _rough(beside).mean() > _RINGS)


def _edges_within(span: Bytes, reach_px: int) -> NDArray[np.bool_]:
    """The pixels with an edge within `reach_px`."""
    window = np.ones((2 * reach_px + 1, 2 * reach_px + 1), np.uint8)
    near: NDArray[np.bool_] = cv2.dilate((span > _EDGE).astype(np.uint8), window) > 0
    return near


def _rough(span: Bytes) -> NDArray[np.bool_]:
    """Where neither flat nor edge is."""
    rough: NDArray[np.bool_] = (span >= 2) & (span <= _EDGE)
    return rough


def _is_dithered(span: Bytes, code: NDArray[np.int32]) -> bool:
    """Whether a palette's few colours are mixed in areas as well as beside edges: a JPEG is calm far from them."""
    for some in (code[::_THINNED, ::_THINNED], code):
        if np.count_nonzero(np.bincount(some.ravel(), minlength=1 << 21)) > _PALETTE:
            return False
    near, far = _edges_within(span, _QUIET_PX[1]), ~_edges_within(span, _FAR_PX)
    return int(_rough(span[far]).sum()) > _DITHER * int(_rough(span[near & ~_edges_within(span, _QUIET_PX[0])]).sum())


def _coded(rgb: NDArray[np.uint8]) -> NDArray[np.int32]:
    """Seven bits a channel in one number."""
    red, green, blue = (np.asarray(plane, np.uint8) >> 1 for plane in cv2.split(rgb))
    code: NDArray[np.int32] = red.astype(np.int32) << 14
    code |= green.astype(np.int32) << 7
    code |= blue
    return code


def _modes(lab: Floats, counts: NDArray[np.int64], radius: float) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Group bins about the fullest ones: each bin's group, and each group's fullest bin."""
    order = np.argsort(-counts, kind="stable")
    member = np.full(len(lab), -1)
    peaks: list[int] = []
    for peak in order:
        if member[peak] >= 0:
            continue
        free = member < 0
        near = ciede2000(lab[peak], lab[free]) < radius
        member[np.flatnonzero(free)[near]] = len(peaks)
        member[peak] = len(peaks)
        peaks.append(int(peak))
        if len(peaks) == 8 * MOST_COLOURS:
            break
    rest = member < 0
    if rest.any():
        member[rest] = np.argmin(ciede2000(lab[rest][:, None], lab[peaks][None]), axis=1)
    return member, np.array(peaks)


def _supported(seeds: NDArray[np.uint8], lab: Floats, counts: Floats, *, compressed: bool) -> NDArray[np.int64]:
    """The groups that are colours of their own, fullest first."""
    kept: list[int] = []
    room = min(seeds.shape) // 20
    for group in np.argsort(-counts, kind="stable").tolist():
        if len(kept) == MOST_COLOURS:
            break
        apart = ciede2000(lab[group], lab[kept]) if kept else np.array([np.inf])
        nearest, twin = float(apart.min()), kept[int(apart.argmin())] if kept else group
        if not compressed and nearest >= _NOISY_MODE_DE:
            if counts[group] >= 2:
                kept.append(group)
            continue
        alike = compressed and (nearest < _NOISY_MODE_DE or _by_compression(lab[group], lab[twin]))
        if alike and counts[group] < _TWIN_SHARE * counts[twin]:
            continue
        wide = min(_CORE_PX, room) if alike else 3
        wide = wide if seeds.size > _SMALL_PX else min(wide, 1 if nearest > 2 * _NOISY_MODE_DE else 3)
        if nearest >= _MODE_DE and _has_core(seeds, group, wide):
            kept.append(group)
    return np.array(kept or _fullest(lab, counts), dtype=np.int64)


def _has_core(seeds: Bytes, group: int, wide: int) -> bool:
    """Whether a group holds four pixels amid `wide` x `wide` of its own."""
    window, reach, rows = np.ones((wide, wide), np.uint8), wide // 2, -(-len(seeds) // _BANDS)
    found = 0
    for top in range(0, len(seeds), rows):
        first = max(0, top - reach)
        band = (seeds[first : top + rows + reach] == group).astype(np.uint8)
        core = np.asarray(cv2.erode(band, window, borderValue=0))
        found += int(np.count_nonzero(core[top - first : top - first + rows]))
        if found >= 4:
            return True
    return False


def _by_compression(lab: Floats, other: Floats) -> bool:
    """Whether two colours are no farther apart than compression shifts one: little in light, more in colour."""
    step = (lab_to_srgb(lab).astype(np.float64) - lab_to_srgb(other)) @ metric(compressed=True).T
    return bool(np.sqrt((step**2).sum()) < _SHIFTED)


def _fullest(lab: Floats, counts: Floats) -> list[int]:
    """Where no colour has a core: those that hold most, well apart."""
    kept: list[int] = []
    for group in np.argsort(-counts, kind="stable").tolist():
        far = all(float(ciede2000(lab[group], lab[other])) >= 2 * _NOISY_MODE_DE for other in kept)
        if not kept or (far and counts[group] > _FULL * counts.sum() and len(kept) < MOST_COLOURS):
            kept.append(group)
    return kept


def _true_colours(rgb: NDArray[np.uint8], seeds: NDArray[np.uint8], count: int) -> Floats:
    """Each colour's median over its flat pixels (evenly thinned where there are many)."""
    step = 1 if seeds.size < 400_000 else 2
    colours = np.zeros((count, 3))
    labels = np.ascontiguousarray(seeds[::step, ::step])
    for channel in range(3):
        plane = np.ascontiguousarray(rgb[::step, ::step, channel])
        values = cv2.calcHist([labels, plane], [0, 1], None, [256, 256], [0, 256, 0, 256])
        colours[:, channel] = [_median(values[index]) for index in range(count)]
    for index in np.flatnonzero(np.isnan(colours).any(axis=1)):
        colours[index] = np.median(rgb[seeds == index], axis=0)
    return colours


def _median(counts: NDArray[np.float32]) -> float:
    """Median of values 0..255 that were counted; nan of none."""
    below = np.cumsum(counts, dtype=np.int64)
    if not below[-1]:
        return float("nan")
    middle = np.searchsorted(below, [(below[-1] - 1) // 2, below[-1] // 2], side="right")
    return float(middle.mean())
