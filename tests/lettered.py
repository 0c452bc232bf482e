"""Lettering as outlines, for tests that need no picture: Bitstream Vera, which comes with reportlab."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import reportlab
import shapely
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from numpy.typing import NDArray
from shapely import Polygon

FACES = {"plain": "Vera.ttf", "bold": "VeraBd.ttf", "slanted": "VeraIt.ttf"}
CAP_UNITS, X_UNITS, STEM_UNITS = 1493, 1120, 202  # H, x and H's stem; tests/published/font_strokes.csv, DejaVu Sans
STEPS = 10
Place = Callable[[NDArray[np.complex128], float, float], NDArray[np.complex128]]


@cache
def face(name: str) -> TTFont:
    return TTFont(Path(reportlab.__file__).parent / "fonts" / FACES[name])


@cache
def outline(name: str, letter: str) -> tuple[tuple[tuple[complex, ...], ...], float]:
    """A letter's closed contours in font units, y down, and the way to the next letter."""
    font = face(name)
    glyphs, glyph = font.getGlyphSet(), font.getBestCmap()[ord(letter)]
    pen = DecomposingRecordingPen(glyphs)
    glyphs[glyph].draw(pen)
    loops: list[list[complex]] = []
    for command, points in pen.value:
        zs = [complex(x, -y) for x, y in points]
        if command == "moveTo":
            loops.append([zs[0]])
        elif command == "lineTo":
            loops[-1].append(zs[0])
        elif command == "qCurveTo":
            loops[-1] += _curve(loops[-1][-1], zs)
    return tuple(tuple(loop) for loop in loops), float(font["hmtx"][glyph][0])


def _curve(start: complex, zs: list[complex]) -> list[complex]:
    *controls, last = zs
    ends = [(a + b) / 2 for a, b in pairwise(controls)] + [last]
    points = []
    for control, end in zip(controls, ends, strict=True):
        for k in range(1, STEPS + 1):
            t = k / STEPS
            points.append((1 - t) ** 2 * start + 2 * t * (1 - t) * control + t**2 * end)
        start = end
    return points


def lettering(text: str, cap_px: float, place: Place, *, name: str = "plain", spacing: float = 0.0) -> list[Polygon]:
    """Outlines of a line of letters. place: a letter's points about the middle of its foot, the way along the line so
    far from the line's middle, and its own way, to px. spacing: added between letters, in cap heights."""
    scale = cap_px / CAP_UNITS
    ways = [outline(name, letter)[1] * scale + spacing * cap_px for letter in text]
    so_far, shapes = -sum(ways) / 2, []
    for letter, way in zip(text, ways, strict=True):
        loops = [np.array(loop) * scale - way / 2 for loop in outline(name, letter)[0]]
        rings = [
            Polygon(np.column_stack([z.real, z.imag])) for z in (place(loop, so_far + way / 2, way) for loop in loops)
        ]
        if rings:
            whole = rings[0]
            for ring in rings[1:]:
                whole = whole.symmetric_difference(ring)
            shapes += shapely.get_parts(whole).tolist()
        so_far += way
    return shapes


def along(x: float, y: float, turned_deg: float = 0.0) -> Place:
    """A straight line whose foot is centred on x, y, turned clockwise as seen."""
    turn = cmath.exp(1j * math.radians(turned_deg))
    return lambda zs, at, _: complex(x, y) + turn * (zs + at)


def round_ring(x: float, y: float, radius: float, *, below: bool = False, middle_deg: float = 0.0) -> Place:
    """Round a circle: from outside with the line's middle at the top, or from inside (below) with it at the bottom."""
    middle = math.radians(middle_deg)

    def place(zs: NDArray[np.complex128], at: float, _: float) -> NDArray[np.complex128]:
        turn, foot = (-at / radius, 1j * radius) if below else (at / radius, -1j * radius)
        return np.asarray(complex(x, y) + cmath.exp(1j * (turn + middle)) * (zs + foot))

    return place
