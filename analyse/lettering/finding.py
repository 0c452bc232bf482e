"""Shapes that stand side by side on one baseline: which pairs begin a line, and which lines are lettering."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.lettering.evidence import STEADY, hopeless, middle_of
from analyse.lettering.glyphs import Glyphs
from analyse.lettering.growing import (
    ALIKE,
    SURE,
    Found,
    Group,
    completed,
    completed_from,
    finished,
    grown,
    straightened,
)

Ints = NDArray[np.int64]

NEAR = 1.1  # neighbours that begin a line are no farther apart, in letter heights
FEW = 5  # a line of so few letters waits until longer ones have taken theirs
TRIES = 3  # failures after which a shape begins no line
LIKELY = 2.0  # evidence and chance of the two shapes that begin one, together,
UNLIKELY = 0.1  # and neither is this unlikely a letter
PLAIN = 1.1  # of a straight line and a bent one the straight one,
HANGING = 0.12  # if its feet are level; in letter heights, what lies farther below it hangs;
UPRIGHT = 1.05  # of two ways up the one that stands on its feet, all else alike
SEEDS = 3  # neighbours tried with each shape


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
            whole = completed_from(Group(glyphs, both), line)
            if len(whole.members) == len(both) and whole.judged.is_lettering:
                left = [whole, *[each for each in rest if each is not other]]
                break
        else:
            done.append(line)
            left = rest
    return done


def _groups(glyphs: Glyphs) -> Iterator[Ints]:
    """Shapes of one colour."""
    for colour in np.unique(glyphs.colour).tolist():
        group = np.flatnonzero(glyphs.colour == colour)
        group = group[~_frames(glyphs, group)]
        if len(group) > 1:
            yield group


def _frames(glyphs: Glyphs, group: Ints) -> NDArray[np.bool_]:
    """Shapes that run round others of their colour: frames, borders, keylines."""
    if not glyphs.holes[group].any():
        return np.zeros(len(group), dtype=bool)
    filled = shapely.polygons(shapely.get_exterior_ring(glyphs.outlines[group]))
    inside, outside = shapely.STRtree(filled).query(shapely.points(glyphs.centre[group]), predicate="within")
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
        if any(np.isin((i, j), line.members).all() for line in short):
            continue  # it would be that line again
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
    """Pairs of neighbours, the most like letters first, of those as like the nearest."""
    across, letter = glyphs.across[group], glyphs.letter[group]
    begin = np.flatnonzero(letter >= UNLIKELY)
    if len(begin) < 2:
        return []
    hulls = shapely.polygons(glyphs.hulls[group])
    pairs = shapely.STRtree(hulls).query(hulls[begin], predicate="dwithin", distance=NEAR * across[begin])
    one, two = pairs[:, begin[pairs[0]] != pairs[1]]
    one = begin[one]
    alike = np.abs(np.log(glyphs.heavy[group[one]] / glyphs.heavy[group[two]])) < np.log(ALIKE)
    alike &= np.abs(np.log(across[one] / across[two])) < np.log(3.0)
    one, two = one[alike], two[alike]
    apart = shapely.distance(hulls[one], hulls[two]) + 0.2 * np.hypot(
        *(glyphs.centre[group[one]] - glyphs.centre[group[two]]).T
    )
    order = np.lexsort((apart, one))
    rank = np.zeros(len(one), dtype=np.int64)
    starts = np.flatnonzero(np.append(True, one[order][1:] != one[order][:-1])) if len(one) else np.zeros(0, np.int64)
    rank[order] = np.arange(len(one)) - np.repeat(starts, np.diff(np.append(starts, len(one))))
    near = rank < SEEDS
    ends = np.sort(np.column_stack([group[one[near]], group[two[near]]]), axis=1)
    keys = {(a, b): far for (a, b), far in zip(ends.tolist(), apart[near].tolist(), strict=True)}
    sure = glyphs.evidence + glyphs.letter
    likely = [(i, j) for i, j in keys if sure[i] + sure[j] >= LIKELY and min(glyphs.letter[[i, j]]) >= UNLIKELY]
    return sorted(likely, key=lambda pair: (-round(sure[pair[0]] + sure[pair[1]], 1), keys[pair], pair))


def _best(glyphs: Glyphs, group: Ints, i: int, j: int) -> Found | None:
    """The best of the lines, one way up and the other, bent and straight, that this pair begins; lettering or not."""
    lines = []
    among = Group(glyphs, group)
    for upward in _ways_up(glyphs, i, j):
        line = grown(among, i, j, upward)
        if line is None:
            continue
        if hopeless(glyphs, group[line.own]):
            return finished(among, line)
        lines.append(completed(among, line))
        if not line.baseline.straight and line.own.sum() >= SURE - 1:
            lines.append(completed(among, straightened(among, line), bends=False))
    return max(lines, key=lambda line: (line.judged.is_lettering, _preferred(glyphs, line)), default=None)


def _preferred(glyphs: Glyphs, line: Found) -> float:
    upright = UPRIGHT if _upright(glyphs, line) else 1.0
    if not line.baseline.straight:
        return line.judged.score * upright
    return line.judged.score * upright * (PLAIN if _level(line) else 1.0 / PLAIN)


def _level(line: Found) -> bool:
    """Whether the letters that stand on a straight line do so: on a slight arc they rise and fall with it."""
    feet = line.stand.bottom[np.abs(line.stand.bottom) <= HANGING * line.height]
    return bool(not len(feet) or np.abs(feet - middle_of(feet)).mean() <= STEADY * line.height)


def _upright(glyphs: Glyphs, line: Found) -> bool:
    """Whether the letters stand head up rather than head down, all in all."""
    up, _ = line.baseline.frames(glyphs.centre[line.members])
    return float(up[:, 1].mean()) < 0.0


def _ways_up(glyphs: Glyphs, i: int, j: int) -> tuple[float, ...]:
    """Upright; where the line is steep, both ways."""
    along = glyphs.centre[j] - glyphs.centre[i]
    upright = 1.0 if along[0] >= 0 else -1.0
    return (upright,) if abs(along[1]) < abs(along[0]) else (upright, -upright)
