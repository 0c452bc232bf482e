"""Strokes, dots, gaps and counters: the lengths that thread and cloth need."""

from __future__ import annotations

import numpy as np

from analyse.detail.candidates import Candidate
from analyse.kinds.setting import Setting
from analyse.values import Drawing
from analyse.widths.measuring import Measures, Shape, Stroke
from analyse.widths.profile import percentiles_px, run_length_px

DOT_ELONGATION = 2.0  # a shape no longer than this many widths is a dot


def shape_candidates(drawing: Drawing, measures: Measures, setting: Setting) -> list[Candidate]:
    """Every stroke, dot, gap and counter of the drawing."""
    found = [_solid(stroke, shape.region, setting) for shape in measures.regions for stroke in shape.pieces]
    for shape in measures.background:
        found += _between(drawing, shape, setting)
    return found


def is_dot(shape: Stroke) -> bool:
    """Whether a shape is hardly longer than wide."""
    return float(shape.outline.area) < DOT_ELONGATION * float(shape.pole[2]) ** 2 and run_length_px(
        shape
    ) < DOT_ELONGATION * float(shape.pole[2])


def _solid(shape: Stroke, region: int | None, setting: Setting) -> Candidate:
    x, y, across = (float(value) for value in shape.pole)
    if is_dot(shape):
        needs, row, kind = setting.value("dot.smallest"), "dot.smallest", "dot"
        return Candidate("dot", (x, y), across, row, needs, float(shape.outline.area), f"a {kind}", region)
    low = percentiles_px(shape)[1]
    needs = setting.value("stroke.thinnest")
    return Candidate("stroke", (x, y), low, "stroke.thinnest", needs, float(shape.outline.area), "a stroke", region)


def _between(drawing: Drawing, shape: Shape, setting: Setting) -> list[Candidate]:
    row, needs = f"cloth.{setting.cloth.name}.gap_mm", setting.cloth.gap_mm
    left, top, right, bottom = drawing.extent_px
    box = shape.outline.bounds
    outer = box[0] < left - 1 or box[1] < top - 1 or box[2] > right + 1 or box[3] > bottom + 1
    found = []
    if not outer and not shape.branches:
        x, y, across = (float(value) for value in shape.pole)
        return [Candidate("counter", (x, y), across, row, needs, float(shape.outline.area), "a counter")]
    for branch in shape.branches:
        width = branch.axis[:, 2]
        steps = np.hypot(*np.diff(branch.axis[:, :2], axis=0).T)
        if steps.sum() < width.min():
            continue
        at = int(width.argmin())
        x, y = branch.axis[at, :2].tolist()
        measure = float(np.quantile(width, 0.1))
        found.append(
            Candidate("gap", (x, y), measure, row, needs, float(steps.sum() * measure), "a gap between shapes")
        )
    return found
