"""The crest of the Saltmarsh Rowing Club: rope border, ring lettering, crossed oars and a heron."""

from __future__ import annotations

import math

from letters import ring
from pen import Path, bent_to_ring, brush, ellipse, line, rectangle, shape, xy
from sheet import Sheet

NAVY, CREAM, GOLD, RED, SLATE = "#14304f", "#f5ecd8", "#d39c36", "#b5372f", "#7d9db8"
MIDDLE = 500 + 500j
STRANDS = 40
ROPE_RADIUS = 454


def rope(sheet: Sheet) -> None:
    sheet.fill(ellipse(MIDDLE, 490), NAVY)
    pitch = 2 * math.pi * ROPE_RADIUS / STRANDS
    strand = shape(
        xy("-52,21! -38,15 -26,1 -14,-14 4,-23 30,-25 50,-22! 52,-21! 38,-15 26,-1 14,14 -4,23 -30,25 -50,22!")
    )
    for k in range(STRANDS):
        sheet.fill(bent_to_ring(strand.moved(k * pitch), MIDDLE, ROPE_RADIUS, 0), GOLD)


def star(at: complex, size: float) -> Path:
    """A four-pointed star with hollow sides."""
    s, t = size, size * 0.3
    return shape(xy(0, -s, "c", t, -t, s, 0, "c", t, t, 0, s, "c", -t, t, -s, 0, "c", -t, -t)).moved(at)


def oars(sheet: Sheet) -> None:
    blade = shape(xy("0,-132 20,-146 38,-200 37,-276! 0,-283 -37,-276! -38,-200 -20,-146"))
    shaft, grip, collar = (
        rectangle(-8, -218, 16, 440, 8),
        rectangle(-12, 186, 24, 84, 11),
        rectangle(-15, 96, 30, 22, 6),
    )
    for turn in (56, -56):
        for path, colour in ((blade, RED), (shaft, GOLD), (collar, NAVY), (grip, NAVY)):
            sheet.fill(path.turned(turn).moved(500 + 500j), colour)


def heron(sheet: Sheet) -> None:
    for x, y in ((520, 600), (558, 606)):
        sheet.stroke(line(complex(x, y), complex(x, 735)), GOLD, 14)
    sheet.fill(shape(xy("500,540! 590,540 640,600 668,678! 612,656 550,642 514,626")), NAVY)
    sheet.fill(
        shape(
            xy(
                "432,300! 456,284 490,290 507,326 500,380 478,434 478,470 516,500 586,560 602,628 546,636 "
                "476,608 430,556 414,500 426,446 452,400 459,366 438,346!"
            )
        ),
        SLATE,
    )
    sheet.fill(shape(xy("472,490! 544,470 612,546 668,678! 584,644 506,602")), NAVY)
    sheet.fill(brush(xy("516,516 572,556 628,634"), (0, 12, 12, 0)), CREAM)
    sheet.fill(brush(xy("503,550 552,594 612,636"), (0, 12, 12, 0)), CREAM)
    sheet.fill(shape(xy("438,303! 398,312 352,333! 398,342 440,343! 447,322")), GOLD)
    sheet.fill(shape(xy("468,290! 514,280 552,322 586,388! 544,344 512,326 472,322!")), NAVY)
    sheet.fill(ellipse(462 + 320j, 9), NAVY)


def water(sheet: Sheet) -> None:
    clip = sheet.clip(ellipse(MIDDLE, 295))

    def swell(x: float, y: float) -> Path:
        crests: list[float | str] = []
        for k in range(8):
            crests += [x + 100 * k, y, "c", x + 100 * k + 50, y + 30]
        return shape(xy(*crests, x + 800, y, "c", x + 800, 850, "c", x, 850, "c"))

    sheet.fill(swell(100, 690), SLATE, clip)
    sheet.fill(swell(50, 722), CREAM, clip)
    sheet.fill(swell(50, 740), NAVY, clip)


def draw() -> Sheet:
    sheet = Sheet(1000, 1000, "Saltmarsh Rowing Club, crest")
    rope(sheet)
    sheet.fill(ellipse(MIDDLE, 420), CREAM)
    sheet.fill(ellipse(MIDDLE, 408), NAVY)
    sheet.fill(ellipse(MIDDLE, 308), GOLD)
    sheet.fill(ellipse(MIDDLE, 295), CREAM)
    oars(sheet)
    heron(sheet)
    water(sheet)
    sheet.fill(ring("SALTMARSH ROWING CLUB", "Lato-Black", cap=54, centre=MIDDLE, radius=331, tracking=13), CREAM)
    sheet.fill(ring("1887", "Lato-Black", cap=54, centre=MIDDLE, radius=385, tracking=13, below=True), CREAM)
    for turn in (-143, 143):
        sheet.fill(star(-358j, 27).turned(turn).moved(MIDDLE), GOLD)
    return sheet
