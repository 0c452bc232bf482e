"""The Saltmarsh regatta, in white for a navy shirt: crossed oars with the club's letters between them."""

from __future__ import annotations

from letters import straight
from pen import Path, joined, rectangle, shape, xy
from rounding import area, outline
from sheet import Sheet

WHITE = "#ffffff"
CROSSING = 500 + 262j
GAP = 13


def oar() -> Path:
    """An oar standing upright, its middle at 0, blade at the top."""
    blade = shape(xy("-9,-190 9,-190 34,-232 46,-330! 0,-344 -46,-330! -34,-232"))
    return joined([blade, rectangle(-9, -210, 18, 520, 9), rectangle(-15, 238, 30, 92, 13)])


def draw() -> Sheet:
    sheet = Sheet(1000, 770, "Saltmarsh regatta, white")
    over = area(oar().turned(52).moved(CROSSING))
    under = area(oar().turned(-52).moved(CROSSING)).difference(over.buffer(GAP))
    sheet.cut(outline(over), WHITE)
    sheet.cut(outline(under), WHITE)
    for letter, x, y in (("S", 500, 160), ("R", 330, 308), ("C", 670, 308)):
        sheet.fill(straight(letter, "Lato-Black", cap=92, at=complex(x, y)), WHITE)
    sheet.fill(straight("1887", "Lato-Black", cap=50, at=500 + 444j, tracking=4), WHITE)
    sheet.fill(straight("SALTMARSH", "Lato-Black", cap=94, at=500 + 626j, width=880), WHITE)
    sheet.fill(straight("REGATTA", "Lato-Bold", cap=50, at=500 + 730j, width=470), WHITE)
    for x in (60, 774):
        sheet.fill(rectangle(x, 697, 166, 16, 8), WHITE)
    return sheet
