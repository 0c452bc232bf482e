"""Which fonts and drawings there are, and which fold each falls into: fonts by family, drawings one by one.

Whoever trains on four of the FOLDS has seen neither a font nor a drawing of the fifth. Fonts are those of the machine
and, with `more`, a folder into which packages such as @fontsource/lobster, lucide-static, feather-icons and
@mapbox/maki were installed by npm. Nothing of them is kept in the project.
"""

from __future__ import annotations

import random
import re
import sys
from functools import cache
from pathlib import Path as File

ROOT = File(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests/artworks")]

import letters  # noqa: E402 - found where the line above says

FOLDS = 5
DEBIAN = [
    "C059-Roman", "C059-BdIta", "DejaVuSans", "DejaVuSans-Bold", "DejaVuSans-ExtraLight", "DejaVuSansMono",
    "DejaVuSerif", "DejaVuSerif-Bold", "DejaVuSansCondensed", "EBGaramond12-Regular", "EBGaramond12-Italic",
    "EBGaramond12-Bold", "Lato-Black", "Lato-Bold", "Lato-Italic", "Lato-Light", "Lato-Regular",
    "LiberationMono-Regular", "LiberationSans-Bold", "LiberationSans-Regular", "LiberationSansNarrow-Bold",
    "LiberationSerif-Italic", "LiberationSerif-Regular", "LinBiolinum_R", "LinLibertine_R", "LinLibertine_RB",
    "NimbusMonoPS-Bold", "NimbusRoman-Italic", "NimbusRoman-Regular", "NimbusSans-Bold", "NimbusSans-Regular",
    "NimbusSansNarrow-Regular", "NotoSans-Regular", "NotoSans-Bold", "NotoSansDisplay-Bold", "NotoSerif-Regular",
    "NotoSerif-Bold", "NotoSerifDisplay-Italic", "OpenSans-Bold", "OpenSans-Light", "OpenSans-Regular",
    "P052-Roman", "P052-Bold", "Roboto-Black", "Roboto-Regular", "Roboto-Thin", "RobotoCondensed-Bold",
    "RobotoSlab-Regular", "URWBookman-Light", "URWBookman-Demi", "URWGothic-Book", "URWGothic-Demi",
    "Z003-MediumItalic"
]  # fmt: skip
# Icons that are letters, digits or signs of writing, or hold some.
WRITTEN = re.compile(
    "letter|type|case|text|font|alpha|number|bold|italic|underline|heading|pilcrow|parking|ampersand|currency|dollar|"
    "euro|pound|bitcoin|yen|rupee|ruble|lira|franc|philippine|georgian|percent|at-sign|hash|regex|binary|file-digit|"
    "sigma|omega|radical|pi|equal|code|quote|question|help|info|copyright|registered|trademark|atm|spell|languages|"
    "subscript|superscript|circle|square-m|hotel|hospital|baby|gauge|clock|1|2|3|4|5|6|7|8|9|0"
)  # fmt: skip
SIGNS = re.compile("1F17.|1F18.|1F19.|1F1..|1F3E7|1F4AF|1F4C5|1F4C6|1F50[0-9A-F]|1F51.|1F52[0-4]|1F5[23].|1F6[89B]..?")


@cache
def fonts(more: File | None) -> dict[int, list[str]]:
    """Names of fonts by fold; those in `more` are made known to `letters`."""
    named = [name for name in DEBIAN if name in letters.FONTS]
    for path in sorted(more.glob("node_modules/@fontsource/*/files/*-latin-[47]00-normal.woff")) if more else []:
        letters.FONTS[path.stem] = path
        named.append(path.stem)
    families = sorted({_family(name) for name in named})
    random.Random(5).shuffle(families)
    fold = {family: n % FOLDS for n, family in enumerate(families)}
    return {k: [name for name in named if fold[_family(name)] == k] for k in range(FOLDS)}


def _family(name: str) -> str:
    return re.split(r"-latin|[-_12]|Condensed|Mono|Display", name)[0]


@cache
def icons(more: File | None, openmoji: File | None) -> dict[str, dict[int, list[File]]]:
    """Stroke drawings, filled icons and many-coloured ones, by fold."""
    found: dict[str, list[File]] = {"stroke": [], "filled": [], "colour": []}
    if more:
        for part in ("lucide-static/icons", "feather-icons/dist/icons"):
            found["stroke"] += sorted((more / "node_modules" / part).glob("*.svg"))
        found["filled"] = sorted((more / "node_modules/@mapbox/maki/icons").glob("*.svg"))
    if openmoji:
        found["colour"] = sorted(path for path in openmoji.glob("1F[3-6]*.svg") if len(path.stem) == 5)
    dealt: dict[str, dict[int, list[File]]] = {}
    for kind, paths in found.items():
        plain = [path for path in paths if not (SIGNS if kind == "colour" else WRITTEN).search(path.stem)]
        random.Random(7).shuffle(plain)
        dealt[kind] = {k: plain[k::FOLDS] for k in range(FOLDS)}
    return dealt
