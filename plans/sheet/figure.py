"""The design at true size, in lines: outlines, stitch lines by kind, step numbers, a bar to check the printer by."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from shapely import LineString, MultiLineString, get_parts, simplify
from shapely.affinity import rotate

from analyse.values import Floats
from plans.pictures.numbers import step_numbers
from plans.sheet.paper import INK, Paper
from plans.values import Plan, Sewing

ROWS_MM = 1.6  # drawn rows of a fill stand this far apart: to show its angle, not its spacing
RUNGS_MM = 1.2
BAR_MM = 50.0


def draw_design(paper: Paper, plan: Plan, left: float, top: float) -> None:
    """Draw the design with its top left corner at (left, top) mm of the paper, one mm a mm."""
    pdf = paper.pdf
    pdf.saveState()
    pdf.translate(left * mm, (paper.height - top) * mm)
    pdf.scale(mm, -mm)
    for step in plan.steps:
        _draw_sewing(pdf, step.sewing, plan.sized.drawing.palette[step.sewing.thread].rgb)
    pdf.setDash(0.5, 0.5)
    pdf.setStrokeColorRGB(0.61, 0.16, 0.13)
    for part in plan.sized.parts:
        if part.kind == "drop":
            _outline(pdf, part.outline_mm, 0.15)
    pdf.restoreState()
    _numbers(paper, plan, left, top)


def draw_bar(paper: Paper, left: float, y: float) -> None:
    """A bar of 50 mm, so that a printer that shrinks is found out."""
    pdf = paper.pdf
    pdf.setStrokeColorRGB(*INK)
    pdf.setLineWidth(0.7)
    for x, low, high in ((left, -1.2, 1.2), (left + BAR_MM, -1.2, 1.2)):
        pdf.line(x * mm, (paper.height - y - low) * mm, x * mm, (paper.height - y - high) * mm)
    pdf.line(left * mm, (paper.height - y) * mm, (left + BAR_MM) * mm, (paper.height - y) * mm)
    paper.text(left + BAR_MM + 2.5, y + 1, "50 mm when printed at 100 %", 7)


def _draw_sewing(pdf: Canvas, sewing: Sewing, rgb: tuple[int, int, int]) -> None:
    red, green, blue = (channel / 255 for channel in rgb)
    pdf.setStrokeColorRGB(red * 0.75, green * 0.75, blue * 0.75)
    pdf.setDash()
    if sewing.kind == "running":
        pdf.setDash(1.2, 0.6)
        pdf.setLineWidth(0.3)
        for spine in sewing.spines:
            _line(pdf, spine.line, spine.closed)
        pdf.setDash()
        return
    pdf.setLineWidth(0.12)
    _lines(pdf, _stitch_lines(sewing))
    _outline(pdf, sewing.shape, 0.25)


def _stitch_lines(sewing: Sewing) -> list[Floats]:
    if sewing.kind == "column" and sewing.spines:
        return [pair for spine in sewing.spines for pair in _rungs(spine.left, spine.right)]
    centre = sewing.shape.centroid
    level = rotate(sewing.shape, sewing.angle_deg or 0.0, origin=centre)
    left, top, right, bottom = level.bounds
    rows = MultiLineString([[(left - 1, y), (right + 1, y)] for y in np.arange(top + ROWS_MM / 2, bottom, ROWS_MM)])
    turned = rotate(level.intersection(rows), -(sewing.angle_deg or 0.0), origin=centre)
    return [
        np.asarray(piece.coords) for piece in get_parts(turned) if isinstance(piece, LineString) and not piece.is_empty
    ]


def _rungs(left: Floats, right: Floats) -> list[Floats]:
    middle = (left + right) / 2
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(middle, axis=0).T))])
    at = np.linspace(0, along[-1], max(2, math.ceil(along[-1] / RUNGS_MM)))
    sides = [
        np.column_stack([np.interp(at, along, side[:, 0]), np.interp(at, along, side[:, 1])]) for side in (left, right)
    ]
    return list(np.stack(sides, axis=1))


def _outline(pdf: Canvas, shape: object, width: float) -> None:
    pdf.setLineWidth(width)
    for piece in get_parts(simplify(shape, 0.02)):
        if piece.geom_type == "Polygon" and not piece.is_empty:
            for ring in (piece.exterior, *piece.interiors):
                _line(pdf, np.asarray(ring.coords), True)


def _line(pdf: Canvas, points: Floats, closed: bool = False) -> None:
    _lines(pdf, [points], closed)


def _lines(pdf: Canvas, lines: Sequence[Floats], closed: bool = False) -> None:
    """Lines as one path. Its operators are written whole: point by point, the library takes ten times as long."""
    written = []
    for points in (line for line in lines if len(line) > 1):
        pairs = (np.round(points[:, :2], 3) + 0.0).tolist()
        written.append(" l ".join(f"{x} {y}" for x, y in pairs).replace(" l ", " m ", 1) + " l")
    if written:
        pdf.drawPath(PDFPathObject(code=[*written, "h"] if closed else written))


def _numbers(paper: Paper, plan: Plan, left: float, top: float) -> None:
    points = 6.5
    for number, x, y in step_numbers(plan, points * 0.3528):
        paper.pdf.setFillColorRGB(1, 1, 1)
        width = 0.6 + 1.35 * len(str(number))
        paper.pdf.rect(
            (left + x - width / 2) * mm, (paper.height - top - y - 1.2) * mm, width * mm, 2.4 * mm, stroke=0, fill=1
        )
        paper.colour(INK)
        paper.text(left + x - width / 2 + 0.3, top + y + 0.8, str(number), points, bold=True)
