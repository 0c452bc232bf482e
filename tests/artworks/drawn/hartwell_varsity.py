"""Hartwell Hoops: arched lettering with two outlines over a ball."""

from __future__ import annotations

from letters import straight
from pen import Path, curve, ellipse, joined, line, rectangle
from rounding import area, outline
from shapely.geometry.base import BaseGeometry
from sheet import Sheet

MAROON, CREAM, ORANGE, INK = "#7c1f2f", "#f6ead0", "#dd7d34", "#2a1d20"
BALL, RADIUS = 500 + 470j, 272


def arched(path: Path, base: float, rise: float, flare: float) -> Path:
    """Lifted to an arch with upright stems: highest in the middle, letters taller towards both ends."""

    def lift(z: complex) -> complex:
        out = ((z.real - 500) / 450) ** 2
        return complex(z.real, base - rise * (1 - out) + (z.imag - base) * (1 + flare * out))

    return path.split(4).mapped(lift)


def letters(path: Path) -> BaseGeometry:
    """Lettering as an area, counters open."""
    shape = None
    for chain in path.flattened(12):
        ring = area(Path((("M", (complex(chain[0]),)), *(("L", (complex(z),)) for z in chain[1:]), ("Z", ()))))
        shape = ring if shape is None else shape.symmetric_difference(ring)
    return shape


def ball(sheet: Sheet) -> None:
    disc = ellipse(BALL, RADIUS)
    sheet.fill(disc, ORANGE)
    inside = sheet.clip(disc)
    seams = [
        line(BALL - RADIUS, BALL + RADIUS),
        line(BALL - 1j * RADIUS, BALL + 1j * RADIUS),
        curve([BALL + complex(x, y) for x, y in ((-210, -230), (-118, 0), (-210, 230))]),
        curve([BALL + complex(x, y) for x, y in ((210, -230), (118, 0), (210, 230))]),
    ]
    sheet.stroke(joined(seams), INK, 14, inside)
    sheet.stroke(disc, INK, 18)


def draw() -> Sheet:
    sheet = Sheet(1000, 780, "Hartwell Hoops, varsity")
    ball(sheet)
    name = arched(straight("HARTWELL", "RobotoCondensed-Bold", cap=134, at=500 + 330j, width=850), 330, 104, 0.6)
    face = letters(name)
    for grown, closed, colour in ((27, 30, INK), (14, 30, CREAM), (0, 0, MAROON)):
        rim = face.buffer(grown + closed, join_style="mitre", mitre_limit=2.2).buffer(-closed, join_style="mitre")
        sheet.cut(outline(rim), colour)
    band = area(rectangle(285, 560, 430, 118, 14))
    for grown, colour in ((22, INK), (12, CREAM), (0, MAROON)):
        sheet.cut(outline(band.buffer(grown, quad_segs=12)), colour)
    sheet.fill(straight("HOOPS", "Roboto-Black", cap=72, at=500 + 655j, tracking=9), CREAM)
    return sheet
