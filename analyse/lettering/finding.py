"""Shapes that stand side by side on one baseline: grown from pairs of neighbours, letter by letter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.lettering.baselines import Baseline, Stand, fitted, pair_baseline, stand, straight_through
from analyse.lettering.evidence import Judged, judged, middle_of
from analyse.lettering.glyphs import Glyphs
from analyse.values import Floats

Ints = NDArray[np.int64]

# Lengths in letter heights.
NEAR = 1.1  # neighbours that begin a line are no farther apart
WORD = 1.7  # and words of one line no farther than this
STANDS = 0.07  # a letter's bottom is this near the baseline, or
HANGS = 0.5  # hangs below it by no more than this
LOWEST = 0.42  # a letter is at least this high
TALLEST = 1.75  # and at most this (a line that begins with small letters finds its capitals)
BENDS = 0.05  # so much looser for every letter short of
SURE = 5  # letters, from which a baseline is known for all its length
ALIKE = 2.2  # stems of one line are within this factor of their median
ROUNDS = 12
COMPLETING = 4
WIDE_WORD = 3.0  # words of a line that is known
FEW = 5  # a line of so few letters waits until longer ones have taken theirs
TRIES = 3  # failures after which a shape begins no line
LIKELY = 2.0  # evidence and chance of the two shapes that begin one, together,
UNLIKELY = 0.1  # and neither is this unlikely a letter
PLAIN = 1.1  # of a straight line and a bent one the straight one,
UPRIGHT = 1.05  # of two ways up the one that stands on its feet, all else alike
SEEDS = 3  # neighbours tried with each shape


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Members (indices into the glyphs) in reading order, on a baseline; height: of the tallest class, px."""

    members: Ints
    baseline: Baseline
    stand: Stand
    height: float
    judged: Judged


def find(glyphs: Glyphs) -> list[Found]:
    """Lines of lettering, the surest first; no shape is in two."""
    found: list[Found] = []
    free = np.ones(len(glyphs), dtype=bool)
    for group in _groups(glyphs):
        found += _joined(glyphs, _lines(glyphs, group, free))
    return found


def _joined(glyphs: Glyphs, lines: list[Found]) -> list[Found]:
    """Lines that are one, taken together: the longer one's baseline bears the other's letters."""
    left = sorted(lines, key=lambda line: (-len(line.members), int(line.members[0])))
    done: list[Found] = []
    while left:
        line, rest = left[0], left[1:]
        for other in rest:
            both = np.sort(np.concatenate([line.members, other.members]))
            whole = _with(_Group(glyphs, both), line)
            if len(whole.members) == len(both) and whole.judged.is_lettering:
                left = [whole, *[each for each in rest if each is not other]]
                break
        else:
            done.append(line)
            left = rest
    return done


def _with(group: _Group, line: Found) -> Found:
    """A line completed from among this group."""
    own = np.isin(group.index, line.members)
    places = stand(line.baseline, group.hulls, group.centre)
    return _completed(group, _Growing(own, line.baseline, places, line.height), bends=not line.baseline.straight)


def _groups(glyphs: Glyphs) -> Iterator[Ints]:
    """Shapes of one colour."""
    for colour in np.unique(glyphs.colour).tolist():
        group = np.flatnonzero(glyphs.colour == colour)
        group = group[~_frames(glyphs, group)]
        if len(group) > 1:
            yield group


def _frames(glyphs: Glyphs, group: Ints) -> NDArray[np.bool_]:
    """Shapes that run round others of their colour: frames, borders, keylines."""
    filled = np.array([shapely.Polygon(outline.exterior) for outline in glyphs.outlines[group]], dtype=object)
    inside, outside = shapely.STRtree(filled).query(shapely.centroid(glyphs.outlines[group]), predicate="within")
    frames = np.zeros(len(group), dtype=bool)
    smaller = glyphs.across[group[inside]] < 0.8 * glyphs.across[group[outside]]
    frames[outside[smaller & (glyphs.holes[group[outside]] > 0)]] = True
    return frames


def _lines(glyphs: Glyphs, group: Ints, free: NDArray[np.bool_]) -> list[Found]:
    found: list[Found] = []
    short: list[Found] = []
    failed = np.zeros(len(glyphs), dtype=np.int64)
    for i, j in _seeds(glyphs, group):
        if not (free[i] and free[j]) or max(failed[i], failed[j]) >= TRIES:
            continue
        line = _best(glyphs, group[free[group]], i, j)
        if line is None or not line.judged.is_lettering:
            failed[[i, j] if line is None else line.members] += 1
        elif len(line.members) <= FEW:
            failed[[i, j]] += 1
            short.append(line)
        else:
            found.append(line)
            free[line.members] = False
    for line in sorted(short, key=lambda each: -each.judged.score):
        if free[line.members].all():
            found.append(line)
            free[line.members] = False
    return found


