"""Sheets of lettering of known place, height and stems: open fonts, laid out by outlines. And of what is none."""

from __future__ import annotations

import csv
import math
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path as File

sys.path.insert(0, str(File(__file__).parents[1] / "artworks"))

from letters import FONTS, cap_height, font, glyph, ring, straight
from pen import Path

ROOT = File(__file__).parents[2]
SIDE = 1500
CAP = 60.0
NAVY, CREAM = "#14284b", "#f5ebd7"

# The rows of tests/published/font_strokes.csv by the name of the font's file.
FILES = {
    "DejaVuSans": "DejaVu Sans,Book", "DejaVuSans-Bold": "DejaVu Sans,Bold", "DejaVuSerif": "DejaVu Serif,Book",
    "DejaVuSerif-Bold": "DejaVu Serif,Bold", "DejaVuSansMono": "DejaVu Sans Mono,Book",
    "DejaVuSans-ExtraLight": "DejaVu Sans,ExtraLight", "Lato-Regular": "Lato,Regular", "Lato-Bold": "Lato,Bold",
    "Lato-Black": "Lato,Black", "Lato-Hairline": "Lato,Hairline", "LiberationSans-Regular": "Liberation Sans,Regular",
    "LiberationSans-Bold": "Liberation Sans,Bold", "LiberationSerif-Regular": "Liberation Serif,Regular",
    "LiberationSerif-Bold": "Liberation Serif,Bold", "LiberationMono-Regular": "Liberation Mono,Regular",
    "NotoSans-Regular": "Noto Sans,Regular", "NotoSans-Bold": "Noto Sans,Bold",
    "NotoSerif-Regular": "Noto Serif,Regular", "NotoSerif-Bold": "Noto Serif,Bold",
    "OpenSans-Light": "Open Sans,Light", "OpenSans-Regular": "Open Sans,Regular", "OpenSans-Bold": "Open Sans,Bold",
    "Roboto-Thin": "Roboto,Thin", "Roboto-Regular": "Roboto,Regular", "Roboto-Bold": "Roboto,Bold",
    "EBGaramond12-Regular": "EB Garamond 12,Regular", "EBGaramond12-Bold": "EB Garamond 12,Bold",
    "LinLibertine_R": "Linux Libertine,Regular", "NimbusRoman-Regular": "Nimbus Roman,Regular",
    "NimbusSans-Regular": "Nimbus Sans,Regular", "URWGothic-Book": "URW Gothic,Book",
}  # fmt: skip


@dataclass(frozen=True)
class Truth:
    """One line as drawn: what it is called, its letters' middles, capital and x-height, stem; in picture units."""

    layout: str
    text: str
    middles: tuple[complex, ...]
    cap: float
    x_height: float | None
    stem: float | None


@dataclass(frozen=True)
class Sheet:
    """A picture and the lines on it."""

    svg: str
    lines: tuple[Truth, ...]


@cache
def published() -> dict[str, list[dict[str, str]]]:
    rows: dict[str, list[dict[str, str]]] = {}
    with (ROOT / "tests/published/font_strokes.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            rows.setdefault(f"{row['font']},{row['style']}", []).append(row)
    return rows


def known() -> Iterator[str]:
    """The fonts of the table that this machine has."""
    return (file for file in FILES if file in FONTS and FILES[file] in published())


def stem_of(name: str, letter: str, cap: float) -> float | None:
    """Published stem of H or n in a line of that cap height."""
    for row in published().get(FILES.get(name, ""), []):
        if row["glyph"] == letter and row["part"] == "stem":
            return float(row["stem_units"]) / float(row["cap_height_units"]) * cap
    return None


def x_height_of(name: str, cap: float) -> float:
    """Height of x in a line of that cap height."""
    ys = [z.imag for _, zs in glyph(name, "x").commands for z in zs]
    return (max(ys) - min(ys)) / cap_height(name) * cap


def _middles(path: Path, cap: float) -> tuple[complex, ...]:
    """Middles of the boxes of contours that are no holes, dots or hyphens: one for each letter."""
    boxes = []
    for loop in path.flattened():
        left, right, top, bottom = loop.real.min(), loop.real.max(), loop.imag.min(), loop.imag.max()
        boxes.append((left, right, top, bottom))
    outer = [
        a for a in boxes
        if not any(b is not a and b[0] <= a[0] and b[1] >= a[1] and b[2] <= a[2] and b[3] >= a[3] for b in boxes)
    ]  # fmt: skip
    return tuple(
        complex((left + right) / 2, (top + bottom) / 2)
        for left, right, top, bottom in outer
        if max(right - left, bottom - top) > 0.5 * cap
    )


def _truth(name: str, layout: str, text: str, path: Path, cap: float = CAP) -> Truth:
    mixed = any(letter.islower() for letter in text)
    stem = stem_of(name, "n" if mixed else "H", cap) if any(letter.isalpha() for letter in text) else None
    return Truth(layout, text, _middles(path, cap), cap, x_height_of(name, cap) if mixed else None, stem)


def _svg(body: str, height: int = SIDE) -> str:
    paper = f'<path d="M0,0H{SIDE}V{height}H0Z" fill="white"/>'
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIDE} {height}">{paper}{body}</svg>'


