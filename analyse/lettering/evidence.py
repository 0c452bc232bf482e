"""Are these shapes letters? What tells lettering from a row of strands, scales, grains or posts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from analyse.lettering.baselines import Stand
from analyse.values import Floats

if TYPE_CHECKING:
    from analyse.lettering.glyphs import Glyphs

WINDING = 1.45  # a stroke this many times as long as the shape is across turns or branches, as letters do
PLAIN = 0.3  # evidence of a straight stroke: it may be an I, and much else
VARIED = 0.3  # shapes of one motif differ less than this from each other, letters more;
VARIED_FEW = 0.45  # three to five of a row of scales differ more in a scan, but less than this
WINDOW = 0.05  # bottoms and tops this near each other are one level, in letter heights
STEADY = 0.025  # bottoms and tops of letters lie this near their lines, in letter heights
MANY, UNSTEADY = 8, 0.035  # so many letters may be less steady: mixed case has more heights than two or three
EVEN = 0.25  # stems of letters differ less than this from their median, the middle one, of few the worst
ENOUGH = 0.55
SWELLING = 6  # from so many letters on a line may swell or taper along its way
SWELLS = 0.3  # so little of what tops differ by is left when a smooth curve is taken out
STRICTER = {2: (0.018, 0.12), 3: (0.018, 0.12), 4: (0.02, 0.2), 5: (0.02, 0.2)}  # STEADY, EVEN of so few letters,
LIGHTEST, LIGHTEST_OF_TWO, HEAVIEST = 0.05, 0.085, 0.35  # and their stems, in letter heights,
SURE = 0.8  # and their evidence
DOUBTED, DOUBTED_FEW = 0.2, 0.6  # what geometry takes for lettering is none if the chance is less, or of few letters;
TOGETHER = 1.4  # nor if, of fewer than MANY, evidence and chance together are
TRUSTED, OPEN = 0.8, 1.6  # what geometry leaves open, missing its limits by this factor, is if it is so sure;
SUREST, SLIGHTLY = 0.9, 1.6  # the same of three to five letters
SURE_OF_TWO = 0.95  # of two it has to be so sure,
SURE_OF_EVEN_TWO, EVEN_TWO = 0.85, 0.02  # less where their stems are so even, unless
SAME_STEADY_TWO, SAME_STEADY = 0.006, 0.014  # two, or three to five, are so steady
SAME_EVEN = 0.005  # and so even: stems set by rule;
SAME_HEAVY, SAME_DOUBTED = 0.15, 0.12  # and so heavy, which drawings in thin lines are not; then this chance is enough


@dataclass(frozen=True, slots=True)
class Judged:
    """How like lettering: mean evidence of the shapes, how varied they are, how steady on their lines; all as one.

    chance: how likely letters they are by the classifier's word, on average.
    """

    evidence: float
    variety: float
    unsteady: float
    uneven: float
    weight: float
    letters: int
    chance: float

    @property
    def is_lettering(self) -> bool:
        """Whether it is taken for lettering: by geometry, and where that leaves it open by the classifier."""
        if self.letters < 2:
            return False
        few = self.letters in STRICTER
        if not self.by_geometry(1.0):
            sure = self.letters > 2 and self.chance >= (SUREST if few else TRUSTED)
            return sure and self.by_geometry(SLIGHTLY if few else OPEN)
        steady = SAME_STEADY if self.letters > 2 else SAME_STEADY_TWO
        same = self.unsteady <= steady and self.uneven <= SAME_EVEN
        if few and same and self.weight >= SAME_HEAVY:
            return self.chance >= SAME_DOUBTED
        if few:
            two = SURE_OF_EVEN_TWO if self.uneven <= EVEN_TWO else SURE_OF_TWO
            return self.chance >= (two if self.letters == 2 else DOUBTED_FEW)
        return self.chance >= DOUBTED and (self.letters >= MANY or self.chance + self.evidence >= TOGETHER)

    @property
    def left_open(self) -> bool:
        """Whether they are so few that geometry leaves open whether they are lettering."""
        return self.letters in STRICTER and not self.by_geometry(1.0)

    def by_geometry(self, slack: float) -> bool:
        """Whether variety, evidence, steadiness and stems are those of lettering; slack: over 1 asks for less."""
        few = self.letters in STRICTER
        steady, even = STRICTER.get(self.letters, (STEADY if self.letters < MANY else UNSTEADY, EVEN))
        if few and not (LIGHTEST_OF_TWO if self.letters == 2 else LIGHTEST) / slack <= self.weight <= HEAVIEST * slack:
            return False
        varied = VARIED_FEW if few and self.letters > 2 else VARIED
        sure = self.evidence >= (SURE if few else ENOUGH) / slack and self.variety >= varied / slack
        return sure and self.unsteady <= steady * slack and self.uneven <= even * slack

    @property
    def score(self) -> float:
        """To choose between two lines through the same shapes."""
        return self.letters * max(self.evidence, self.chance) * (1.0 - self.unsteady / (2.0 * STEADY))


def shape_evidence(way: Floats, across: Floats, widest: Floats, holes: NDArray[np.int64], evenness: Floats) -> Floats:
    """0..1 for each shape by itself, without its neighbours."""
    winding = np.clip((way / across - 1.0) / (WINDING - 1.0), 0.0, 1.0)
    found = PLAIN + (1.0 - PLAIN) * winding
    found = np.where(holes > 0, np.maximum(found, 0.9), found)
    thin = np.clip((0.62 - widest / across) / 0.2, 0.0, 1.0)
    even = np.clip(evenness / 0.25, 0.3, 1.0)
    return found * thin * even


def judged(glyphs: Glyphs, members: NDArray[np.int64], places: Stand, height: float) -> Judged:
    """How like lettering these shapes are, standing so."""
    evidence, chance = float(glyphs.evidence[members].mean()), float(glyphs.letter[members].mean())
    weight = middle_of(glyphs.stem[members]) / height
    if hopeless(glyphs, members):
        return Judged(evidence, 0.0, 1.0, 1.0, weight, len(members), chance)
    middle, levels = (places.start + places.end) / 2.0, 2 if len(places.top) < SWELLING else 3
    evened = _evened(middle / height, places.top / height)
    tops = min(_spread(places.top / height, levels), _spread(evened, levels))
    bottoms = _spread(places.bottom / height, 2)
    return Judged(
        evidence=evidence,
        variety=_variety(_described(glyphs, members, places, height)),
        unsteady=max(tops, bottoms),
        uneven=min(_uneven(glyphs.stem[members]), _uneven(glyphs.heavy[members])),
        weight=weight,
        letters=len(members),
        chance=chance,
    )


def hopeless(glyphs: Glyphs, members: NDArray[np.int64]) -> bool:
    """Whether these are no lettering however they stand: `Judged.is_lettering` asks for more of every line."""
    evidence, chance, few = glyphs.evidence[members].mean(), glyphs.letter[members].mean(), len(members) in STRICTER
    sure = len(members) > 2 and chance >= (SUREST if few else TRUSTED)
    least = (SURE if few else ENOUGH) / ((SLIGHTLY if few else OPEN) if sure else 1.0)
    return bool(len(members) < 2 or evidence < least or chance < SAME_DOUBTED)


def swells(places: Stand, height: float) -> bool:
    """Whether the tops follow a curve of their own: letters of one class that grow or taper along the line."""
    tops = places.top / height
    evened = _evened((places.start + places.end) / 2.0 / height, tops)
    return len(tops) >= SWELLING and bool(tops.std() > WINDOW / 2.0 and evened.std() < SWELLS * tops.std())


def _evened(along: Floats, tops: Floats) -> Floats:
    """Tops with a smooth swelling of the line taken out."""
    if len(tops) < SWELLING:
        return tops
    return tops - np.polyval(np.polyfit(along - along.mean(), tops, 2), along - along.mean())


def _spread(at: Floats, levels: int) -> float:
    """Mean distance from the nearest of the levels that hold most of them: letters have few heights."""
    left, distance = at, 0.0
    for _ in range(levels):
        if not len(left):
            break
        near = np.abs(left[:, None] - left[None]) <= WINDOW
        level = float(left[near[int(near.sum(axis=1).argmax())]].mean())
        own = np.abs(left - level) <= 2.0 * WINDOW
        distance += float(np.abs(left[own] - level).sum())
        left = left[~own]
    return (distance + 0.3 * len(left)) / len(at)


def _uneven(stems: Floats) -> float:
    off = np.abs(stems / middle_of(stems) - 1.0)
    return float(off.max()) if len(stems) in STRICTER else middle_of(off)


def middle_of(values: Floats) -> float:
    """The median; of so few values it is found sooner by sorting them than by numpy's own."""
    order = np.sort(values)
    return float(order[(len(order) - 1) // 2] + order[len(order) // 2]) / 2.0


def _described(glyphs: Glyphs, members: NDArray[np.int64], places: Stand, height: float) -> Floats:
    """Width, height, stroke length, ink and holes of each, in letter heights."""
    wide = (places.end - places.start) / height
    return np.column_stack(
        [
            wide,
            (places.top - places.bottom) / height,
            glyphs.way[members] / height / 3.0,
            glyphs.area[members] / height**2 * 2.0,
            glyphs.holes[members] * 0.5,
        ]
    )


def _variety(described: Floats) -> float:
    """Median distance between two of them."""
    apart = np.abs(described[:, None] - described[None]).sum(axis=2)
    index = np.arange(len(described))
    return middle_of(apart[index[:, None] < index]) if len(index) > 1 else 0.0
