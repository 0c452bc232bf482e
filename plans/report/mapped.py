"""The parts as they are sewn, hatched by kind: rows at their angle, rungs across a column, dashes along a line."""

from __future__ import annotations

import math

import numpy as np
from markupsafe import Markup

from analyse.units import direction
from analyse.values import Spine
from plans.pictures.numbers import step_numbers
from plans.pictures.paths import line_data, pairs_data, path_data
from plans.pictures.svg import drawing, element
from plans.report.marked import framed, sheet
from plans.values import Plan, Sewing

RUNG_SHARE = 1 / 90  # a column's rungs stand this share of the picture's long side apart
ROW_SHARE = 1 / 70  # and a fill's rows; a loose base half as far again
DETAIL_SHARE = 1 / 2000  # outlines are drawn to this share of the long side
NUMBER_SHARE, CROWDED_SHARE = 1 / 34, 1 / 48  # height of a step's number
CROWD = 60  # steps


def part_map(plan: Plan) -> Markup:
    """The parts in a tint of their thread, with the number of their step where it has room."""
    width, height = plan.sized.size_mm
    unit = max(width, height)
    box = framed(0.0, 0.0, width, height)
    rows = [sheet(box, (255, 255, 255))]
    palette = plan.sized.drawing.palette
    rows += [
        _part(step.sewing, number, unit, palette[step.sewing.thread].rgb) for number, step in enumerate(plan.steps, 1)
    ]
    left_out = [part for part in plan.sized.parts if part.kind == "drop"]
    rows += [element("path", class_="drop", d=path_data(part.outline_mm, unit * DETAIL_SHARE)) for part in left_out]
    rows += _numbers(plan, unit * (CROWDED_SHARE if len(plan.steps) > CROWD else NUMBER_SHARE))
    return drawing(box, f"{len(plan.steps)} steps on the artwork, hatched by kind", rows)


def _part(sewing: Sewing, number: int, unit: float, rgb: tuple[int, int, int]) -> Markup:
    outline = path_data(sewing.shape, unit * DETAIL_SHARE)
    if sewing.kind == "running":
        lines = "".join(line_data(spine.line, spine.closed) for spine in sewing.spines)
        dashes = f"{unit / 70:.2f} {unit / 140:.2f}"
        return element("path", class_="run", d=lines or outline, stroke_width=unit / 200, stroke_dasharray=dashes)
    pen = unit / 420
    body = element("path", class_="body", d=outline, fill=f"rgb({rgb[0]},{rgb[1]},{rgb[2]})")
    edge = element("path", class_="edge", d=outline, stroke_width=pen)
    if sewing.kind == "column":
        rungs = "".join(_rungs(spine, unit * RUNG_SHARE) for spine in sewing.spines)
        return body + element("path", class_="rung", d=rungs, stroke_width=pen) + edge
    return (
        body
        + _rows(sewing, number, unit * ROW_SHARE, pen)
        + element("path", d=outline, fill=f"url(#rows{number})")
        + edge
    )


def _rows(sewing: Sewing, number: int, pitch: float, pen: float) -> Markup:
    dx, dy = direction(sewing.angle_deg or 0.0)
    apart = pitch * (1.5 if sewing.role == "base" else 1.0)
    row = element("path", class_="row", d=f"M0 {apart / 2:.2f}H10", stroke_width=pen)
    turn = f"rotate({math.degrees(math.atan2(dy, dx)):.1f})"
    return element(
        "pattern", row, id=f"rows{number}", patternUnits="userSpaceOnUse", width=10, height=apart, patternTransform=turn
    )


def _rungs(spine: Spine, apart: float) -> str:
    middle = (spine.left + spine.right) / 2
    if len(middle) < 2:
        return ""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(middle, axis=0).T))])
    at = np.linspace(0, along[-1], max(2, int(along[-1] / apart)))
    sides = (spine.left, spine.right)
    ends = [np.column_stack([np.interp(at, along, side[:, 0]), np.interp(at, along, side[:, 1])]) for side in sides]
    return pairs_data(np.stack(ends, axis=1))


def _numbers(plan: Plan, height: float) -> list[Markup]:
    return [
        element(
            "text", str(number), class_="number", x=x, y=y + 0.36 * height, font_size=height, stroke_width=height / 4
        )
        for number, x, y in step_numbers(plan, height)
    ]
