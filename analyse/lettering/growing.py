"""A line of letters grown from two neighbours, letter by letter, until all that stands on its baseline is in it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from analyse.lettering.baselines import Baseline, Stand, fitted, pair_baseline, stand, straight_through
from analyse.lettering.evidence import Judged, judged, middle_of
from analyse.lettering.glyphs import Glyphs
from analyse.values import Floats

Ints = NDArray[np.int64]

# Lengths in letter heights.
WORD = 1.7  # words of one line are no farther apart than this
STANDS = 0.07  # a letter's bottom is this near the baseline, or
HANGS = 0.5  # hangs below it by no more than this
LOWEST = 0.42  # a letter is at least this high
TALLEST = 1.75  # and at most this (a line that begins with small letters finds its capitals)
BENDS = 0.05  # so much looser for every letter short of
STRAYS_PX = 0.4  # an outline lies this near where it should, all sizes alike
SURE = 5  # letters, from which a baseline is known for all its length
ALIKE = 2.2  # stems of one line are within this factor of their median, where they are heavy
CLOSES_PX = 20.0  # or, of letters so low that counters close and make them heavy, all in all
ROUNDS = 12
COMPLETING = 4
WIDE_WORD = 3.0  # words of a line that is known


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Members (indices into the glyphs) in reading order, on a baseline; height: of the tallest class, px."""

    members: Ints
    baseline: Baseline
    stand: Stand
    height: float
    judged: Judged


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Shapes of one colour that are free: indices into the glyphs, hulls (G, CORNERS + 1, 2), centres, widths."""

    glyphs: Glyphs
    index: Ints
    hulls: Floats = field(init=False)
    centre: Floats = field(init=False)
    heavy: Floats = field(init=False)
    stem: Floats = field(init=False)

    def __post_init__(self) -> None:
        """Pick out the group's own."""
        for name in ("hulls", "centre", "heavy", "stem"):
            object.__setattr__(self, name, getattr(self.glyphs, name)[self.index])


@dataclass(frozen=True, slots=True, eq=False)
class Growing:
    """A line on its way: which of the group are in it (G,), its baseline, how all stand on that, its height."""

    own: NDArray[np.bool_]
    baseline: Baseline
    places: Stand
    height: float


def grown(group: Group, i: int, j: int, upward: float) -> Growing | None:
    """Letter by letter from a pair; None if nothing holds together."""
    own = (group.index == i) | (group.index == j)
    pair = np.array([i, j])
    baseline = pair_baseline(group.glyphs.hulls[pair], group.glyphs.centre[pair], upward)
    places = stand(baseline, group.hulls, group.centre)
    now = Growing(own, baseline, places, float((places.top - places.bottom)[own].max()))
    for _ in range(ROUNDS):
        fits = _fitting(group, now, WORD)
        if fits.sum() < 2:
            return None
        if (fits == now.own).all():
            return now
        now = _refitted(group, replace(now, own=fits))
    return now


def straightened(group: Group, line: Growing) -> Growing:
    """The same letters on a straight baseline."""
    up, _ = line.baseline.frames(group.centre[line.own])
    baseline = straight_through(line.places.foot[line.own], up)
    return replace(line, baseline=baseline, places=stand(baseline, group.hulls, group.centre))


def _fitting(group: Group, line: Growing, word: float) -> NDArray[np.bool_]:
    """Whatever stands on the baseline in one chain with the members, (G,)."""
    count = int(line.own.sum())
    fits = _fits(line.places, line.height, _loose(count) + STRAYS_PX / line.height)
    alike = np.abs(np.log(group.heavy / middle_of(group.heavy[line.own]))) < np.log(ALIKE)
    if line.height <= CLOSES_PX:
        alike |= np.abs(np.log(group.stem / middle_of(group.stem[line.own]))) < np.log(ALIKE)
    fits &= alike
    reach = max(count - 2, 1) if count < SURE else len(group.index)
    found = np.zeros(len(fits), dtype=bool)
    found[_chain(line.places, fits, line.own, word * line.height, reach)] = True
    return found


def completed(group: Group, line: Growing, *, bends: bool = True) -> Found:
    """The line with all that stands on it, across wider spaces too, judged."""
    for _ in range(COMPLETING):
        fits = _fitting(group, line, WIDE_WORD)
        if fits.sum() < line.own.sum() or (fits == line.own).all():
            break
        line = _refitted(group, replace(line, own=fits), bends=bends)
    return finished(group, line)


def finished(group: Group, line: Growing) -> Found:
    """The letters in reading order, judged."""
    members = np.flatnonzero(line.own)
    members = members[np.argsort(line.places.start[members])]
    places = _picked(line.places, members)
    members = group.index[members]
    return Found(members, line.baseline, places, line.height, judged(group.glyphs, members, places, line.height))


def _loose(letters: int) -> float:
    """How near the baseline a letter must stand: few letters do not yet tell how it bends."""
    return STANDS + max(SURE - letters, 0) * BENDS


def _fits(places: Stand, height: float, near: float) -> NDArray[np.bool_]:
    stands = np.abs(places.bottom) <= near * height
    hangs = (places.bottom < 0) & (places.bottom >= -HANGS * height)
    return (stands | hangs) & (places.top >= LOWEST * height) & (places.top <= TALLEST * height)


def _chain(
    places: Stand, fits: NDArray[np.bool_], now: NDArray[np.bool_], room: float, reach: int
) -> NDArray[np.int64]:
    """The fitting shapes that hang together with the present members; at most `reach` more at each end."""
    order = np.flatnonzero(fits)
    order = order[np.argsort(places.start[order])]
    if not len(order):
        return order
    ends = np.maximum.accumulate(places.end[order])
    breaks = np.append(0, np.cumsum(places.start[order][1:] - ends[:-1] > room))
    held = now[order]
    if not held.any():
        return order[:0]
    chain = int(np.bincount(breaks[held]).argmax())
    inside = np.flatnonzero(breaks == chain)
    own = np.flatnonzero((breaks == chain) & held)
    inside = inside[(inside >= own[0] - reach) & (inside <= own[-1] + reach)]
    return np.sort(order[inside])


def _refitted(group: Group, line: Growing, *, bends: bool = True) -> Growing:
    near = 1.5 * _loose(int(line.own.sum()))
    bottom, foot = line.places.bottom[line.own], line.places.foot[line.own]
    standing = np.abs(bottom - middle_of(bottom)) <= near * line.height
    baseline, places = line.baseline, line.places
    if standing.sum() >= 2:
        up, _ = baseline.frames(group.centre[line.own])
        feet, ups = foot[standing], up[standing]
        baseline = fitted(feet, line.height, ups) if bends else straight_through(feet, ups)
        places = stand(baseline, group.hulls, group.centre)
    tall = places.top[line.own]
    height = float(tall[tall >= 0.9 * tall.max()].mean()) if len(tall) > 2 else float(tall.max())
    return Growing(line.own, baseline, places, height)


def _picked(places: Stand, order: Ints) -> Stand:
    return Stand(places.bottom[order], places.top[order], places.start[order], places.end[order], places.foot[order])


def completed_from(group: Group, line: Found) -> Found:
    """A line completed from among this group."""
    own = np.isin(group.index, line.members)
    places = stand(line.baseline, group.hulls, group.centre)
    return completed(group, Growing(own, line.baseline, places, line.height), bends=not line.baseline.straight)
