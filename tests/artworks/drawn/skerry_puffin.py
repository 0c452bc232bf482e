"""Skerry Island Ferries: their mascot, a puffin in a scarf, in six colours with hairlines."""

from __future__ import annotations

from pen import brush, curve, ellipse, joined, shape, xy
from sheet import Sheet

BLACK, WHITE, ORANGE, RED, YELLOW, SLATE = "#20262c", "#f8f4ea", "#ec7a22", "#c22f2f", "#f3c043", "#6c8ca3"
BODY = shape(
    xy(
        "470,70 576,112 622,214 606,330 652,440 690,610 646,786 540,866 410,866 306,780 262,620 "
        "288,460 330,340 318,214 364,112"
    )
)


def feet(sheet: Sheet) -> None:
    web = shape(xy("-13,-10! 13,-10! 20,34 50,60 104,76! 82,92 56,108! 26,92 -8,110! -22,62 -13,30"))
    toes = joined([curve(xy("12,46 36,64 72,77")), curve(xy("3,52 20,72 40,90")), curve(xy("-5,54 -6,72 -8,92"))])
    for at in (424 + 858j, 566 + 858j):
        sheet.fill(web.moved(at), ORANGE)
        sheet.stroke(toes.moved(at), RED, 5)


def face(sheet: Sheet) -> None:
    sheet.fill(shape(xy("616,214 580,158 500,140 424,180 402,262 446,336 536,356 610,330!")), WHITE)
    sheet.fill(brush(xy("478,250 440,266 400,300"), (0, 8, 8, 0)), SLATE)
    sheet.fill(shape(xy("522,206! 548,168! 574,206! 548,214")), SLATE)
    sheet.fill(ellipse(548 + 240j, 29), RED)
    sheet.fill(ellipse(548 + 240j, 21), BLACK)
    sheet.fill(ellipse(555 + 232j, 7), WHITE)


def beak(sheet: Sheet) -> None:
    outline = shape(xy("600,180! 700,186 756,240 772,318! 720,360 664,372 592,354! 604,264"))
    inside = sheet.clip(outline)
    sheet.fill(outline, ORANGE)
    sheet.fill(shape(xy("560,150! 654,150! 668,264 650,400! 560,400!")), SLATE, inside)
    sheet.stroke(curve(xy("654,150 670,264 650,400")), YELLOW, 12, inside)
    for x in (704, 734):
        sheet.stroke(curve(xy(x - 4, 170, x + 8, 264, x - 10, 400)), RED, 6, inside)
    sheet.stroke(curve(xy("600,312 680,306 772,318")), BLACK, 6)
    sheet.fill(ellipse(600 + 314j, 20), YELLOW)


def wing(sheet: Sheet) -> None:
    edge = xy("330,440! 424,488 450,600 414,730 330,812!")
    outline = shape([*edge, *xy(284, 700, 282, 540)])
    sheet.fill(outline, BLACK)
    sheet.stroke(curve(edge), SLATE, 6)
    feathers = [curve(xy(x, y, x + 26, y + 60, x + 6, y + 130)) for x, y in ((384, 560), (346, 590), (312, 600))]
    tips = [
        curve(xy(x, y, x + 14, y + 22, x + 40, y + 20)) for x, y in ((322, 500), (360, 520), (304, 540), (344, 556))
    ]
    sheet.stroke(joined([*feathers, *tips]), SLATE, 5)


def scarf(sheet: Sheet) -> None:
    tail = shape(xy("372,388! 300,400 232,452 160,440! 168,480 150,520! 250,540 322,476 392,440!"))
    sheet.fill(tail, RED)
    inside = sheet.clip(tail)
    for x in (206, 256):
        sheet.stroke(curve(xy(x, 400, x + 14, 460, x, 560)), YELLOW, 13, inside)
    sheet.fill(
        shape(xy("322,342! 400,396 520,404 616,352! 640,388 638,420! 520,476 396,462 300,408!")),
        RED,
    )
    sheet.stroke(joined([curve(xy("348,392 440,436 540,432")), curve(xy("420,408 500,420 596,394"))]), BLACK, 4)


def draw() -> Sheet:
    sheet = Sheet(900, 1000, "Skerry Island Ferries, puffin")
    sheet.fill(shape(xy("300,740! 250,820 196,880! 250,900 330,884 420,850!")), BLACK)
    feet(sheet)
    sheet.fill(BODY, BLACK)
    sheet.fill(
        shape(xy("636,410! 664,520 672,620 630,766 536,838 452,812 414,720 440,560 470,430!")),
        WHITE,
    )
    wing(sheet)
    face(sheet)
    scarf(sheet)
    beak(sheet)
    return sheet
