"""Lettering as outlines, from openly licensed fonts of the machine it is drawn on (Lato, EB Garamond, Roboto).

The finished SVGs hold only paths: nothing here is needed to read them.
"""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise
from pathlib import Path as File
from typing import Any

from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont
from pen import Path, joined
from PIL import ImageFont

FONTS = {path.stem: path for path in sorted(File("/usr/share/fonts").rglob("*.[ot]tf"))}


@cache
def font(name: str) -> TTFont:
    return TTFont(FONTS[name])


@cache
def measuring(name: str) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(FONTS[name]), 1000)


def _cubic(record: list[tuple[str, tuple[Any, ...]]]) -> Path:
    commands: list[tuple[str, tuple[complex, ...]]] = []
    here = 0j
    for name, points in record:
        zs = [complex(*p) for p in points if p is not None]
        if name == "moveTo":
            commands.append(("M", (zs[0],)))
        elif name == "lineTo":
            commands.append(("L", (zs[0],)))
        elif name == "curveTo":
            commands.append(("C", tuple(zs)))
        elif name == "qCurveTo":
            for control, end in _quadratics(zs):
                commands.append(("C", (here + 2 / 3 * (control - here), end + 2 / 3 * (control - end), end)))
                here = end
        else:
            commands.append(("Z", ()))
        here = zs[-1] if zs else here
    return Path(tuple(commands))


def _quadratics(zs: list[complex]) -> list[tuple[complex, complex]]:
    """A run of off-curve points with the ends between them that TrueType leaves out."""
    *controls, last = zs
    ends = [(a + b) / 2 for a, b in pairwise(controls)]
    return list(zip(controls, [*ends, last], strict=True))


@cache
def glyph(name: str, letter: str) -> Path:
    """One letter with its baseline at y = 0 and 1 unit to the em."""
    face = font(name)
    glyphs = face.getGlyphSet()
    scale = 1 / face["head"].unitsPerEm
    pen = DecomposingRecordingPen(glyphs)
    glyphs[face.getBestCmap()[ord(letter)]].draw(TransformPen(pen, (scale, 0, 0, -scale, 0, 0)))
    return _cubic(pen.value)


def cap_height(name: str) -> float:
    """Height of H, in em."""
    ys = [z.imag for _, zs in glyph(name, "H").commands for z in zs]
    return max(ys) - min(ys)


def advances(name: str, text: str) -> list[float]:
    """The way from each letter's origin to the next one's, kerned, in em."""
    measure = measuring(name)
    ways = [measure.getlength(text[k : k + 2]) - measure.getlength(text[k + 1 : k + 2]) for k in range(len(text) - 1)]
    return [way / 1000 for way in (*ways, measure.getlength(text[-1:]))]


def straight(
    text: str, name: str, *, cap: float, at: complex = 0j, tracking: float = 0.0, width: float | None = None
) -> Path:
    """A line of lettering, its cap height given, centred on `at` (on the baseline); `width` sets the tracking."""
    size = cap / cap_height(name)
    ways = [way * size for way in advances(name, text)]
    if width is not None:
        tracking = (width - sum(ways)) / (len(text) - 1)
    x = -(sum(ways) + tracking * (len(text) - 1)) / 2
    placed = []
    for letter, way in zip(text, ways, strict=True):
        if letter != " ":
            placed.append(glyph(name, letter).scaled(size).moved(at + x))
        x += way + tracking
    return joined(placed)


def ring(
    text: str, name: str, *, cap: float, centre: complex, radius: float, tracking: float = 0.0, at: float = 0.0,
    below: bool = False,
) -> Path:  # fmt: skip
    """Lettering round a circle: baseline at `radius`, middle at `at` degrees from the top; `below` reads upright."""
    size = cap / cap_height(name)
    ways = [way * size for way in advances(name, text)]
    x = -(sum(ways) + tracking * (len(text) - 1)) / 2
    placed = []
    for letter, way in zip(text, ways, strict=True):
        turn = math.degrees((x + way / 2) / radius)
        upright = glyph(name, letter).scaled(size).moved(-way / 2) if letter != " " else Path()
        if below:
            placed.append(upright.moved(1j * radius).turned(at - turn).moved(centre))
        else:
            placed.append(upright.moved(-1j * radius).turned(at + turn).moved(centre))
        x += way + tracking
    return joined(placed)
