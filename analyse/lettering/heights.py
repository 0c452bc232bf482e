"""How tall and how heavy the letters of a line are: capitals, small letters, stems."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.lettering.baselines import Baseline, Stand
from analyse.values import Floats
from analyse.widths.measuring import Shape

SMALL = 0.88  # letters under this share of the tallest are the small ones; x-heights lie at 0.65 to 0.8 of capitals
SUNK = 0.12  # a letter that lies no deeper has no descender: where the line bends unseen it is as tall as it is long
MIXED = 0.2  # share of small letters that makes a line mixed case, and at least two of them
LEVEL = 0.02  # an edge this near a letter's end, in letter heights, and
SLOPE = 0.03  # this nearly level, is what its height is taken from: round letters overshoot
ROUND = 0.02  # a letter without such an edge counts as if it had one so long, in letter heights
COVERED = 0.6  # of a level edge between two tips that the letter itself follows, else it stands on one of them
FLAT = 0.5  # a level edge takes so much of its end's width, else it is the crest of something round
EDGED = 0.06  # a letter with shorter level edges at top and bottom is round,
CHORD = 0.1  # if it is at least this wide there,
DEEPEST = 0.022  # and sinks no deeper than this; all in letter heights
CUPPED = 0.009  # a level edge this near the very end is the end: serifs are cupped, and round parts rise more than this
STANDING = 0.67  # the baseline lies where so much of the feet lie below: round ones do, and nothing stands above it
WIDEST = 0.25  # a foot counts as no wider than this: the two feet of an ampersand are no baseline
LEANS = 0.04  # a baseline may lean by so much over the length of the line, in letter heights,
LEAN_STEPS = 20  # found in so many steps each way,
ONE_LEVEL = 0.01  # where bottoms and tops nearer than this are on one level, in letter heights
LEANS_FROM = 4  # of fewer letters nothing can be told
ROUNDED = 0.07  # a round letter, put right, counts as if it had a level edge so long
CLASS = 0.03  # heights of one class are this near each other, in letter heights
UPRIGHT_DEG = (6.0, 20.0)  # runs this near upright are stems; slanted faces have none under the first
ENOUGH = 0.7  # of stem, in letter heights, to measure it on
WORD = 2.0  # a gap this many times the middle one, and
SPACE = 0.2  # this many letter heights, parts words


@dataclass(frozen=True, slots=True)
class Heights:
    """In px. capitals: of the tall letters; small: x-height of mixed case, None where all are tall; smallest: which
    letters are of the smallest class."""

    capitals: float
    small: float | None
    smallest: tuple[bool, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Ends:
    """Bottom or top of letters, (N,), px.

    level: length of its longest level edge; short: how far from the very end it lies. covered: way
    the outline goes near the end. chord: its width there, 0 where there are two ends side by side, as on a U.
    """

    level: Floats
    short: Floats
    covered: Floats
    chord: Floats


def heights(
    outlines: NDArray[np.object_], hulls: Floats, places: Stand, baseline: Baseline, centre: Floats, *, swelling: bool
) -> Heights:
    """Heights of letters in reading order. swelling: the line grows or tapers along its way, so all are one class."""
    tallest = float(places.top.max())
    foot, head = _ends(outlines, hulls, baseline, centre, tallest)
    zero = _zero(places, foot, tallest)
    top, bottom = places.top - zero, places.bottom - zero
    tallest = float(np.sort(top)[-2:].mean())
    small = _small(np.where(bottom > -SUNK * tallest, top - bottom, top))
    if (~small).sum() == 1 and not _starts(places, tallest)[~small].all():
        small[:] = False  # one tall thing inside a word is no capital
    over = _overshoot(bottom, (foot, head), small, tallest)
    weights = _weight(np.where(over > 0, ROUNDED * tallest, head.level), tallest)
    flat = top - np.where(head.level >= EDGED * tallest, head.short, over)
    if swelling or small.sum() < 2 or small.mean() < MIXED:
        keep = ~small if not swelling and (~small).any() else np.ones(len(top), dtype=bool)
        return Heights(_level(flat[keep], weights[keep], tallest, swelling), None, tuple(keep.tolist()))
    capitals = ~small & _starts(places, tallest)
    if not capitals.any():
        capitals = ~small
    tall = _level(flat[capitals], weights[capitals], tallest, swelling)
    return Heights(tall, _level(flat[small], weights[small], tallest, swelling), tuple(small.tolist()))


def _zero(places: Stand, foot: Ends, height: float) -> Floats:
    """Where the letters' level feet stand, at each letter."""
    standing = np.abs(places.bottom) < 0.1 * height
    if not standing.any():  # a line that is none: what passes for its letters stands anywhere
        standing[:] = True
    at, bottom = (places.start + places.end) / 2.0, places.bottom + foot.short
    tilt = _tilt(((at[standing], places.bottom[standing]), (at, places.top)), float(np.ptp(at)), height)
    weights = _weight(np.minimum(foot.level, WIDEST * height), height)
    return _middle((bottom - tilt * at)[standing], weights[standing], STANDING) + tilt * at


