"""Trains the classifier of shapes and writes analyse/lettering/classifier.json.

Run: python tests/training/train.py --more FOLDER --openmoji FOLDER [--keep FILE] [--sheets N] [--write]
FOLDER of --more: where `npm install lucide-static feather-icons @mapbox/maki @fontsource/...` was run (see MATERIAL).
Prints the confusion of kinds over fonts and drawings that were unseen each time, how far certainty may be trusted and
how much geometry alone finds of strokes, bodies and dots; with --write writes the coefficients trained on everything.
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
import resvg_py
import shapely
from dealing import FOLDS, ROOT
from drawing import PAPER, Item
from numpy.typing import NDArray
from shapely import Point, affinity
from sheets import Sheet, sheets
from sklearn.exceptions import ConvergenceWarning
from sklearn.neural_network import MLPClassifier
from telling import tell, tell_plain

from analyse import read_artwork, trace
from analyse.lettering.classifier import KINDS, classifiable, second_look
from analyse.lettering.traits import NAMES, NEIGHBOURS, traits
from analyse.limits import default_limits, with_limits
from analyse.values import Drawing
from analyse.widths.measuring import Shape, measure

MATERIAL = (
    "abril-fatface alfa-slab-one amatic-sc archivo-black bangers bebas-neue bitter black-ops-one cinzel "
    "cormorant-garamond crimson-text dancing-script fredoka graduate great-vibes josefin-slab lobster merriweather "
    "montserrat nunito oswald pacifico permanent-marker playfair-display poppins raleway righteous rye special-elite "
    "staatliches comfortaa quicksand varela-round m-plus-rounded-1c sniglet dosis"
)
LETTER = KINDS.index("letter")
STENCILS = ("black-ops-one",)  # on sheets of these the letters are in pieces: what each is, is not told
MISTAKEN = 0.018  # of other shapes that may be called letters
FAVOURS = np.linspace(0.6, 2.5, 96)
HIDDEN, DECAY, ROUNDS, NETWORKS = (48, 24), 0.1, 30, 3
ROUND = 0.85  # 4 pi area / length^2 from which a shape is round
DOTTED = {"stroke": 2.2, "body": 1.0, "colour": 5.0}  # and up to so many units of its drawing it is a dot
OVER = 0.2  # capitals: letters reach over their line's box by no more
TALLEST = 3.2  # of capitals: a larger thing of their ink is no letter
DARK = 70  # level under which the lines of many-coloured icons are
AS_PIXELS, PIXELS = 0.35, (350, 500, 800, 1200)  # of the sheets are sent as pixels, their longer side so long
SAME = 60  # levels between a region and the ink it was drawn in
PATIENT = with_limits(default_limits(), {"seconds": 60})
Floats, Ints = NDArray[np.float64], NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Data:
    """Shapes: traits, the kind each was drawn as (-1 where not known), its fold, and its neighbours (-1 for none)."""

    traits: Floats
    kinds: Ints
    folds: Ints
    near: Ints

    @staticmethod
    def of(told: Floats | list[float], kinds: list[int], fold: int, near: Ints | list[int]) -> Data:
        """The shapes of one sheet."""
        return Data(
            np.reshape(told, (-1, len(NAMES))).astype(float), np.array(kinds, dtype=np.int64),
            np.full(len(kinds), fold), np.reshape(near, (-1, NEIGHBOURS)).astype(np.int64),
        )  # fmt: skip

    def with_more(self, more: Data) -> Data:
        """These and more."""
        near = np.where(more.near >= 0, more.near + len(self.kinds), -1)
        pairs = ((self.traits, more.traits), (self.kinds, more.kinds), (self.folds, more.folds), (self.near, near))
        return Data(*(np.concatenate(pair) for pair in pairs))

    def part(self, keep: NDArray[np.bool_]) -> Data:
        """Whole folds of it: neighbours are of one sheet."""
        number = np.append(np.cumsum(keep) - 1, -1)
        return Data(self.traits[keep], self.kinds[keep], self.folds[keep], number[self.near[keep]])


def labelled(sheet: Sheet) -> tuple[tuple[Floats, Ints], list[int]]:
    """Traits of each shape of a picture, its neighbours, and the kind it was drawn as (-1 where that is not known)."""
    drawing = trace(read_artwork(_sent(sheet), name=sheet.name, limits=PATIENT))
    shapes, colours, _ = classifiable(drawing, measure(drawing))
    scale = max(sheet.side) / max(drawing.labels.shape)
    left, top, right, bottom = drawing.extent_px
    hulls = shapely.convex_hull(np.array([shape.whole.filled for shape in shapes], dtype=object))
    truth = [_truth(sheet, drawing, shape, int(colour), scale) for shape, colour in zip(shapes, colours, strict=True)]
    if any(face in sheet.name for face in STENCILS):
        truth = [-1 if kind == LETTER else kind for kind in truth]
    return traits(shapes, hulls, colours, max(right - left, bottom - top)), truth


def _sent(sheet: Sheet) -> bytes:
    """A picture as an SVG or, of some, as pixels."""
    dice = random.Random(sheet.name)
    if dice.random() >= AS_PIXELS:
        return sheet.svg.encode()
    wide = dice.choice(PIXELS) * sheet.side[0] / max(sheet.side)
    return bytes(resvg_py.svg_to_bytes(svg_string=sheet.svg, width=round(wide)))


def _truth(sheet: Sheet, drawing: Drawing, shape: Shape, colour: int, scale: float) -> int:
    left, top, right, bottom = (value * scale for value in shape.outline.bounds)
    tall = max(right - left, bottom - top)
    here = [item for item in sheet.items if item.where.contains(Point((left + right) / 2, (top + bottom) / 2))]
    own = affinity.scale(shape.outline, scale, scale, origin=(0.0, 0.0))
    for item in here:
        within = item.where.buffer(OVER * item.unit).contains(own)  # not so a frame about them
        if item.kind == "letter" and within and _inked(drawing, colour, item) and tall <= TALLEST * item.unit:
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
    """Every shape of every sheet; kept in a file, fold by fold, from one run to the next."""
    data = Data(**np.load(args.keep)) if args.keep and args.keep.exists() else Data.of([], [], 0, [])
    for fold in sorted(set(range(FOLDS)) - set(data.folds.tolist())):
        for sheet in sheets(fold, args.sheets, args.more, args.openmoji):
            (told, near), truth = labelled(sheet)
            data = data.with_more(Data.of(told, truth, fold, near))
        print(f"fold {fold}: {len(data.kinds)} shapes so far", flush=True)
        if args.keep:
            np.savez_compressed(args.keep, **{name: getattr(data, name) for name in Data.__slots__})
    return data


@dataclass(frozen=True)
class Fitted:
    """Mean and deviation of the figures, and networks that differ in how they began."""

    mean: Floats
    deviation: Floats
    networks: tuple[MLPClassifier, ...]

    def chances(self, rows: Floats) -> Floats:
        """Of each kind, averaged."""
        standard = (rows - self.mean) / self.deviation
        return np.asarray(np.mean([network.predict_proba(standard) for network in self.networks], axis=0))


def fitted(rows: Floats, kinds: Ints) -> Fitted:
    """Trained on those whose kind is known."""
    rows, kinds = rows[kinds >= 0], kinds[kinds >= 0]
    middle, spread = rows.mean(axis=0), np.maximum(rows.std(axis=0), 1e-6)
    networks = tuple(
        MLPClassifier(
            HIDDEN, alpha=DECAY, max_iter=ROUNDS, random_state=k, learning_rate_init=2e-3, batch_size=256
        ).fit((rows - middle) / spread, kinds)
        for k in range(NETWORKS)
    )
    return Fitted(middle, spread, networks)


def both_looks(data: Data) -> tuple[Fitted, Fitted]:
    """The first look trained on all, the second on what first looks made of shapes that they had not seen."""
    first = np.zeros((len(data.kinds), len(KINDS)))
    for fold in set(data.folds.tolist()):
        out = data.folds == fold
        first[out] = fitted(data.traits[~out], data.kinds[~out]).chances(data.traits[out])
    return fitted(data.traits, data.kinds), fitted(second_look(data.traits, first, data.near), data.kinds)


def unseen(data: Data) -> Floats:
    """Chances of each kind for every shape, from networks that saw nothing of its fold."""
    chances = np.zeros((len(data.kinds), len(KINDS)))
    for fold in range(FOLDS):
        out = data.folds == fold
        first, second = both_looks(data.part(~out))
        own = data.part(out)
        chances[out] = second.chances(second_look(own.traits, first.chances(own.traits), own.near))
    return chances


def cooled(chances: Floats, heat: float, favour: float = 1.0) -> Floats:
    """Chances made less sure (heat over 1) or surer, letters taken for so much likelier than the networks say."""
    powered = np.maximum(chances, 1e-12) ** (1.0 / heat)
    powered[:, LETTER] *= favour
    return np.asarray(powered / powered.sum(axis=1, keepdims=True))


def best_heat(chances: Floats, kinds: Ints) -> float:
    """The heat at which the truth is likeliest."""
    heats = np.linspace(0.6, 2.5, 77)
    loss = [-np.log(cooled(chances, heat)[np.arange(len(kinds)), kinds]).mean() for heat in heats]
    return float(heats[int(np.argmin(loss))])


def best_favour(chances: Floats, kinds: Ints, heat: float) -> float:
    """The most by which letters may be favoured while no more than MISTAKEN of other shapes are called letters."""
    others = chances[kinds != LETTER]
    called = [(cooled(others, heat, favour).argmax(axis=1) == LETTER).mean() for favour in FAVOURS]
    return float(FAVOURS[max(int(np.searchsorted(called, MISTAKEN, side="right")) - 1, 0)])


def cross_cooled(chances: Floats, kinds: Ints, folds: Ints) -> Floats:
    """Every fold's chances at the heat and favour that suit the others."""
    out = np.zeros_like(chances)
    for fold in range(FOLDS):
        own = folds == fold
        heat = best_heat(chances[~own], kinds[~own])
        out[own] = cooled(chances[own], heat, best_favour(chances[~own], kinds[~own], heat))
    return out


