"""Hearth & Rye: a bakery's loaf, wordmark and a strap line far too small to sew at three inches."""

from __future__ import annotations

from letters import straight
from pen import Path, bent_to_ring, both, curve, ellipse, joined, line, shape, xy
from sheet import Sheet

BROWN, CRUST, RYE = "#4a2c1d", "#c07a3a", "#e9cf97"
LOAF, REACH = 500 + 262j, 226


def ear() -> tuple[Path, Path, Path]:
    """Stalk, awns and grains of an ear of rye bent round the loaf's left side."""
    grain = shape(xy("0,0! 16,-24 60,-27! 46,-3"))
    outer = [grain.moved(complex(112 + 58 * k, -7)) for k in range(6)]
    inner = [grain.mapped(complex.conjugate).moved(complex(112 + 58 * k, 7)) for k in range(6)]
    tip = shape(xy("458,0! 486,-15 524,0! 486,15"))
    awns = [line(complex(176 + 58 * k, -44), complex(228 + 60 * k, -72)) for k in range(6)]
    awns.append(line(534 - 2j, 596 - 14j))
    bent = [
        bent_to_ring(path, LOAF, REACH, 183, pieces=6)
        for path in (curve(xy("0,0 200,0 460,0")), joined(awns), joined([*outer, *inner, tip]))
    ]
    return bent[0], bent[1], bent[2]


def loaf(sheet: Sheet) -> None:
    body = shape(xy("-142,76! -160,34 -132,-44 -72,-88 0,-100 72,-88 132,-44 160,34 142,76!"))
    sheet.fill(body.moved(LOAF), CRUST)
    slash = shape(xy("-38,34! -30,-12 38,-46! 26,4"))
    for x, y in ((-84, 20), (0, 2), (84, 20)):
        sheet.fill(slash.moved(LOAF + complex(x, y)), RYE)


def draw() -> Sheet:
    sheet = Sheet(1000, 780, "Hearth & Rye, bakery")
    stalk, awns, grains = ear()
    sheet.stroke(both(awns, 500), BROWN, 5)
    sheet.stroke(both(stalk, 500), BROWN, 8)
    sheet.fill(both(grains, 500), CRUST)
    loaf(sheet)
    sheet.fill(straight("Hearth & Rye", "EBGaramond12-Bold", cap=108, at=500 + 650j), BROWN)
    for x in (66, 934):
        sheet.fill(ellipse(complex(x, 737), 8), CRUST)
    sheet.fill(straight("STONE-BAKED SOURDOUGH SINCE 1974", "Lato-Bold", cap=26, at=500 + 750j, width=800), BROWN)
    return sheet
