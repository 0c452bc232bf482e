"""Merrow Sailing School: two sails, a hull and a wave, bold enough to sew as drawn."""

from __future__ import annotations

from pen import curve, shape, xy
from rounding import area, banded, outline, rounded
from sheet import Sheet

NAVY, ORANGE = "#17365c", "#e2672a"
GAP = 30  # 2.4 mm at 76 mm
ROUND = 13  # corners no sharper than 1 mm at 76 mm


def draw() -> Sheet:
    sheet = Sheet(1000, 960, "Merrow Sailing School, mark")
    main = shape(xy("536,30! 530,320 516,618! 320,630 96,618! 242,392 392,190"))
    jib = shape(xy("576,128! 570,380 556,618! 720,630 900,618! 860,470 760,290"))
    swell = curve(xy("40,866 155,900 270,866 385,832 500,866 615,900 730,866 845,832 960,866"))
    wave = banded(swell, 52)
    hull = area(shape(xy("60,668! 500,690 950,656! 900,780 800,920! 200,920! 110,790")))
    sea = area(
        shape(
            [
                *xy("40,866! 155,900 270,866 385,832 500,866 615,900 730,866 845,832 960,866!"),
                *xy("960,1200! 40,1200!"),
            ]
        )
    )
    hull = hull.difference(sea.buffer(26 + GAP, quad_segs=32))
    sheet.fill(rounded(area(main), ROUND), NAVY)
    sheet.fill(rounded(area(jib), ROUND), ORANGE)
    sheet.fill(rounded(hull, ROUND), NAVY)
    sheet.fill(outline(wave), ORANGE)
    return sheet
