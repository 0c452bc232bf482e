"""A few letters as tall and as heavy as each other that stand about no line of their own: a monogram."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.lettering.baselines import Baseline
from analyse.lettering.glyphs import Glyphs
from analyse.values import Floats

Ints = NDArray[np.int64]

AS_TALL = 0.05  # each differs from the others in height by no more than this share,
AS_HEAVY, SURE, LIKELY = (
    0.2,
    0.8,
    0.6,
)  # in strokes by no more than this if together and each they are so likely letters;
ALIKE, OPEN, DOUBTED = 0.05, 0.5, 0.2  # the less they differ the less likely they may be
VARIED = 0.1  # and no two are one shape: they differ in stroke length, ink or breadth by this share
NEAR = 4.0  # no two stand farther apart than so many of their heights
LEAST, MOST = 3, 4  # letters: two by themselves are too few to be sure of


@dataclass(frozen=True, slots=True, eq=False)
class Monogram:
    """Members (indices into the glyphs) from left to right; a level baseline under the lowest; their height in px."""

    members: Ints
    baseline: Baseline
    height: float


def monograms(glyphs: Glyphs, taken: Ints) -> list[Monogram]:
    """Of each colour at most one so sure, of letters that are in no line yet. taken: those that are."""
    found = []
    for as_heavy, sure, likely in ((AS_HEAVY, SURE, LIKELY), (ALIKE, OPEN, DOUBTED)):
        free = glyphs.letter >= likely
        free[taken] = False
        for colour in np.unique(glyphs.colour[free]).tolist():
            own = np.flatnonzero(free & (glyphs.colour == colour))
            tall = np.ptp(glyphs.hulls[own, :, 1], axis=1)
            members = _alike(glyphs, own, tall, as_heavy)
            if len(members) and glyphs.letter[own[members]].mean() >= sure:
                order = own[members][np.argsort(glyphs.centre[own[members], 0])]
                foot = float(glyphs.hulls[order, :, 1].max())
                base = Baseline((float(glyphs.centre[order, 0].mean()), foot))
                found.append(Monogram(order, base, float(tall[members].min())))
                taken = np.concatenate([taken, order])
    return found


def _alike(glyphs: Glyphs, own: Ints, tall: Floats, as_heavy: float) -> Ints:
    """The most that are alike two by two and near each other; indices into `own`."""
    if len(own) > 3 * MOST:
        return np.zeros(0, dtype=np.int64)
    heavier = np.minimum(_apart(glyphs.stem[own]), _apart(glyphs.heavy[own]))
    fits = (_apart(tall) < AS_TALL) & (heavier < as_heavy)
    centre = glyphs.centre[own]
    fits &= np.hypot(*(centre[:, None] - centre).transpose(2, 0, 1)) <= NEAR * tall
    wide = np.ptp(glyphs.hulls[own, :, 0], axis=1)
    varied = np.maximum(np.maximum(_apart(glyphs.way[own]), _apart(glyphs.area[own])), _apart(wide)) >= VARIED
    fits &= varied | np.eye(len(own), dtype=bool)
    for size in range(min(len(own), MOST), LEAST - 1, -1):
        for members in combinations(range(len(own)), size):
            if fits[np.ix_(members, members)].all():
                return np.array(members, dtype=np.int64)
    return np.zeros(0, dtype=np.int64)


def _apart(values: Floats) -> Floats:
    """By which share they differ, two by two."""
    return np.asarray(np.abs(np.log(values[:, None] / values)))


def zone(hulls: Floats) -> shapely.MultiPolygon | shapely.Polygon:
    """What the letters cover, each by itself."""
    return shapely.union_all(shapely.convex_hull([shapely.MultiPoint(points) for points in hulls]))