def _tilt(levels: Sequence[tuple[Floats, Floats]], length: float, height: float) -> float:
    """By how much the baseline still leans: the lean at which most bottoms and tops fall on few levels."""
    if len(levels[-1][0]) < LEANS_FROM or length <= 0.0:
        return 0.0
    leans = np.linspace(-1.0, 1.0, 2 * LEAN_STEPS + 1) * LEANS * height / length
    apart = np.abs(leans) * 1e-6  # all else alike, it does not lean
    for at, level in levels:
        one, two = np.triu_indices(len(level), 1)
        off = (level[two] - level[one])[None] - leans[:, None] * (at[two] - at[one])[None]
        apart = apart + np.minimum(np.abs(off), ONE_LEVEL * height).sum(axis=1)
    return float(leans[int(apart.argmin())])


def _small(top: Floats) -> NDArray[np.bool_]:
    """Which letters are small: the split into two heights that leaves least difference within each (Otsu 1979)."""
    order = np.sort(top)
    low, high = np.cumsum(order)[:-1], np.cumsum(order[::-1])[::-1][1:]
    count = np.arange(1, len(order))
    means = low / count, high / (len(order) - count)
    between = count * (len(order) - count) * (means[1] - means[0]) ** 2
    at = int(between.argmax())
    if means[0][at] > SMALL * means[1][at]:
        return np.zeros(len(top), dtype=bool)
    return np.asarray(top <= order[at])


def _overshoot(bottom: Floats, ends: tuple[Ends, Ends], small: NDArray[np.bool_], height: float) -> Floats:
    """By how much each letter that is round at its top rises over its height: by as much as it sinks below its foot.

    Of capitals only those that are round at their foot too: an R may stand deeper on its leg.
    """
    foot, head = ends
    rounded = (head.level < EDGED * height) & (head.chord >= CHORD * height) & (bottom > -DEEPEST * height)
    rounded &= small | (foot.chord >= CHORD * height)
    return np.where(rounded, np.maximum(-bottom, 1e-9), 0.0)


def _level(values: Floats, weights: Floats, height: float, swelling: bool) -> float:
    """The height most of them have, by weight; of letters that swell along the line the middle one."""
    if swelling:
        return _middle(values, weights)
    near = np.abs(values[:, None] - values[None]) <= CLASS * height
    held = near[int((near * np.sqrt(weights)).sum(axis=1).argmax())]
    return _middle(values[held], weights[held])


def _ends(
    outlines: NDArray[np.object_], hulls: Floats, baseline: Baseline, centre: Floats, height: float
) -> tuple[Ends, Ends]:
    """Each letter's bottom and top. A foot's level edge may be that of its hull, from tip to tip of cupped serifs."""
    points, of = shapely.get_coordinates(shapely.get_exterior_ring(outlines), return_index=True)
    up, along = baseline.frames(centre)
    y, x = (points * up[of]).sum(axis=1), (points * along[of]).sum(axis=1)
    head, foot = _end(y, x, of, len(outlines), height), _end(-y, x, of, len(outlines), height)
    bridged = _bridged(-_along(hulls, up), _along(hulls, along), LEVEL * height)
    bridged = np.where((foot.covered >= COVERED * bridged) & (bridged >= FLAT * foot.chord), bridged, 0.0)
    return replace(foot, level=np.maximum(foot.level, bridged), short=np.where(bridged > 0, 0.0, foot.short)), head


