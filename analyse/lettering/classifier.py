"""Stroke, body, dot, letter or mark of a texture: how likely a shape is each, learned from open material.

tests/training/train.py makes classifier.json and prints how often it is right on fonts and drawings it has not seen.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from weakref import WeakKeyDictionary

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.lettering.touching import touching
from analyse.lettering.traits import NAMES, traits
from analyse.values import Drawing, Floats
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import known_together

KINDS = ("stroke", "body", "dot", "letter", "texture")
CUT_OUT = -1  # colour of a shape that is an opening, not a region
LETTER = KINDS.index("letter")
LEAST, LEAST_TOLD = 1e-12, 1e-4  # chances count as no smaller
TOLD_BEYOND = (0, 3, 4)  # of neighbours' neighbours: stroke, letter, texture
SPECK_PX2 = 6.0  # a smaller shape is a speck of the reading


@dataclass(frozen=True, slots=True, eq=False)
class Chances:
    """How likely each region, and each enclosed piece of the background, is of each kind.

    regions, openings, pieces (what stands on a border, by `touching`): (N, len(KINDS)), rows that sum to 1; all 0 for
    what is too small to tell, and for pieces of the background that are not enclosed. hulls: (regions, pieces,
    openings from the last), convex, None where nothing is told.
    """

    regions: Floats
    openings: Floats
    pieces: Floats
    hulls: NDArray[np.object_]

    def of(self, kind: str, source: NDArray[np.int64]) -> Floats:
        """Chances of one kind, (N,), for regions (0 and up), then what stands on a border, and openings k (-1 - k)."""
        every = np.concatenate([self.regions, self.pieces, self.openings[::-1]])[:, KINDS.index(kind)]
        return np.asarray(every[source])


_KEPT: WeakKeyDictionary[Drawing, Chances] = WeakKeyDictionary()


def chances(drawing: Drawing, measures: Measures) -> Chances:
    """For everything in a drawing. Worked out once for it."""
    if drawing not in _KEPT:
        _KEPT[drawing] = _chances(drawing, measures)
    return _KEPT[drawing]


def _chances(drawing: Drawing, measures: Measures) -> Chances:
    shapes, colours, source = classifiable(drawing, measures)
    standing = touching(drawing, measures)
    shapes = [*shapes, *standing.shapes]
    colours = np.append(colours, [drawing.regions[i].colour for i in standing.regions]).astype(np.int64)
    source = np.append(source, len(measures.regions) + np.arange(len(standing.shapes)))
    left, top, right, bottom = drawing.extent_px
    hulls = shapely.convex_hull(np.array([shape.whole.filled for shape in shapes], dtype=object))
    every = len(measures.regions) + len(standing.shapes) + len(measures.background)
    found, outer = np.zeros((every, len(KINDS))), np.full(every, None, dtype=object)
    found[source] = predict(*traits(shapes, hulls, colours, max(right - left, bottom - top)))
    outer[source] = hulls
    pieces, openings = len(measures.regions), every - len(measures.background)
    return Chances(found[:pieces], found[openings:][::-1], found[pieces:openings], outer)


def classifiable(drawing: Drawing, measures: Measures) -> tuple[list[Shape], NDArray[np.int64], NDArray[np.int64]]:
    """What is large enough to tell: shapes, their colours, and which region or piece of the background each is."""
    known_together([shape.whole for shape in (*measures.regions, *measures.background)])
    shapes = [*measures.regions, *measures.background]
    source = np.concatenate([np.arange(len(measures.regions)), -1 - np.arange(len(measures.background))])
    large = shapely.area(np.array([shape.outline for shape in shapes], dtype=object)) >= SPECK_PX2
    large[len(measures.regions) :] &= enclosed(drawing, measures)
    source = source[large]
    colours = np.array([drawing.regions[i].colour if i >= 0 else CUT_OUT for i in source.tolist()], dtype=np.int64)
    return [shape for shape, keep in zip(shapes, large.tolist(), strict=True) if keep], colours, source


def enclosed(drawing: Drawing, measures: Measures) -> NDArray[np.bool_]:
    """Which pieces of the background lie inside the design, (N,)."""
    left, top, right, bottom = drawing.extent_px
    box = shapely.bounds(np.array([shape.outline for shape in measures.background], dtype=object)).reshape(-1, 4)
    return np.asarray(
        ((box >= (left - 1, top - 1, -np.inf, -np.inf)) & (box <= (np.inf, np.inf, right + 1, bottom + 1))).all(axis=1)
    )


@dataclass(frozen=True, slots=True, eq=False)
class Networks:
    """Coefficients of one look: standardised figures go through each network's layers, their chances are averaged.

    layers: of each network (weights, offsets) layer by layer.
    """

    mean: Floats
    deviation: Floats
    layers: tuple[tuple[tuple[Floats, Floats], ...], ...]

    def chances(self, rows: Floats) -> Floats:
        """Of each kind, averaged."""
        standard = (rows - self.mean) / self.deviation
        return np.asarray(np.mean([_through(standard, layers) for layers in self.layers], axis=0))


@dataclass(frozen=True, slots=True, eq=False)
class Looks:
    """A first look at each shape's traits, and a second that knows besides what the first took it and those beside it
    for (auto-context: Tu 2008).

    heat: over 1 makes the chances less sure. favour: letters count as so much likelier, up to where few enough other
    shapes are called letters.
    """

    first: Networks
    second: Networks
    heat: float
    favour: float


@cache
def looks() -> Looks:
    """The coefficients that come with the package."""
    told = json.loads((Path(__file__).parent / "classifier.json").read_text(encoding="utf-8"))
    if tuple(told["traits"]) != NAMES or tuple(told["kinds"]) != KINDS:
        raise ValueError("classifier.json was made for other traits: run tests/training/train.py")
    first, second = (
        Networks(
            np.array(look["mean"]), np.array(look["deviation"]),
            tuple(tuple((np.array(weights), np.array(offsets)) for weights, offsets in each)
                  for each in look["networks"]),
        )
        for look in told["looks"]
    )  # fmt: skip
    return Looks(first, second, float(told["heat"]), float(told["favour"]))


def predict(rows: Floats, near: NDArray[np.int64]) -> Floats:
    """Chances of each of KINDS, (N, len(KINDS)), from traits (N, len(NAMES)) and neighbours (N, K), -1 for none."""
    own = looks()
    if not len(rows):
        return np.empty((0, len(KINDS)))
    powers = np.maximum(own.second.chances(second_look(rows, own.first.chances(rows), near)), LEAST) ** (1.0 / own.heat)
    powers[:, LETTER] *= own.favour
    return np.asarray(powers / powers.sum(axis=1, keepdims=True))


def second_look(rows: Floats, first: Floats, near: NDArray[np.int64]) -> Floats:
    """Traits with what the first look found, (N, len(NAMES) + 14): of the shape, of its neighbours, and of theirs."""
    found = near >= 0
    other = np.where(found, near, 0)
    count = np.maximum(found.sum(axis=1), 1)[:, None]
    beside = (first[other] * found[:, :, None]).sum(axis=1) / count
    beyond = (beside[other] * found[:, :, None]).sum(axis=1) / count
    likest = (first[other][:, :, LETTER] * found).max(axis=1)
    return np.column_stack([rows, np.log(np.maximum(first, LEAST_TOLD)), beside, beyond[:, TOLD_BEYOND], likest])


def _through(rows: Floats, layers: Sequence[tuple[Floats, Floats]]) -> Floats:
    """Rectified layers, the last one normalised to chances."""
    for weights, offsets in layers[:-1]:
        rows = np.maximum(rows @ weights + offsets, 0.0)
    logits = rows @ layers[-1][0] + layers[-1][1]
    powers = np.exp(logits - logits.max(axis=1, keepdims=True))
    return np.asarray(powers / powers.sum(axis=1, keepdims=True))
