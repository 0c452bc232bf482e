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

SURE, LIKELY = 0.8, 0.6  # together they are this likely letters, and each of them so
AS_TALL, AS_HEAVY = 0.05, 0.15  # and differs from the others in height and stem by no more than this share
NEAR = 4.0  # no two stand farther apart than so many of their heights
LEAST, MOST = 3, 4  # letters: two by themselves are too few to be sure of


@dataclass(frozen=True, slots=True, eq=False)
class Monogram:
    """Members (indices into the glyphs) from left to right; a level baseline under the lowest; their height in px."""

    members: Ints
    baseline: Baseline
    height: float


def monograms(glyphs: Glyphs, taken: Ints) -> list[Monogram]:
    """Of each colour at most one, of letters that are in no line yet. taken: those that are."""
    free = glyphs.letter >= LIKELY
    free[taken] = False
    found = []
    for colour in np.unique(glyphs.colour[free]).tolist():
        own = np.flatnonzero(free & (glyphs.colour == colour))
        tall = np.ptp(glyphs.hulls[own, :, 1], axis=1)
        members = _alike(own, tall, glyphs.stem[own], glyphs.centre[own])
        if len(members) and glyphs.letter[own[members]].mean() >= SURE:
            order = own[members][np.argsort(glyphs.centre[own[members], 0])]
            foot = float(glyphs.hulls[order, :, 1].max())
            base = Baseline((float(glyphs.centre[order, 0].mean()), foot))
            found.append(Monogram(order, base, float(tall[members].min())))
    return found


def _alike(own: Ints, tall: Floats, stem: Floats, centre: Floats) -> Ints:
    """The most that are alike two by two and near each other; indices into `own`."""
    if len(own) > 3 * MOST:
        return np.zeros(0, dtype=np.int64)
    fits = (np.abs(np.log(tall[:, None] / tall)) < AS_TALL) & (np.abs(np.log(stem[:, None] / stem)) < AS_HEAVY)
    fits &= np.hypot(*(centre[:, None] - centre).transpose(2, 0, 1)) <= NEAR * tall
    for size in range(min(len(own), MOST), LEAST - 1, -1):
        for members in combinations(range(len(own)), size):
            if fits[np.ix_(members, members)].all():
                return np.array(members, dtype=np.int64)
    return np.zeros(0, dtype=np.int64)


def zone(hulls: Floats) -> shapely.MultiPolygon | shapely.Polygon:
    """What the letters cover, each by itself."""
    return shapely.union_all(shapely.convex_hull([shapely.MultiPoint(points) for points in hulls]))
