"""Fenwick Cycles: a bicycle in line, heavy for the frame and light for the spokes."""

from __future__ import annotations

import cmath
import math

from pen import Path, arc, curve, ellipse, joined, line, shape, xy
from sheet import Sheet

INK = "#1f4a4d"
REAR, FRONT, HUB = 236 + 500j, 796 + 500j, 17
WHEEL = 188
CRANK, SADDLE_POST, HEAD_TOP, HEAD_LOW = 490 + 514j, 404 + 262j, 676 + 236j, 692 + 292j


def wheel(sheet: Sheet, hub: complex) -> None:
    sheet.stroke(ellipse(hub, WHEEL), INK, 13)
    sheet.stroke(ellipse(hub, WHEEL - 20), INK, 5)
    spokes = Path()
    for k in range(20):
        at = 2 * math.pi * k / 20
        lean = 0.28 if k % 2 else -0.28
        spokes += line(hub + cmath.rect(HUB, at + lean * 4), hub + cmath.rect(WHEEL - 22, at))
    sheet.stroke(spokes, INK, 3.5)
    sheet.fill(ellipse(hub, HUB), INK)


def frame(sheet: Sheet) -> None:
    tubes = [
        line(REAR, CRANK),
        line(REAR, SADDLE_POST + 12 + 46j),
        line(SADDLE_POST, CRANK),
        line(CRANK, HEAD_LOW),
        line(SADDLE_POST + 12 + 46j, HEAD_TOP + 6 + 22j),
        line(HEAD_TOP, HEAD_LOW),
        curve([HEAD_LOW, 720 + 380j, 748 + 450j, FRONT]),
    ]
    sheet.stroke(joined(tubes), INK, 13)
    sheet.stroke(joined([curve(arc(REAR, WHEEL + 20, 185, 300)), curve(arc(FRONT, WHEEL + 20, 272, 345))]), INK, 7)
    sheet.fill(
        shape(xy("316,240 326,226 360,228 420,238 476,234 486,244 474,254 424,258 384,270 338,266")),
        INK,
    )
    sheet.stroke(curve([HEAD_TOP, 668 + 200j, 640 + 184j, 590 + 188j, 566 + 206j]), INK, 11)
    sheet.stroke(line(590 + 190j, 564 + 208j), INK, 18)


def drive(sheet: Sheet) -> None:
    pedal = CRANK + 30 + 76j
    sheet.stroke(ellipse(CRANK, 46), INK, 8)
    sheet.fill(ellipse(CRANK, 15), INK)
    sheet.stroke(line(CRANK, pedal), INK, 10)
    sheet.stroke(line(pedal - 26, pedal + 26), INK, 13)


def basket(sheet: Sheet) -> None:
    left, right, low_left, low_right = 722 + 174j, 908 + 174j, 746 + 272j, 882 + 272j
    sheet.stroke(joined([line(left, right), line(left, low_left, low_right, right)]), INK, 8)
    ribs = [line(left + (right - left) * k / 6, low_left + (low_right - low_left) * k / 6) for k in range(1, 6)]
    bands = [line(left + (low_left - left) * k / 3, right + (low_right - right) * k / 3) for k in (1, 2)]
    sheet.stroke(joined([*ribs, *bands]), INK, 4)
    stems = [
        curve(xy("778,172 774,136 756,106")),
        curve(xy("815,172 819,120 815,76")),
        curve(xy("852,172 860,138 880,112")),
    ]
    sheet.stroke(joined(stems), INK, 5)
    for at, turn in ((750 + 94j, -30), (815 + 60j, 0), (886 + 100j, 36)):
        flower(sheet, at, turn)


def flower(sheet: Sheet, at: complex, turn: float) -> None:
    petal = ellipse(-18j, 10, 15)
    petals = joined([petal.turned(turn + 72 * k) for k in range(5)])
    sheet.stroke(petals.moved(at), INK, 4.5)
    sheet.fill(ellipse(at, 6), INK)


def draw() -> Sheet:
    sheet = Sheet(1032, 716, "Fenwick Cycles, line drawing")
    wheel(sheet, REAR)
    wheel(sheet, FRONT)
    drive(sheet)
    frame(sheet)
    basket(sheet)
    return sheet