def written(data: Data, heat: float, favour: float) -> dict[str, object]:
    """The coefficients, trained on everything, as plain data."""

    def plain(values: Floats) -> list[object]:
        return json.loads(json.dumps(values.tolist()), parse_float=lambda text: float(f"{float(text):.5g}"))  # type: ignore[no-any-return]

    looks = [
        {
            "mean": plain(look.mean), "deviation": plain(look.deviation),
            "networks": [
                [[plain(each), plain(offsets)] for each, offsets in zip(own.coefs_, own.intercepts_, strict=True)]
                for own in look.networks
            ],
        }
        for look in both_looks(data)
    ]  # fmt: skip
    return {
        "made_by": "tests/training/train.py", "kinds": list(KINDS), "traits": list(NAMES), "heat": round(heat, 4),
        "favour": round(favour, 4), "looks": looks,
    }  # fmt: skip


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--more", type=File)
    options.add_argument("--openmoji", type=File)
    options.add_argument("--keep", type=File)
    options.add_argument("--sheets", type=int, default=80)
    options.add_argument("--write", action="store_true")
    args = options.parse_args()
    warnings.simplefilter("ignore", ConvergenceWarning)  # so many rounds are enough
    data = read_all(args)
    known = data.kinds >= 0
    raw, kinds = unseen(data)[known], data.kinds[known]
    at_hand = cross_cooled(raw, kinds, data.folds[known])
    tell(at_hand, kinds)
    tell_plain(data.traits[known], at_hand, kinds)
    if args.write:
        heat = best_heat(raw, kinds)
        text = json.dumps(written(data, heat, best_favour(raw, kinds, heat)), separators=(",", ":"))
        (ROOT / "analyse/lettering/classifier.json").write_text(text.replace("],[", "],\n[") + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
