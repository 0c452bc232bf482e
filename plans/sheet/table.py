"""The sheet's table: rows of steps sewn alike, by thread, in sewing order, and beneath a row each of its parts."""

from __future__ import annotations

from functools import partial

from plans import words
from plans.alike import Alike, Run, runs
from plans.sheet.paper import INK, MARGIN_MM, SOFT, Paper, wrapped
from plans.sheet.parts import draw_parts, together_mm
from plans.values import Plan

LINE_MM = 3.5
BLOCK_MM = 9.0
NOTE_MM = 5.0
POINTS = 7.2
GAP_MM = 1.8
COLUMNS = (  # heading, what `Alike.told` calls it, width in parts, right-aligned
    ("No.", "numbers", 19, True),
    ("Kind, role", "kind", 25, False),
    ("Layer", "layer", 14, False),
    ("Angle", "angle", 12, False),
    ("Spacing", "spacing", 34, False),
    ("Stitch", "stitch", 17, False),
    ("Underlay", "underlay", 42, False),
    ("Allowance", "allowance", 38, False),
    ("Stitches", "stitches", 13, True),
)
PARTS = sum(parts for _, _, parts, _ in COLUMNS)
NOTE = "Beneath a row its parts: number, where each starts and ends, its stitches. “trim”: the thread is cut before it."


def draw_steps(paper: Paper, plan: Plan) -> None:
    """Draw the table from where the paper stands, on as many pages as it takes."""
    paper.colour(SOFT)
    paper.text(MARGIN_MM, paper.y + 2, f"{NOTE} Lengths and places in mm, from the upper left.", POINTS)
    paper.y += NOTE_MM
    _heading(paper)
    for run in runs(plan):
        _run(paper, plan, run)


def _run(paper: Paper, plan: Plan, run: Run) -> None:
    colour = plan.sized.drawing.palette[run.thread]
    _room(paper, BLOCK_MM + _tall(_wrapped(paper, run.rows[0])) + together_mm(paper, run.rows[0]))
    paper.swatch(MARGIN_MM, paper.y + 4.4, 3.2, colour.rgb)
    stitches = words.some(run.stitches, "stitch", "stitches")
    paper.text(MARGIN_MM + 4.6, paper.y + 4.5, f"{colour.name}, {stitches}", 8, bold=True)
    paper.y += BLOCK_MM
    for row in run.rows:
        cells = _wrapped(paper, row)
        _room(paper, _tall(cells) + together_mm(paper, row))
        _row(paper, cells)
        paper.y += _tall(cells)
        draw_parts(paper, row, partial(_continued, row=row))
        paper.rule(paper.y - LINE_MM + 0.5)


def _wrapped(paper: Paper, row: Alike) -> list[tuple[str, ...]]:
    told = row.told()
    told["kind"] += f", {told['role']}"
    return [wrapped(told[key], POINTS, _width(paper, n) - GAP_MM) for n, (_, key, *_) in enumerate(COLUMNS)]


def _tall(cells: list[tuple[str, ...]]) -> float:
    return LINE_MM * max(len(lines) for lines in cells) + 0.4


def _room(paper: Paper, tall: float) -> None:
    if paper.y + tall > paper.height - MARGIN_MM:
        paper.turn()
        _heading(paper)


def _continued(paper: Paper, tall: float, row: Alike) -> None:
    """Turn the page where a row's parts need it, and say there whose parts they are."""
    page = paper.pdf.getPageNumber()
    _room(paper, tall)
    if paper.pdf.getPageNumber() > page:
        paper.colour(SOFT)
        paper.text(MARGIN_MM, paper.y, f"{row.numbers}, continued: {row.told()['kind']}, {row.told()['role']}", POINTS)
        paper.colour(INK)
        paper.y += LINE_MM + 0.4


def _heading(paper: Paper) -> None:
    paper.y += 4
    paper.colour(SOFT)
    _row(paper, [(heading,) for heading, *_ in COLUMNS])
    paper.colour(INK)
    paper.rule(paper.y + 1.6)
    paper.y += LINE_MM + 2.4


def _row(paper: Paper, cells: list[tuple[str, ...]]) -> None:
    x = MARGIN_MM
    for n, lines in enumerate(cells):
        width, right = _width(paper, n), COLUMNS[n][3]
        for row, line in enumerate(lines):
            paper.text(x + width - GAP_MM if right else x, paper.y + LINE_MM * row, line, POINTS, right=right)
        x += width


def _width(paper: Paper, column: int) -> float:
    return (paper.width - 2 * MARGIN_MM) * COLUMNS[column][2] / PARTS
