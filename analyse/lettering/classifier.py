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
SPECK_PX2 = 6.0  # a smaller shape is a speck of the reading


@dataclass(frozen=True, slots=True, eq=False)
class Chances:
    """How likely each region, and each enclosed piece of the background, is of each kind.

    regions, openings, pieces (what stands on a border, by `touching`): (N, len(KINDS)), rows that sum to 1; all 0 for
    what is too small to tell, and for pieces of the background that are not enclosed.
    """

    regions: Floats
    openings: Floats
    pieces: Floats

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
    colours = np.append(colours, [drawing.regions[i].colour for i in standing.regions]).astype(np.int64)
    left, top, right, bottom = drawing.extent_px
    found = predict(traits([*shapes, *standing.shapes], colours, max(right - left, bottom - top)))
    found, pieces = found[: len(shapes)], found[len(shapes) :]
    regions = np.zeros((len(measures.regions), len(KINDS)))
    openings = np.zeros((len(measures.background), len(KINDS)))
    regions[source[source >= 0]] = found[source >= 0]
    openings[-1 - source[source < 0]] = found[source < 0]
    return Chances(regions, openings, pieces)


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
    """Coefficients: standardised traits go through the layers of each network; their chances are averaged.

    layers: of each network (weights, offsets) layer by layer. heat: over 1 makes the chances less sure. favour: letters
    count as so much likelier, up to where few enough other shapes are called letters.
    """

    mean: Floats
    deviation: Floats
    layers: tuple[tuple[tuple[Floats, Floats], ...], ...]
    heat: float
    favour: float


@cache
def networks() -> Networks:
    """The coefficients that come with the package."""
    told = json.loads((Path(__file__).parent / "classifier.json").read_text(encoding="utf-8"))
    if tuple(told["traits"]) != NAMES or tuple(told["kinds"]) != KINDS:
        raise ValueError("classifier.json was made for other traits: run tests/training/train.py")
    layers = tuple(
        tuple((np.array(weights), np.array(offsets)) for weights, offsets in each) for each in told["networks"]
    )
    return Networks(
        np.array(told["mean"]), np.array(told["deviation"]), layers, float(told["heat"]), float(told["favour"])
    )


def predict(rows: Floats) -> Floats:
    """Chances of each of KINDS, (N, len(KINDS)), from traits (N, len(NAMES))."""
    own = networks()
    standard = (rows - own.mean) / own.deviation
    mean = np.mean([_through(standard, layers) for layers in own.layers], axis=0)
    powers = np.maximum(mean, 1e-12) ** (1.0 / own.heat)
    powers[:, KINDS.index("letter")] *= own.favour
    return np.asarray(powers / powers.sum(axis=1, keepdims=True))


def _through(rows: Floats, layers: Sequence[tuple[Floats, Floats]]) -> Floats:
    """Rectified layers, the last one normalised to chances."""
    for weights, offsets in layers[:-1]:
        rows = np.maximum(rows @ weights + offsets, 0.0)
    logits = rows @ layers[-1][0] + layers[-1][1]
    powers = np.exp(logits - logits.max(axis=1, keepdims=True))
    return np.asarray(powers / powers.sum(axis=1, keepdims=True))
