"""Clover & Fennel, a nursery school: a bee with an even keyline."""

from __future__ import annotations

from pen import curve, ellipse, shape, xy
from sheet import Sheet

INK, YELLOW, SKY, WHITE, PINK = "#2b2433", "#f6bd33", "#bfe0ea", "#fffdf6", "#ee8f86"
KEY = 18


def wings(sheet: Sheet) -> None:
    for tip in (
        xy("600,340! 606,170 706,78 806,100 836,200 756,306 650,372!"),
        xy("560,344! 478,250 452,136 522,74 616,104 644,214 606,344!"),
    ):
        sheet.keyed(shape(tip), SKY, INK, KEY)


def draw() -> Sheet:
    sheet = Sheet(1000, 860, "Clover & Fennel, bee")
    sheet.keyed(shape(xy("836,500! 930,546! 834,590!")), INK, INK, KEY)
    for x in (430, 530, 630):
        sheet.stroke(curve(xy(x, 730, x + 6, 780, x - 22, 806)), INK, KEY)
    sheet.stroke(curve(xy("266,334 246,238 180,206")), INK, KEY)
    sheet.stroke(curve(xy("356,316 358,222 308,158")), INK, KEY)
    sheet.fill(ellipse(174 + 204j, 27), INK)
    sheet.fill(ellipse(304 + 152j, 27), INK)
    wings(sheet)
    body = shape(xy("100,540 150,390 300,316 500,308 700,350 836,450 862,550 800,660 640,740 440,756 240,730 130,650"))
    sheet.fill(body, YELLOW)
    inside = sheet.clip(body)
    for x, wide in ((520, 88), (690, 84)):
        sheet.stroke(curve(xy(x - 30, 260, x + 40, 540, x - 30, 820)), INK, wide, inside, cap="butt")
    sheet.stroke(body, INK, KEY)
    for x, y in ((206, 500), (360, 490)):
        sheet.fill(ellipse(complex(x, y), 38, 46), INK)
        sheet.fill(ellipse(complex(x + 12, y - 16), 14), WHITE)
    sheet.stroke(curve(xy("228,590 284,636 346,584")), INK, KEY)
    for x, y in ((158, 588), (420, 578)):
        sheet.fill(ellipse(complex(x, y), 30, 22), PINK)
    return sheet
