"""Trains the classifier of shapes and writes analyse/lettering/classifier.json.

Run: python tests/training/train.py --more FOLDER --openmoji FOLDER [--keep FILE] [--sheets N] [--write]
FOLDER of --more: where `npm install lucide-static feather-icons @mapbox/maki @fontsource/...` was run (see MATERIAL).
Prints the confusion of kinds over fonts and drawings that were unseen each time, how far certainty may be trusted, and
with --write writes the coefficients trained on everything.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
import warnings
from dataclasses import dataclass
from pathlib import Path as File

sys.path.insert(0, str(File(__file__).parent))

import numpy as np
from dealing import FOLDS, ROOT
from drawing import Item
from numpy.typing import NDArray
from shapely import Point
from sheets import Sheet, sheets
from sklearn.exceptions import ConvergenceWarning
from sklearn.neural_network import MLPClassifier

from analyse import read_artwork, trace
from analyse.lettering.classifier import KINDS, classifiable
from analyse.lettering.traits import NAMES, traits
from analyse.limits import default_limits, with_limits
from analyse.values import Drawing
from analyse.widths.measuring import Shape, measure

MATERIAL = (
    "abril-fatface alfa-slab-one amatic-sc archivo-black bangers bebas-neue bitter black-ops-one cinzel "
    "cormorant-garamond crimson-text dancing-script fredoka graduate great-vibes josefin-slab lobster merriweather "
    "montserrat nunito oswald pacifico permanent-marker playfair-display poppins raleway righteous rye special-elite "
    "staatliches"
)
LETTER = KINDS.index("letter")
MISTAKEN = 0.018  # of other shapes that may be called letters
FAVOURS = np.linspace(1.0, 2.5, 61)
HIDDEN, DECAY, ROUNDS, NETWORKS = (48, 24), 0.7, 60, 3
ROUND = 0.85  # 4 pi area / length^2 from which a shape is round
DOTTED = {"stroke": 2.2, "body": 1.0, "colour": 5.0}  # and up to so many units of its drawing it is a dot
TALLEST = 3.2  # of capitals: a larger thing of their ink is no letter
DARK = 70  # level under which the lines of many-coloured icons are
PAPER = "#ffffff"
SAME = 60  # levels between a region and the ink it was drawn in
PATIENT = with_limits(default_limits(), {"seconds": 60})
Data = tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.int64]]


def labelled(sheet: Sheet) -> tuple[NDArray[np.float64], list[int]]:
    """Traits of each shape of a picture, and the kind it was drawn as (-1 where that is not known)."""
    width = random.Random(sheet.name).choice([500, 800, 1100, 1500])
    svg = sheet.svg.replace("<svg ", f'<svg width="{width}" height="{width * sheet.side[1] / sheet.side[0]:.0f}" ', 1)
    drawing = trace(read_artwork(svg.encode(), name=f"{sheet.name}.svg", limits=PATIENT))
    shapes, colours, _ = classifiable(drawing, measure(drawing))
    scale = max(sheet.side) / max(drawing.labels.shape)
    left, top, right, bottom = drawing.extent_px
    told = traits(shapes, colours, max(right - left, bottom - top))
    return told, [
        _truth(sheet, drawing, shape, int(colour), scale) for shape, colour in zip(shapes, colours, strict=True)
    ]


def _truth(sheet: Sheet, drawing: Drawing, shape: Shape, colour: int, scale: float) -> int:
    left, top, right, bottom = (value * scale for value in shape.outline.bounds)
    tall = max(right - left, bottom - top)
    here = [item for item in sheet.items if item.where.contains(Point((left + right) / 2, (top + bottom) / 2))]
    for item in here:
        if item.kind == "letter" and _inked(drawing, colour, item) and tall <= TALLEST * item.unit:
            return KINDS.index("dot" if tall < 0.35 * item.unit else "letter")
    kinds = {item.kind: item for item in here}
    rounded = 4 * np.pi * shape.outline.area / shape.outline.length**2 > ROUND
    told = _other(kinds, drawing, colour, tall, rounded)
    return -1 if told is None else KINDS.index(told)


def _inked(drawing: Drawing, colour: int, item: Item) -> bool:
    """Whether a shape has the ink of the letters drawn there; openings show the paper."""
    return item.ink == PAPER if colour < 0 else _apart(drawing.palette[colour].rgb, item.ink) < SAME


def _other(kinds: dict[str, Item], drawing: Drawing, colour: int, tall: float, rounded: bool) -> str | None:
    """What a shape that is no letter was drawn as; a counter, or what a frame leaves open, is a dot or a body."""
    counter = colour < 0 or ("letter" in kinds and "ground" in kinds and tall < 50)
    limits = {kind: factor * kinds[kind].unit for kind, factor in DOTTED.items() if kind in kinds}
    if counter:
        return "dot" if rounded and tall < 60 else "body"
    if "texture" in kinds and tall < 120:
        return "texture"
    if "ground" in kinds:
        return "body" if tall > 50 else None
    for kind, limit in limits.items():
        plain = "stroke" if kind == "colour" and max(drawing.palette[colour].rgb) < DARK else kind
        return "dot" if rounded and tall < limit else plain.replace("colour", "body")
    return "dot" if "dot" in kinds else None


def _apart(rgb: tuple[int, int, int], ink: str) -> int:
    return max(abs(own - int(ink[k : k + 2], 16)) for own, k in zip(rgb, (1, 3, 5), strict=True))


def read_all(args: argparse.Namespace) -> Data:
    """Traits, kinds and folds of every shape of every sheet; kept in a file, fold by fold, from one run to the next."""
    kept = np.load(args.keep) if args.keep and args.keep.exists() else None
    data = (kept["traits"], kept["kinds"], kept["folds"]) if kept else _nothing()
    for fold in sorted(set(range(FOLDS)) - set(data[2].tolist())):
        new = _nothing()
        for sheet in sheets(fold, args.sheets, args.more, args.openmoji):
            told, truth = labelled(sheet)
            known = np.array(truth) >= 0
            new = _with(new, (told[known], np.array(truth)[known], np.full(known.sum(), fold)))
        data = _with(data, new)
        print(f"fold {fold}: {len(data[1])} shapes so far", flush=True)
        if args.keep:
            np.savez_compressed(args.keep, traits=data[0], kinds=data[1], folds=data[2])
    return data


def _nothing() -> Data:
    return np.empty((0, len(NAMES))), np.empty(0, np.int64), np.empty(0, np.int64)


def _with(data: Data, more: Data) -> Data:
    rows, kinds, folds = (np.concatenate(pair) for pair in zip(data, more, strict=True))
    return rows, kinds, folds


@dataclass(frozen=True)
class Fitted:
    """Mean and deviation of the traits, and networks that differ in how they began."""

    mean: NDArray[np.float64]
    deviation: NDArray[np.float64]
    networks: tuple[MLPClassifier, ...]

    def chances(self, rows: NDArray[np.float64]) -> NDArray[np.float64]:
        """Of each kind, averaged."""
        standard = (rows - self.mean) / self.deviation
        return np.mean([network.predict_proba(standard) for network in self.networks], axis=0)


def fitted(rows: NDArray[np.float64], kinds: NDArray[np.int64]) -> Fitted:
    """Trained on these."""
    middle, spread = rows.mean(axis=0), np.maximum(rows.std(axis=0), 1e-6)
    networks = tuple(
        MLPClassifier(
            HIDDEN, alpha=DECAY, max_iter=ROUNDS, random_state=k, learning_rate_init=2e-3, batch_size=256
        ).fit((rows - middle) / spread, kinds)
        for k in range(NETWORKS)
    )
    return Fitted(middle, spread, networks)


def unseen(data: Data) -> NDArray[np.float64]:
    """Chances of each kind for every shape, from networks that saw nothing of its fold."""
    rows, kinds, folds = data
    chances = np.zeros((len(rows), len(KINDS)))
    for fold in range(FOLDS):
        out = folds == fold
        chances[out] = fitted(rows[~out], kinds[~out]).chances(rows[out])
    return chances


def cooled(chances: NDArray[np.float64], heat: float, favour: float = 1.0) -> NDArray[np.float64]:
    """Chances made less sure (heat over 1) or surer, letters taken for so much likelier than the networks say."""
    powered = np.maximum(chances, 1e-12) ** (1.0 / heat)
    powered[:, LETTER] *= favour
    return np.asarray(powered / powered.sum(axis=1, keepdims=True))


def best_heat(chances: NDArray[np.float64], kinds: NDArray[np.int64]) -> float:
    """The heat at which the truth is likeliest."""
    heats = np.linspace(0.6, 2.5, 77)
    loss = [-np.log(cooled(chances, heat)[np.arange(len(kinds)), kinds]).mean() for heat in heats]
    return float(heats[int(np.argmin(loss))])


def best_favour(chances: NDArray[np.float64], kinds: NDArray[np.int64], heat: float) -> float:
    """The most by which letters may be favoured while no more than MISTAKEN of other shapes are called letters."""
    others = chances[kinds != LETTER]
    called = [(cooled(others, heat, favour).argmax(axis=1) == LETTER).mean() for favour in FAVOURS]
    return float(FAVOURS[max(int(np.searchsorted(called, MISTAKEN, side="right")) - 1, 0)])


def cross_cooled(
    chances: NDArray[np.float64], kinds: NDArray[np.int64], folds: NDArray[np.int64]
) -> NDArray[np.float64]:
    """Every fold's chances at the heat and favour that suit the others."""
    out = np.zeros_like(chances)
    for fold in range(FOLDS):
        own = folds == fold
        heat = best_heat(chances[~own], kinds[~own])
        out[own] = cooled(chances[own], heat, best_favour(chances[~own], kinds[~own], heat))
    return out


