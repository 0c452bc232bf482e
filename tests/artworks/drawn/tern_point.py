"""Tern Point Surf: an arched badge with a sky that runs from plum to amber."""

from __future__ import annotations

from letters import straight
from pen import Path, ellipse, rectangle, shape, xy
from sheet import Sheet

NIGHT, CREAM = "#22233f", "#fbeed3"
PLUM, AMBER = "#5b3158", "#f4a553"
SKY = [(0.0, "#3b2a6b"), (0.38, "#b8406f"), (0.72, "#ee7f4b"), (1.0, "#f8c56a")]


def arch(inset: float) -> Path:
    """The badge's outline, or one that runs evenly inside it."""
    left, right, low, radius = 110 + inset, 890 - inset, 960 - inset, 84 - inset
    half, middle = (right - left) / 2, 450
    k, c = 0.5523 * half, 0.4477 * radius
    rows = (
        ("M", (left, low - radius)),
        ("L", (left, middle)),
        ("C", (left, middle - k, 500 - k, middle - half, 500, middle - half)),
        ("C", (500 + k, middle - half, right, middle - k, right, middle)),
        ("L", (right, low - radius)),
        ("C", (right, low - c, right - c, low, right - radius, low)),
        ("L", (left + radius, low)),
        ("C", (left + c, low, left, low - c, left, low - radius)),
        ("Z", ()),
    )
    return Path(tuple((name, tuple(xy(*numbers))) for name, numbers in rows))


def tern(at: complex, size: float, turn: float) -> Path:
    bird = shape(xy("-100,-26! -50,-44 -14,-18 0,4! 14,-18 50,-44 100,-26! 58,-24 28,-2 0,36! -28,-2 -58,-24"))
    return bird.scaled(size).turned(turn).moved(at)


def draw() -> Sheet:
    sheet = Sheet(1000, 1020, "Tern Point Surf, badge")
    sheet.fill(arch(0), NIGHT)
    sheet.fill(arch(22), CREAM)
    window = arch(36)
    inside = sheet.clip(window)
    sheet.fill(window, sheet.gradient(500 + 96j, 500 + 640j, SKY))
    sun = ellipse(500 + 560j, 158)
    sheet.fill(sun, CREAM)
    bars = sheet.clip(sun)
    for y, high in ((566, 13), (604, 17), (646, 22)):
        sheet.fill(rectangle(330, y, 340, high), AMBER, bars)
    sheet.fill(
        shape(xy("100,640! 230,632 420,690 620,668 900,560! 900,1000! 100,1000!")),
        PLUM,
        inside,
    )
    sheet.fill(
        shape(xy("100,676! 220,668 380,716 560,748 740,740 900,690! 900,1000! 100,1000!")),
        NIGHT,
        inside,
    )
    for at, size, turn in ((348 + 330j, 0.95, -14), (610 + 250j, 1.2, 10), (690 + 390j, 0.7, -6)):
        sheet.fill(tern(at, size, turn), CREAM)
    sheet.fill(straight("TERN POINT", "Lato-Black", cap=62, at=500 + 838j, width=560), CREAM)
    sheet.fill(straight("SURF CLUB", "Lato-Bold", cap=36, at=500 + 900j, tracking=26), AMBER)
    return sheet