def _seeds(glyphs: Glyphs, group: Ints) -> list[tuple[int, int]]:
    """Pairs of neighbours, the most like letters first."""
    outlines, across, letter = glyphs.outlines[group], glyphs.across[group], glyphs.letter[group]
    begin = np.flatnonzero(letter >= UNLIKELY)
    if len(begin) < 2:
        return []
    pairs = shapely.STRtree(outlines).query(outlines[begin], predicate="dwithin", distance=NEAR * across[begin])
    one, two = pairs[:, begin[pairs[0]] != pairs[1]]
    one = begin[one]
    alike = np.abs(np.log(glyphs.heavy[group[one]] / glyphs.heavy[group[two]])) < np.log(ALIKE)
    alike &= np.abs(np.log(across[one] / across[two])) < np.log(3.0)
    one, two = one[alike], two[alike]
    apart = shapely.distance(outlines[one], outlines[two]) + 0.2 * np.hypot(
        *(glyphs.centre[group[one]] - glyphs.centre[group[two]]).T
    )
    order = np.lexsort((apart, one))
    rank = np.zeros(len(one), dtype=np.int64)
    starts = np.flatnonzero(np.append(True, one[order][1:] != one[order][:-1])) if len(one) else np.zeros(0, np.int64)
    rank[order] = np.arange(len(one)) - np.repeat(starts, np.diff(np.append(starts, len(one))))
    near = rank < SEEDS
    keys = {(min(a, b), max(a, b)) for a, b in zip(group[one[near]].tolist(), group[two[near]].tolist(), strict=True)}
    sure = glyphs.evidence + glyphs.letter
    likely = [(i, j) for i, j in keys if sure[i] + sure[j] >= LIKELY and min(glyphs.letter[[i, j]]) >= UNLIKELY]
    return sorted(likely, key=lambda pair: (-sure[pair[0]] - sure[pair[1]], pair))


def _best(glyphs: Glyphs, group: Ints, i: int, j: int) -> Found | None:
    """The best of the lines, one way up and the other, bent and straight, that this pair begins; lettering or not."""
    lines = []
    among = _Group(glyphs, group)
    for upward in _ways_up(glyphs, i, j):
        grown = _grown(among, i, j, upward)
        if grown is None:
            continue
        lines.append(_completed(among, grown))
        if not grown.baseline.straight and grown.own.sum() >= SURE - 1:
            lines.append(_completed(among, _straightened(among, grown), bends=False))
    return max(lines, key=lambda line: (line.judged.is_lettering, _preferred(glyphs, line)), default=None)


def _preferred(glyphs: Glyphs, line: Found) -> float:
    upright = UPRIGHT if _upright(glyphs, line) else 1.0
    return line.judged.score * upright * (PLAIN if line.baseline.straight else 1.0)


def _upright(glyphs: Glyphs, line: Found) -> bool:
    """Whether the letters stand head up rather than head down, all in all."""
    up, _ = line.baseline.frames(glyphs.centre[line.members])
    return float(up[:, 1].mean()) < 0.0


def _ways_up(glyphs: Glyphs, i: int, j: int) -> tuple[float, ...]:
    """Upright; where the line is steep, both ways."""
    along = glyphs.centre[j] - glyphs.centre[i]
    upright = 1.0 if along[0] >= 0 else -1.0
    return (upright,) if abs(along[1]) < abs(along[0]) else (upright, -upright)


@dataclass(frozen=True, slots=True, eq=False)
class _Group:
    """Shapes of one colour that are free: indices into the glyphs, hulls (G, CORNERS + 1, 2), centres, widths."""

    glyphs: Glyphs
    index: Ints
    hulls: Floats = field(init=False)
    centre: Floats = field(init=False)
    heavy: Floats = field(init=False)

    def __post_init__(self) -> None:
        """Pick out the group's own."""
        for name in ("hulls", "centre", "heavy"):
            object.__setattr__(self, name, getattr(self.glyphs, name)[self.index])


@dataclass(frozen=True, slots=True, eq=False)
class _Growing:
    """A line on its way: which of the group are in it (G,), its baseline, how all stand on that, its height."""

    own: NDArray[np.bool_]
    baseline: Baseline
    places: Stand
    height: float


def _grown(group: _Group, i: int, j: int, upward: float) -> _Growing | None:
    """Letter by letter from a pair; None if nothing holds together."""
    own = (group.index == i) | (group.index == j)
    pair = np.array([i, j])
    baseline = pair_baseline(group.glyphs.hulls[pair], group.glyphs.centre[pair], upward)
    places = stand(baseline, group.hulls, group.centre)
    now = _Growing(own, baseline, places, float((places.top - places.bottom)[own].max()))
    for _ in range(ROUNDS):
        fits = _fitting(group, now, WORD)
        if fits.sum() < 2:
            return None
        if (fits == now.own).all():
            return now
        now = _refitted(group, replace(now, own=fits))
    return now


def _straightened(group: _Group, line: _Growing) -> _Growing:
    """The same letters on a straight baseline."""
    up, _ = line.baseline.frames(group.centre[line.own])
    baseline = straight_through(line.places.foot[line.own], up)
    return replace(line, baseline=baseline, places=stand(baseline, group.hulls, group.centre))


def _fitting(group: _Group, line: _Growing, word: float) -> NDArray[np.bool_]:
    """Whatever stands on the baseline in one chain with the members, (G,)."""
    count = int(line.own.sum())
    fits = _fits(line.places, line.height, _loose(count))
    fits &= np.abs(np.log(group.heavy / middle_of(group.heavy[line.own]))) < np.log(ALIKE)
    reach = max(count - 2, 1) if count < SURE else len(group.index)
    found = np.zeros(len(fits), dtype=bool)
    found[_chain(line.places, fits, line.own, word * line.height, reach)] = True
    return found


def _completed(group: _Group, line: _Growing, *, bends: bool = True) -> Found:
    """The line with all that stands on it, across wider spaces too, judged."""
    for _ in range(COMPLETING):
        fits = _fitting(group, line, WIDE_WORD)
        if fits.sum() < line.own.sum() or (fits == line.own).all():
            break
        line = _refitted(group, replace(line, own=fits), bends=bends)
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


def _refitted(group: _Group, line: _Growing, *, bends: bool = True) -> _Growing:
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
    return _Growing(line.own, baseline, places, height)


def _picked(places: Stand, order: Ints) -> Stand:
    return Stand(places.bottom[order], places.top[order], places.start[order], places.end[order], places.foot[order])
