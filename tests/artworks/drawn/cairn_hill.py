"""Cairn Hill Trail: a landscape that runs to every edge of the picture."""

from __future__ import annotations

from pen import Path, ellipse, joined, polygon, rectangle, shape, xy
from sheet import Sheet

SKY, SUN, FAR, HILL, NEAR, DARK, STONE = "#f4dcb6", "#e79a3c", "#9dbbb0", "#5f9188", "#2f6762", "#183c40", "#f8f1e0"


def pine(at: complex, high: float) -> Path:
    """A pine of four tiers, its foot at the point."""
    tiers = []
    for k in range(4):
        top, half = 1 - 0.235 * k, 0.11 + 0.055 * k
        low = top - 0.34
        tiers.append(polygon([0 - 1j * top, half - 1j * low, -half - 1j * low]))
    return joined([*tiers, rectangle(-0.035, -0.1, 0.07, 0.1)]).scaled(high).moved(at)


def stone(width: float, height: float, turn: float) -> Path:
    """A river stone: rounder than a box, squarer than an ellipse."""
    a, b = width / 2, height / 2
    return shape(
        xy(
            -a,
            0,
            -0.86 * a,
            -0.72 * b,
            -0.2 * a,
            -b,
            0.6 * a,
            -0.88 * b,
            a,
            -0.06 * b,
            0.8 * a,
            0.74 * b,
            0.1 * a,
            b,
            -0.72 * a,
            0.8 * b,
        )
    ).turned(turn)


def cairn(sheet: Sheet, at: complex) -> None:
    y = 0.0
    for width, height, shift, turn in (
        (270, 82, 0, 0),
        (206, 66, -10, -2),
        (158, 58, 12, 3),
        (110, 46, -6, -4),
        (60, 38, 4, 0),
    ):
        sheet.fill(stone(width, height, turn).moved(at + complex(shift, y - height / 2)), STONE)
        y -= height + 9


def draw() -> Sheet:
    sheet = Sheet(1200, 800, "Cairn Hill Trail, full picture")
    sheet.fill(rectangle(0, 0, 1200, 800), SKY)
    sheet.fill(ellipse(420 + 250j, 118), SUN)
    low = xy("1200,800! 0,800!")
    sheet.fill(
        shape(
            [
                *xy("0,330! 120,280 240,330 380,300 560,210 720,290 860,250 1030,190 1200,270!"),
                *low,
            ]
        ),
        FAR,
    )
    sheet.fill(shape([*xy("0,430! 180,390 380,440 600,400 800,340 1000,390 1200,350!"), *low]), HILL)
    sheet.fill(shape([*xy("0,510! 140,520 340,590 560,570 820,470 1040,470 1200,500!"), *low]), NEAR)
    sheet.fill(joined([pine(complex(x, y), high) for x, y, high in PINES]), DARK)
    sheet.fill(shape([*xy("0,640! 200,632 420,668 640,690 860,640 1040,604 1200,610!"), *low]), DARK)
    cairn(sheet, 950 + 630j)
    return sheet


PINES = ((74, 722, 340), (212, 696, 250), (340, 732, 310), (456, 726, 200), (610, 742, 180), (704, 752, 250))
