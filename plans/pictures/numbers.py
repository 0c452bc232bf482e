"""Where step numbers stand on a drawing of the design, so that none covers another."""

from __future__ import annotations

from shapely import point_on_surface

from plans.values import Plan, Sewing


def step_numbers(plan: Plan, height_mm: float) -> list[tuple[int, float, float]]:
    """(number, x, y) in mm for the steps that have room, larger ones first; the rest stand in the table alone."""
    placed: list[tuple[int, float, float]] = []
    by_area = sorted(enumerate(plan.steps, 1), key=lambda each: (-each[1].sewing.shape.area, each[0]))
    for number, step in by_area:
        x, y = _place(step.sewing)
        if all(abs(x - ox) > 1.7 * height_mm or abs(y - oy) > 1.1 * height_mm for _, ox, oy in placed):
            placed.append((number, x, y))
    return sorted(placed)


def _place(sewing: Sewing) -> tuple[float, float]:
    if sewing.spines and sewing.kind != "fill":
        line = max(sewing.spines, key=lambda spine: spine.length).line
        x, y = line[len(line) // 2][:2]
        return float(x), float(y)
    point = point_on_surface(sewing.shape)
    return float(point.x), float(point.y)
