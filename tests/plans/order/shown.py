"""How much of the thread between two sewings shows: judged by shapes and colours alone, not by how ways are found."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from analyse.values import Colour, Floats
from plans.values import LaidPlan, Lay, Move, Sewing

APART_MM = 0.1
LET_OUT_MM = 0.3
"""Compensation and a strand's own width let a sewing out by so much at most."""
DARKER_BY = 5.0
"""Never dark under light: what hides a travel may be lighter than it by so much in L*."""
COVERS_MM = 0.5
"""Spacing from which a column is open: common practice, 0.50 to 0.60 over a base."""


def links(plan: LaidPlan) -> Iterator[tuple[int, Floats]]:
    """For each step that follows another without a cut: its number and the way (N, 2) that leads to it."""
    stitches = plan.stitches
    own = (stitches.lay != Lay.TRAVEL) & (stitches.move < Move.TRIM)
    for number in range(1, len(plan.steps)):
        rows = np.flatnonzero(stitches.step == number)
        first = int(rows[np.argmax(own[rows])]) if own[rows].any() else int(rows[-1])
        way = np.arange(rows[0] - 1, first + 1)
        if not (stitches.move[way[1:]] == Move.TRIM).any():
            yield number, stitches.xy[way]


def shown_mm(plan: LaidPlan, number: int, way: Floats, palette: tuple[Colour, ...]) -> float:
    """Length, mm, of the way to step `number` that nothing sewn later hides and that runs on no thread of its own."""
    line = shapely.LineString(way)
    if line.length < APART_MM:
        return 0.0
    count = max(int(line.length / APART_MM), 1)
    places = shapely.line_interpolate_point(line, (np.arange(count) + 0.5) / count, normalized=True)
    thread = plan.steps[number].sewing.thread
    beneath = np.full(count, -1)
    for step in plan.steps[:number]:
        let_out = LET_OUT_MM if step.sewing.thread == thread else 0.0
        beneath[_over(step.sewing, places, let_out)] = step.sewing.thread
    fine = beneath == thread
    for step in plan.steps[number:]:
        if step.sewing.thread == thread or _hides(step.sewing, thread, palette):
            fine |= _over(step.sewing, places, LET_OUT_MM)
    return float(np.mean(~fine) * line.length)


def _over(sewing: Sewing, places: np.ndarray, let_out_mm: float) -> np.ndarray:
    shape = sewing.shape.buffer(let_out_mm) if let_out_mm else sewing.shape
    shapely.prepare(shape)
    return np.asarray(shapely.contains(shape, places))


def _hides(sewing: Sewing, thread: int, palette: tuple[Colour, ...]) -> bool:
    open_column = sewing.kind == "column" and sewing.over_base and sewing.spacing_mm >= COVERS_MM
    closed = sewing.kind != "running" and sewing.role != "base" and not open_column
    return closed and palette[sewing.thread].lab[0] <= palette[thread].lab[0] + DARKER_BY
