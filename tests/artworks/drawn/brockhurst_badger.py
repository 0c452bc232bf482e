"""Brockhurst Cider: a badger's head affronty, its fur in fine lines over flat colours."""

from __future__ import annotations

import cmath
import math
from itertools import pairwise

import numpy as np
from letters import straight
from pen import Path, Points, both, curve, ellipse, joined, shape, xy
from rounding import area
from shapely import LineString, box
from shapely.geometry.base import BaseGeometry
from sheet import Sheet

COAL, WHITE, GREY, AMBER, RED = "#24272d", "#f8f4ea", "#8b9299", "#d08a2e", "#a83a2c"
NOSE, EYE = 500 + 640j, 630 + 478j


def mirrored(points: Points, top: Points = ()) -> list[complex]:
    """A closed outline from the points down its right side: back up the left side, the two on the axis once."""
    points = [*top, *points]
    return [*points, *(type(z)(complex(1000 - z.real, z.imag)) for z in reversed(points[1:-1]))]


def tufted(*tips: float) -> list[complex]:
    """A ragged edge of tufts that sweep downwards: each a short notch under a tip, then a long round flank."""
    edge: list[complex] = []
    points = xy(*tips)
    for tip, following in pairwise(points):
        inward = (NOSE - tip) / abs(NOSE - tip)
        notch = 0.84 * tip + 0.16 * following + 40 * inward
        flank = 0.5 * notch + 0.5 * following - 2 * inward
        edge += xy(tip.real, tip.imag, "c", notch.real, notch.imag, "c", flank.real, flank.imag)
    return [*edge, *xy(points[-1].real, points[-1].imag, "c")]


RUFF = shape(
    mirrored(
        tufted(828, 330, 866, 440, 876, 550, 852, 656, 802, 750, 730, 826, 640, 880, 560, 910, 500, 930),
        top=xy("500,112 610,124 716,176 792,258"),
    )
)
HEAD = shape(
    mirrored(
        [
            *xy("500,196 600,214 690,276 742,366"),
            *tufted(772, 470, 784, 560, 752, 644, 694, 712, 622, 760),
            *xy(560, 790, 500, 806),
        ]
    )
)
STRIPE = shape(
    xy("590,190! 660,206 724,262 738,352 734,452 706,520 656,580 610,640 572,676! 552,600 562,500 552,400 560,290")
)
EAR = shape(xy("640,216 664,140 738,110 806,150 818,226 770,292 700,300"))
EAR_TIP = shape(xy("676,190 694,146 742,128 790,158 800,214! 760,176 716,176"))


def hairs(ground: BaseGeometry, apart: float) -> Path:
    """Short hairs that point away from the nose and a little down, all over a ground and evenly apart."""
    inside, kept, taken = ground.buffer(-10), [], LineString()
    for radius in range(70, 620, 9):
        for degrees in np.arange(-88, 84, math.degrees(9 / radius)):
            angle = math.radians(degrees)
            start = NOSE + cmath.rect(radius, angle)
            hair = curve([start, start + cmath.rect(19, angle + 0.04), start + cmath.rect(38, angle + 0.16)])
            chain = LineString([(z.real, z.imag) for z in hair.flattened(6)[0]])
            if inside.contains(chain) and (taken.is_empty or taken.distance(chain) >= apart):
                kept.append(hair)
                taken = taken.union(chain)
    return joined(kept)


def fur(sheet: Sheet) -> None:
    ruff, head, stripe = area(RUFF), area(HEAD), area(STRIPE)
    for ground, apart, colour in (
        (ruff - head - stripe, 30, COAL),
        (head - stripe - area(ellipse(NOSE + 60j, 118)) - box(470, 0, 530, 900), 34, GREY),
        (stripe - area(ellipse(EYE, 42)), 27, GREY),
    ):
        sheet.stroke(both(hairs(ground, apart), 500), colour, 6)


def draw() -> Sheet:
    sheet = Sheet(1000, 1176, "Brockhurst Cider, badger")
    sheet.fill(both(EAR, 500), COAL)
    sheet.fill(both(EAR_TIP, 500), WHITE)
    sheet.fill(RUFF, GREY)
    sheet.fill(HEAD, WHITE)
    sheet.fill(both(STRIPE, 500), COAL)
    fur(sheet)
    sheet.fill(both(ellipse(EYE, 30), 500), AMBER)
    sheet.fill(both(ellipse(EYE - 3 + 2j, 17), 500), COAL)
    sheet.fill(both(ellipse(EYE + 3 - 7j, 6), 500), WHITE)
    sheet.fill(shape(mirrored(xy("500,676 548,682 566,710 536,748 500,762"))), COAL)
    sheet.stroke(curve(xy(500, 755, 500, 782)), COAL, 8)
    sheet.fill(straight("BROCKHURST", "Lato-Black", cap=82, at=500 + 1050j, width=820), COAL)
    sheet.fill(straight("CIDER", "Lato-Black", cap=58, at=500 + 1142j, tracking=40), RED)
    return sheet