def tell(chances: NDArray[np.float64], kinds: NDArray[np.int64]) -> None:
    """The confusion table, the two shares that are promised, and the reliability table."""
    said = chances.argmax(axis=1)
    print("drawn as   " + "".join(f"{kind:>9s}" for kind in KINDS) + "   found")
    for k, kind in enumerate(KINDS):
        counts = np.bincount(said[kinds == k], minlength=len(KINDS))
        print(f"{kind:10s} " + "".join(f"{count:9d}" for count in counts) + f"  {counts[k] / counts.sum():6.1%}")
    print(f"letters found: {(said[kinds == LETTER] == LETTER).mean():.1%}", end="; ")
    print(f"other shapes called letters: {(said[kinds != LETTER] == LETTER).mean():.1%}")
    sure = chances.max(axis=1)
    print("certainty     shapes  said   right")
    for low, high in ((0.3, 0.55), (0.55, 0.65), (0.65, 0.75), (0.75, 0.85), (0.85, 0.95), (0.95, 1.01)):
        own = (sure >= low) & (sure < high)
        if own.any():
            right = (said[own] == kinds[own]).mean()
            print(f"{low:.2f} to {min(high, 1):.2f} {own.sum():7d} {sure[own].mean():6.1%} {right:6.1%}")


def written(data: Data, heat: float, favour: float) -> dict[str, object]:
    """The coefficients, trained on everything, as plain data."""
    made = fitted(data[0], data[1])

    def plain(values: NDArray[np.float64]) -> list[object]:
        return json.loads(json.dumps(values.tolist()), parse_float=lambda text: float(f"{float(text):.5g}"))  # type: ignore[no-any-return]

    networks = [
        [[plain(weights), plain(offsets)] for weights, offsets in zip(each.coefs_, each.intercepts_, strict=True)]
        for each in made.networks
    ]
    return {
        "made_by": "tests/training/train.py", "kinds": list(KINDS), "traits": list(NAMES), "heat": round(heat, 4),
        "favour": round(favour, 4),
        "mean": plain(made.mean), "deviation": plain(made.deviation), "networks": networks,
    }  # fmt: skip


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--more", type=File)
    options.add_argument("--openmoji", type=File)
    options.add_argument("--keep", type=File)
    options.add_argument("--sheets", type=int, default=64)
    options.add_argument("--write", action="store_true")
    args = options.parse_args()
    warnings.simplefilter("ignore", ConvergenceWarning)  # so many rounds are enough
    data = read_all(args)
    raw = unseen(data)
    tell(cross_cooled(raw, data[1], data[2]), data[1])
    if args.write:
        heat = best_heat(raw, data[1])
        text = json.dumps(written(data, heat, best_favour(raw, data[1], heat)), separators=(",", ":"))
        (ROOT / "analyse/lettering/classifier.json").write_text(text.replace("],[", "],\n[") + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
