"""Gradients and soft shading, told from flat colour, and the few flat steps a person would cut them into."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.colours.flats import is_compressed
from analyse.colours.lab import Floats, lab_to_srgb, srgb_to_lab
from analyse.colours.metrics import metric
from analyse.colours.names import colour

Bytes = NDArray[np.uint8]
Bools = NDArray[np.bool_]

_SHRUNK = 4  # worked on at a quarter: noise averages out
SMOOTH_SPAN = 10  # steps of 255 within 3 x 3 that a gradient may have
_LOOKS = (3, 6, 12)  # shrunk px either side over which a slope adds up
_SLOPE = 2.5  # steps of 255 over such a look that are no noise
_LEAST_PX = 60  # shrunk px of a gradient
_WHOLE = 0.35  # sloping share of a smooth area that makes all of it a gradient
_STILL = 0.5  # share of an area without any change, above which it is flat colours rather than a gradient
_JUMP = 3  # if it changes by so many steps of 255 at once where it does
_PATCHES = 24  # and by no more colours: a gradient in bands has more
_FLAT_DE = 5.0  # end to end, up to which one colour will do
_NOISE_DE = {False: 2.5, True: 8.0}  # end to end, what no noise reaches; in compressed art
_NOISE_STEPS = 10.0  # nor in steps of 255, colour weighted as the file keeps it: near black little looks like much
_STEP_DE = 14.0  # end to end of one step
_MOST_STEPS = 5
_SAME_DE = 8.0  # ends this near: the same gradient used again
_GROWN_PX = 3 * _SHRUNK  # what the shrunk picture leaves out along edges
_LLOYD = 12  # rounds of moving the steps' colours
_SAMPLES = 4000


@dataclass(frozen=True, slots=True, eq=False)
class Gradient:
    """mask: (H, W), its pixels. steps: (n, 3) sRGB colours from end to end. span: CIEDE2000 between the ends."""

    mask: Bools
    steps: Floats
    span: float
    text: str


def find_gradients(rgb: Bytes, span: Bytes) -> list[Gradient]:
    """The gradients of a picture, (H, W, 3), largest first.

    Parameters: span, (H, W), its `local_span`, 255 where pixels do not count.
    """
    high, wide = (size // _SHRUNK for size in rgb.shape[:2])
    if min(high, wide) < 2 * _LOOKS[0]:
        return []
    dilated = cv2.dilate(span, np.ones((_SHRUNK, _SHRUNK), np.uint8), anchor=(0, 0))[::_SHRUNK, ::_SHRUNK]
    widest: Bytes = np.asarray(dilated[:high, :wide], np.uint8)
    smooth = widest <= SMOOTH_SPAN
    small = shrunk(rgb, high, wide)
    sloping = _sloping(small.astype(np.int16), smooth)
    if sloping.sum() < _LEAST_PX:
        return []
    areas = [area for area in _areas(smooth, sloping) if not _is_patchwork(small[area], widest[area])]
    groups: list[tuple[Bools, Floats]] = []
    for area in areas:
        ends = _ends(srgb_to_lab(small[area]))
        same = [at for at, (_, known) in enumerate(groups) if _as_near(ends, known)]
        if same:
            groups[same[0]] = (groups[same[0]][0] | area, groups[same[0]][1])
        else:
            groups.append((area, ends))
    compressed = is_compressed(span)
    everywhere = (span <= SMOOTH_SPAN).astype(np.uint8)
    return [
        _gradient(small, area, ends, everywhere)
        for area, ends in groups
        if float(ciede2000(ends[0], ends[1])) > _NOISE_DE[compressed] and not (compressed and _by_compression(ends))
    ]


def _is_patchwork(pixels: Bytes, widest: Bytes) -> bool:
    """Whether an area is a few flat colours hardly apart: still, (N, 3), wherever it does not jump."""
    still = widest == 0
    if still.mean() < _STILL or still.all() or np.median(widest[~still]) < _JUMP:
        return False
    kinds = np.unique(pixels[still], axis=0, return_counts=True)[1]
    return int((kinds > 1).sum()) <= _PATCHES


def _by_compression(ends: Floats) -> bool:
    """Whether two colours, (2, 3) Lab, differ so little in what a compressed file keeps that it may have made both."""
    dark, light = lab_to_srgb(ends).astype(np.float64)
    return float(np.sqrt((((light - dark) @ metric(compressed=True).T) ** 2).sum())) < _NOISE_STEPS


def shrunk(rgb: Bytes, high: int, wide: int) -> Bytes:
    """The picture at a quarter, by averaging."""
    small: Bytes = np.asarray(
        cv2.resize(rgb[: high * _SHRUNK, : wide * _SHRUNK], (wide, high), interpolation=cv2.INTER_AREA), np.uint8
    )
    return small


def on_the_way(colours: Floats, gradient: Gradient) -> Floats:
    """How far, in Lab, each colour, (K, 3) sRGB, lies from the way the gradient takes from step to step."""
    lab, steps = srgb_to_lab(colours), srgb_to_lab(gradient.steps)
    nearest: Floats = np.sqrt(((lab[:, None] - steps) ** 2).sum(axis=2)).min(axis=1)
    for one, two in pairwise(steps):
        way = two - one
        along = np.clip((lab - one) @ way / max(float(way @ way), 1e-9), -1.2, 2.2)
        nearest = np.minimum(nearest, np.sqrt(((lab - one - along[:, None] * way) ** 2).sum(axis=1)))
    return nearest


def _sloping(small: NDArray[np.int16], smooth: Bools) -> Bools:
    """Where colour changes steadily over a stretch that is smooth all along."""
    found = np.zeros_like(smooth)
    planes = [np.ascontiguousarray(small[..., channel]) for channel in range(3)]
    for axis in (0, 1):
        length = smooth.shape[axis]
        for look in _LOOKS:
            if length <= 2 * look:
                continue
            window = np.ones((2 * look + 1, 1) if axis == 0 else (1, 2 * look + 1), np.uint8)
            clear = cv2.erode(smooth.astype(np.uint8), window, borderValue=0) > 0
            middle = [slice(None), slice(None)]
            middle[axis] = slice(look, length - look)
            behind, ahead = list(middle), list(middle)
            behind[axis], ahead[axis] = slice(length - 2 * look), slice(2 * look, length)
            shape = clear[tuple(middle)].shape
            most, both = np.zeros(shape, np.int16), np.zeros(shape, np.int32)
            for plane in planes:
                one, two = plane[tuple(middle)] - plane[tuple(behind)], plane[tuple(ahead)] - plane[tuple(middle)]
                np.maximum(most, np.abs(one + two), out=most)
                both += one.astype(np.int32) * two
            # A step has all its change on one side; a slope has some on both.
            steady = (most >= _SLOPE) & (both > 0)
            found[tuple(middle)] |= steady & clear[tuple(middle)]
    return found


def _areas(smooth: Bools, sloping: Bools) -> list[Bools]:
    """Connected gradient areas, largest first: whole smooth areas that mostly slope, else what slopes."""
    _, pieces = cv2.connectedComponents(smooth.astype(np.uint8), connectivity=4)
    size = np.bincount(pieces.ravel())
    share = np.bincount(pieces[sloping], minlength=len(size)) / np.maximum(size, 1)
    share[0] = 0
    whole = (share >= _WHOLE)[pieces]
    grown = cv2.dilate(sloping.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    mask = whole | (grown & smooth & ~whole)
    count, parts, stats, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=4)
    order = np.argsort(-stats[1:, cv2.CC_STAT_AREA], kind="stable") + 1
    sloped = np.bincount(parts[sloping], minlength=count)
    return [parts == part for part in order.tolist() if sloped[part] >= _LEAST_PX]


def _ends(lab: Floats) -> Floats:
    """(2, 3): the colours at either end of the line through the most spread, the darker one first."""
    centred = lab - lab.mean(axis=0)
    _, _, axes = np.linalg.svd(centred[:: max(1, len(lab) // _SAMPLES)], full_matrices=False)
    along = centred @ axes[0]
    low, high = np.percentile(along, [3, 97])
    ends = np.array([lab[along <= low].mean(axis=0), lab[along >= high].mean(axis=0)])
    return ends if ends[0, 0] <= ends[1, 0] else ends[::-1]


def _as_near(ends: Floats, known: Floats) -> bool:
    return bool((ciede2000(ends, known) < _SAME_DE).all())


def _gradient(small: Bytes, area: Bools, ends: Floats, smooth: Bytes) -> Gradient:
    span = float(ciede2000(ends[0], ends[1]))
    count = 1 if span <= _FLAT_DE else int(np.clip(round(span / _STEP_DE) + 1, 2, _MOST_STEPS))
    pixels = small[area].astype(np.float64)
    lab = srgb_to_lab(pixels)
    every = max(1, len(lab) // _SAMPLES)
    centres = ends[0] + (np.arange(count)[:, None] + 0.5) / count * (ends[1] - ends[0])
    for _ in range(_LLOYD):
        member = np.argmin(((lab[::every, None] - centres) ** 2).sum(axis=2), axis=1)
        centres = np.array(
            [
                lab[::every][member == step].mean(axis=0) if (member == step).any() else centres[step]
                for step in range(count)
            ]
        )
    member = np.argmin(((lab[:, None] - centres) ** 2).sum(axis=2), axis=1)
    steps = np.array([pixels[member == step].mean(axis=0) for step in range(count) if (member == step).any()])
    mask = _grown(area, smooth)
    first, last = colour(steps[0]), colour(steps[-1])
    shape = _shape(lab, area, ends)
    return Gradient(mask, steps, span, f"{shape} from {first.name} to {last.name}, {len(steps)} flat steps")


def _grown(area: Bools, smooth: Bytes) -> Bools:
    """The area at full size, grown to the edges about it through what is smooth."""
    mask = np.zeros(smooth.shape, np.uint8)
    large = np.repeat(np.repeat(area.astype(np.uint8), _SHRUNK, axis=0), _SHRUNK, axis=1)
    mask[: large.shape[0], : large.shape[1]] = large
    for _ in range(_GROWN_PX):
        mask = np.minimum(np.asarray(cv2.dilate(mask, np.ones((3, 3), np.uint8)), np.uint8), smooth)
    return mask > 0


def _shape(lab: Floats, area: Bools, ends: Floats) -> str:
    """Linear gradient, radial gradient, or soft shading: what its colour follows."""
    y, x = np.nonzero(area)
    every = max(1, len(y) // _SAMPLES)
    place = np.stack([x, y], axis=1)[::every].astype(np.float64)
    place = (place - place.mean(axis=0)) / max(1.0, float(place.std()))
    value = (lab[::every] - ends[0]) @ (ends[1] - ends[0])
    terms = {"linear gradient": [place[:, 0], place[:, 1]]}
    terms["radial gradient"] = [*terms["linear gradient"], (place**2).sum(axis=1)]
    for name, columns in terms.items():
        matrix = np.stack([*columns, np.ones(len(place))], axis=1)
        fitted = matrix @ np.linalg.lstsq(matrix, value, rcond=None)[0]
        if ((value - fitted) ** 2).sum() < 0.06 * ((value - value.mean()) ** 2).sum():
            return name
    return "soft shading"
