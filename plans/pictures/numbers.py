"""Where step numbers stand on a drawing of the design, so that none covers another and the drawing is still seen."""

from __future__ import annotations

import numpy as np
from shapely import point_on_surface

from plans.alike import runs
from plans.values import Plan, Sewing

DIGIT, APART = 0.6, 1.6
"""A digit is so wide in the height of the numbers; and rows of numbers stand so far apart at least."""
TAKES = 0.12
"""Share of the design that numbers may take up: what is told of it by more is hidden by them."""


def step_numbers(plan: Plan, height_mm: float) -> list[tuple[int, float, float]]:
    """(number, x, y) in mm for the steps that have room; the rest stand in the table alone.

    The first of each row of steps sewn alike has its room before the others, and the larger before the smaller.
    """
    firsts = {row.first for run in runs(plan) for row in run.rows}
    by_size = sorted(
        enumerate(plan.steps, 1), key=lambda each: (each[0] not in firsts, -each[1].sewing.shape.area, each[0])
    )
    room = TAKES * float(np.prod(plan.sized.size_mm))
    placed: list[tuple[int, float, float]] = []
    for number, step in by_size:
        (x, y), wide = _place(step.sewing), _wide(number, height_mm)
        if room < wide * height_mm:
            break
        if all(
            abs(x - ox) > (wide + _wide(other, height_mm)) / 2 + height_mm / 2 or abs(y - oy) > APART * height_mm
            for other, ox, oy in placed
        ):
            placed.append((number, x, y))
            room -= wide * height_mm
    return sorted(placed)


def _wide(number: int, height_mm: float) -> float:
    return DIGIT * height_mm * len(str(number))


def _place(sewing: Sewing) -> tuple[float, float]:
    if sewing.spines and sewing.kind != "fill":
        line = max(sewing.spines, key=lambda spine: spine.length).line
        x, y = line[len(line) // 2][:2]
        return float(x), float(y)
    point = point_on_surface(sewing.shape)
    return float(point.x), float(point.y)
