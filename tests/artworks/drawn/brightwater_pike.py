"""Brightwater Anglers: a pike embowed over the name, every scale a fine line over flat colours."""

from __future__ import annotations

from letters import straight
from pen import Path, bent_to_ring, curve, ellipse, line, shape, xy
from sheet import Sheet

OLIVE, BELLY, DEEP, FIN, CREAM = "#6d8745", "#d9cf95", "#1f3a2d", "#c9722e", "#f4ecd2"
CENTRE, RADIUS = 662 + 930j, 760
LONG, HIGH = 58, 48


def bend(path: Path) -> Path:
    return bent_to_ring(path, CENTRE, RADIUS, 0, pieces=3)


BACK = xy("-700,8 -664,-22 -570,-42 -470,-68 -370,-88 -200,-98 40,-95 260,-72 400,-44 530,-36!")
UNDER = xy("546,0 530,36! 400,42 250,70 50,94 -200,98 -370,86 -480,66 -600,48 -684,32")
BODY = shape([*BACK, *UNDER])
GILL = xy("-376,-100 -346,-40 -340,20 -362,70 -400,110")


def fin(root_from: complex, root_to: complex, tips: list[complex], rays: int, sheet: Sheet) -> None:
    """A fin between two points of the body, its edge through the tips, with rays fanned across it."""
    outline = shape([*xy(root_from.real, root_from.imag, "c"), *tips, *xy(root_to.real, root_to.imag, "c")])
    sheet.keyed(bend(outline), FIN, DEEP, 9)
    edge = curve(tips).flattened()[0]
    for k in range(1, rays + 1):
        share = k / (rays + 1)
        start = root_from + (root_to - root_from) * share
        end = complex(edge[int(share * (len(edge) - 1))])
        sheet.stroke(bend(line(start + 0.2 * (end - start), start + 0.84 * (end - start))), DEEP, 5)


def fins(sheet: Sheet) -> None:
    fin(240 - 62j, 404 - 34j, xy("256,-124 296,-158 372,-156 446,-112 430,-72"), 5, sheet)
    fin(220 + 62j, 384 + 34j, xy("236,124 276,156 352,154 424,110 408,70"), 5, sheet)
    fin(-330 + 62j, -270 + 80j, xy("-306,104 -250,150 -200,150 -214,112"), 3, sheet)
    fin(0 + 80j, 70 + 78j, xy("24,124 80,166 128,160 112,118"), 3, sheet)
    tail = shape(
        xy("500,-20! 556,-54 620,-116 690,-140! 676,-60 640,-14 632,0 640,14 676,60 690,140! 620,116 556,54 500,20!")
    )
    sheet.keyed(bend(tail), FIN, DEEP, 9)
    for end in (-110 + 0j, -66, -24, 24, 66, 110):
        side = end.real
        reach = 654 if abs(side) > 100 else 642 if abs(side) > 50 else 612
        sheet.stroke(bend(curve([558 + 0.3j * side, 600 + 0.55j * side, reach + 0.92j * side])), DEEP, 5)


def scales(sheet: Sheet) -> None:
    body = sheet.clip(bend(shape([*xy(-352, -130, "c"), *GILL[1:4], *xy("-376,130! 520,130! 520,-130!")])))
    inside = sheet.clip(bend(BODY))
    lines, spots = Path(), Path()
    for row in range(-2, 3):
        for column in range(15):
            x = -354 + LONG * (column + (row % 2) / 2)
            if x > 440:
                continue
            y, high = row * HIGH, HIGH / 2
            taper = 1 - max(0.0, (x - 60) / 760)
            y, high = y * taper, high * taper
            lines += curve(xy(x, y - high, x + 28, y - high * 0.62, x + 38, y, x + 28, y + high * 0.62, x, y + high))
            if (row in (-1, 1) and column % 3 == 1) or (row == 0 and column % 3 == 2):
                spots += ellipse(complex(x + 8, y), 14, 10 * taper)
    sheet.rows.append(f'<g clip-path="url(#{inside})">')
    sheet.fill(bend(spots), CREAM, body)
    sheet.stroke(bend(lines), DEEP, 6, body)
    sheet.rows.append("</g>")


def head(sheet: Sheet) -> None:
    inside = sheet.clip(bend(BODY))
    sheet.stroke(bend(curve(GILL)), DEEP, 9, inside)
    sheet.stroke(bend(curve(xy("-430,-20 -402,10 -402,44 -424,74"))), DEEP, 6, inside)
    sheet.stroke(bend(curve(xy("-696,16 -630,14 -550,22 -506,44"))), DEEP, 8)
    sheet.keyed(bend(ellipse(-508 - 20j, 20)), FIN, DEEP, 7)
    sheet.fill(bend(ellipse(-508 - 20j, 9)), DEEP)


def draw() -> Sheet:
    sheet = Sheet(1400, 740, "Brightwater Anglers, pike")
    fins(sheet)
    sheet.fill(bend(BODY), OLIVE)
    inside = sheet.clip(bend(BODY))
    sheet.fill(
        bend(shape(xy("-720,34! -600,34 -480,46 -380,56 -200,62 60,58 280,38 560,14! 560,200! -720,200!"))),
        BELLY,
        inside,
    )
    scales(sheet)
    head(sheet)
    sheet.stroke(bend(BODY), DEEP, 10)
    sheet.fill(straight("BRIGHTWATER", "Lato-Black", cap=82, at=618 + 596j, width=900), DEEP)
    sheet.fill(straight("ANGLERS", "Lato-Black", cap=64, at=618 + 704j, tracking=44), DEEP)
    return sheet