def _along(hulls: Floats, way: Floats) -> Floats:
    return hulls[:, :, 0] * way[:, :1] + hulls[:, :, 1] * way[:, 1:]


def _bridged(y: Floats, x: Floats, least: float) -> Floats:
    """The longest level edge of each hull at its top."""
    y1, x1 = np.roll(y, -1, axis=1), np.roll(x, -1, axis=1)
    level = (np.abs(y1 - y) <= SLOPE * np.abs(x1 - x)) & (np.minimum(y, y1) >= y.max(axis=1, keepdims=True) - least)
    return np.asarray(np.where(level, np.abs(x1 - x), 0.0).max(axis=1))


def _end(y: Floats, x: Floats, of: NDArray[np.intp], count: int, height: float) -> Ends:
    """The end of each letter where y is highest. x, y: points of all outlines; of: whose each is."""
    starts, whose, same = np.searchsorted(of, np.arange(count)), of[1:], of[1:] == of[:-1]
    top = np.maximum.reduceat(y, starts)
    run, near = np.abs(np.diff(x)), y >= top[of] - LEVEL * height
    flat = same & near[1:] & near[:-1] & (np.abs(np.diff(y)) <= SLOPE * run)
    level = np.where(flat, run, 0.0)
    order = np.lexsort((level, whose))
    longest = order[np.searchsorted(whose[order], np.arange(count), side="right") - 1]
    bumps = np.bincount(whose, same & (near[1:] != near[:-1]), count)
    left = np.minimum.reduceat(np.where(near, x, np.inf), starts)
    right = np.maximum.reduceat(np.where(near, x, -np.inf), starts)
    chord = np.where(bumps <= 2, right - left, 0.0)
    longest_level = np.where(level[longest] >= FLAT * chord, level[longest], 0.0)
    short = top - (y[1:] + y[:-1])[longest] / 2.0
    short[(longest_level < EDGED * height) | (short < CUPPED * height)] = 0.0
    covered = np.bincount(whose, np.where(same & near[1:] & near[:-1], run, 0.0), count)
    return Ends(longest_level, short, np.asarray(covered, dtype=np.float64), chord)


def _weight(level: Floats, height: float) -> Floats:
    """The level edges: the short ones are those of round letters."""
    return level + ROUND * height


def _middle(values: Floats, weights: Floats, share: float = 0.5) -> float:
    """Weighted median, or where another share of the weight lies below."""
    order = np.argsort(values)
    reach = np.cumsum(weights[order])
    return float(values[order][int(np.searchsorted(reach, reach[-1] * share))])


def _starts(places: Stand, height: float) -> NDArray[np.bool_]:
    """Which letters begin a word."""
    gaps = places.start[1:] - np.maximum.accumulate(places.end)[:-1]
    wide = gaps > max(WORD * float(np.median(gaps)), SPACE * height) if len(gaps) else gaps > 0
    return np.append(True, wide)


def stem(shapes: Sequence[Shape], ups: Floats, height: float) -> float | None:
    """Width of the upright strokes, by length, px; None where too few run upright."""
    axes = [branch.axis for shape in shapes for branch in shape.branches]
    if not axes:
        return None
    sizes = np.array([len(axis) for axis in axes])
    of = np.repeat(np.arange(len(shapes)), [len(shape.branches) for shape in shapes])
    axis, last = np.concatenate(axes), np.cumsum(sizes)[:-1] - 1  # from one branch's last row there is no step
    step = np.delete(np.diff(axis[:, :2], axis=0), last, axis=0)
    length, width = np.hypot(step[:, 0], step[:, 1]), np.delete((axis[1:, 2] + axis[:-1, 2]) / 2.0, last)
    upright = np.abs((step * np.repeat(ups[of], sizes - 1, axis=0)).sum(axis=1)) / np.maximum(length, 1e-12)
    for most_deg in UPRIGHT_DEG:
        near = upright >= np.cos(np.radians(most_deg))
        if length[near].sum() >= ENOUGH * height:
            return _middle(width[near], length[near])
    return None