def straight_sheet(name: str) -> Sheet:
    """Capitals, mixed case, slanted, numbers, an ampersand, light on dark, cut out of a shape."""

    def laid(text: str, y: float, x: float = 750) -> Path:
        return straight(text, name, cap=CAP, at=complex(x, y), tracking=4.0)

    lines = [
        ("capitals", "HARBOUR LIGHT", laid("HARBOUR LIGHT", 130)),
        ("mixed case", "Harbour Lights", laid("Harbour Lights", 270)),
        ("numbers", "1887-2035", laid("1887-2035", 410)),
        ("ampersand", "FISH & SONS", laid("FISH & SONS", 550)),
        ("slanted", "NORTH PIER", laid("NORTH PIER", 750).turned(-17, 750 + 750j)),
    ]
    light, cut = laid("GARDEN GATE", 1090), laid("OPEN STUDIO", 1310)
    body = "".join(f'<path d="{path.d()}" fill="{NAVY}"/>' for _, _, path in lines)
    body += f'<path d="M100,980H1400V1140H100Z" fill="{NAVY}"/><path d="{light.d()}" fill="{CREAM}"/>'
    body += f'<path fill-rule="evenodd" d="M100,1200H1400V1360H100Z{cut.d()}" fill="#a8322d"/>'
    lines += [("light on dark", "GARDEN GATE", light), ("cut out", "OPEN STUDIO", cut)]
    return Sheet(_svg(body), tuple(_truth(name, *line) for line in lines))


def ring_sheet(name: str) -> Sheet:
    """Round a ring from outside and from inside, on an arc, and a line of small capitals and a monogram."""
    centre = 750 + 600j
    lines = [
        ("ring", "SALTMARSH ROWING CLUB", ring("SALTMARSH ROWING CLUB", name, cap=CAP, centre=centre, radius=460,
                                               tracking=6.0)),
        ("ring below", "ESTABLISHED 1887", ring("ESTABLISHED 1887", name, cap=CAP, centre=centre, radius=520,
                                                tracking=6.0, below=True)),
        ("arc", "Winter Regatta", ring("Winter Regatta", name, cap=CAP, centre=750 + 1600j, radius=1000, tracking=4.0)),
        ("wide spacing", "ANGLERS", straight("ANGLERS", name, cap=CAP, at=750 + 900j, width=640)),
        ("two letters", "RC", straight("RC", name, cap=CAP * 2, at=750 + 480j)),
    ]  # fmt: skip
    body = "".join(f'<path d="{path.d()}" fill="{NAVY}"/>' for _, _, path in lines)
    caps = [CAP, CAP, CAP, CAP, CAP * 2]
    truths = tuple(_truth(name, *line, cap) for line, cap in zip(lines, caps, strict=True))
    return Sheet(_svg(body), truths)


def _circle(x: float, y: float, r: float) -> str:
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}"/>'


def _turned(x: float, y: float, deg: float, shape: str) -> str:
    return f'<g transform="translate({x:.1f} {y:.1f}) rotate({deg:.1f})">{shape}</g>'


def _stroke(d: str, width: float) -> str:
    return f'<path d="{d}" fill="none" stroke="{NAVY}" stroke-width="{width}" stroke-linecap="round"/>'


def no_letters() -> dict[str, str]:
    """Pictures without a letter that have rows of like things: rope, scales, leaves, hatching, stars, links ..."""
    strand = "M-26,14C-12,16 -6,-14 26,-16C14,-20 -14,-14 -26,14Z"
    leaf = "M0,-40C22,-20 22,20 0,40C-22,20 -22,-20 0,-40Z"
    star = "M0,-40L9,-12 38,-12 15,6 23,34 0,17 -23,34 -15,6 -38,-12 -9,-12Z"
    wave = "M-60,0C-40,-40 -20,-40 0,0C20,40 40,40 60,0"
    round_ring = [(750 + 600 * math.sin(math.radians(a)), 750 - 600 * math.cos(math.radians(a)), a)
                  for a in range(0, 360, 8)]  # fmt: skip
    grid = [(150 + 130 * i + (65 if j % 2 else 0), 150 + 110 * j) for j in range(11) for i in range(10)]
    rows = {
        "rope": [_turned(x, y, a, f'<path d="{strand}"/>') for x, y, a in round_ring],
        "scales": [_turned(x, y, 0, _stroke("M-50,0C-50,60 50,60 50,0", 12)) for x, y in grid],
        "leaves": [_turned(x, y, a + 30, f'<path d="{leaf}"/>') for x, y, a in round_ring],
        "stars": [_turned(x, y, a, f'<path d="{star}"/>') for x, y, a in round_ring],
        "hatching": [_stroke(f"M{x},{y}l{30 + (x * 7 + y) % 40},{50 + (x + y * 3) % 30}", 9) for x, y in grid],
        "waves": [_turned(x, y, 0, _stroke(wave, 14)) for x, y in grid[::2]],
        "links": [_turned(x, y, a, f'<ellipse rx="48" ry="26" fill="none" stroke="{NAVY}" stroke-width="14"/>')
                  for x, y, a in round_ring[::3]],
        "dots": [_circle(x, y, 20 + (x + y) % 20) for x, y in grid],
        "bricks": [f'<rect x="{x:.0f}" y="{y:.0f}" width="{90 + (x * y) % 30:.0f}" height="70"/>' for x, y in grid],
        "posts": [f'<rect x="{x}" y="{500 - x % 90}" width="30" height="{400 + x % 90}"/>'
                  for x in range(100, 1400, 85)],
        "birds": [_turned(x, y, (x * y) % 40 - 20, _stroke("M-45,0C-30,-35 -10,-20 0,0C10,-20 30,-35 45,0", 12))
                  for x, y in grid[::3]],
        "teeth": [f'<path d="M{x},700L{x + 40},{620 - x % 50} {x + 80},700Z"/>' for x in range(100, 1300, 90)],
    }  # fmt: skip
    return {name: _svg(f'<g fill="{NAVY}">{"".join(shapes)}</g>') for name, shapes in rows.items()}


__all__ = ["CAP", "FILES", "SIDE", "Sheet", "Truth", "font", "known", "no_letters", "ring_sheet", "straight_sheet"]
