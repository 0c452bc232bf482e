"""The sheet's table: every step with every figure to type, by thread, in sewing order."""

from __future__ import annotations

from itertools import groupby

from plans import words
from plans.sheet.paper import INK, MARGIN_MM, SOFT, Paper, wrapped
from plans.values import Plan, Step

LINE_MM = 3.5
BLOCK_MM = 9.0
POINTS = 7.2
GAP_MM = 1.8
COLUMNS = (  # heading, width in parts, right-aligned
    ("No.", 9, True),
    ("Before", 11, False),
    ("Kind, role", 21, False),
    ("Layer", 15, False),
    ("Angle", 13, False),
    ("Spacing", 30, False),
    ("Stitch", 9, True),
    ("Underlay", 33, False),
    ("Allowance", 29, False),
    ("Starts", 16, False),
    ("Ends", 16, False),
    ("Stitches", 13, True),
)
PARTS = sum(parts for _, parts, _ in COLUMNS)


def draw_steps(paper: Paper, plan: Plan) -> None:
    """Draw the table from where the paper stands, on as many pages as it takes."""
    _heading(paper)
    for thread, run in groupby(enumerate(plan.steps, 1), key=lambda each: each[1].sewing.thread):
        colour = plan.sized.drawing.palette[thread]
        steps = list(run)
        stitches = words.some(sum(step.stitches for _, step in steps), "stitch", "stitches")
        _room(paper, BLOCK_MM + _tall(_wrapped(paper, *steps[0])))
        paper.swatch(MARGIN_MM, paper.y + 4.4, 3.2, colour.rgb)
        paper.text(MARGIN_MM + 4.6, paper.y + 4.5, f"{colour.name}, {stitches}", 8, bold=True)
        paper.y += BLOCK_MM
        for number, step in steps:
            _step(paper, number, step)


def _step(paper: Paper, number: int, step: Step) -> None:
    cells = _wrapped(paper, number, step)
    _room(paper, _tall(cells))
    _row(paper, cells)
    paper.y += _tall(cells)
    paper.rule(paper.y - LINE_MM + 0.5)


def _wrapped(paper: Paper, number: int, step: Step) -> list[tuple[str, ...]]:
    return [wrapped(text, POINTS, _width(paper, n) - GAP_MM) for n, text in enumerate(_cells(number, step))]


def _tall(cells: list[tuple[str, ...]]) -> float:
    return LINE_MM * max(len(lines) for lines in cells) + 1.4


def _room(paper: Paper, tall: float) -> None:
    if paper.y + tall > paper.height - MARGIN_MM:
        paper.turn()
        _heading(paper)


def _heading(paper: Paper) -> None:
    paper.y += 4
    paper.colour(SOFT)
    _row(paper, [(heading,) for heading, _, _ in COLUMNS])
    paper.colour(INK)
    paper.rule(paper.y + 1.6)
    paper.y += LINE_MM + 2.4


def _cells(number: int, step: Step) -> list[str]:
    sewing = step.sewing
    return [
        str(number),
        "trim" if step.trim_before else "",
        f"{sewing.kind}, {sewing.role}",
        words.LAYERS[sewing.layer],
        words.angle(step).split()[0],
        words.spacing(sewing.spacing_mm) or f"{sewing.passes} passes",
        f"{length:.1f}" if (length := words.stitch_mm(sewing)) else "",
        words.underlay(sewing.underlay),
        words.compensation(sewing),
        _at(step.entry_mm),
        _at(step.exit_mm),
        words.count(step.stitches),
    ]


def _at(point: tuple[float, float]) -> str:
    return f"{point[0]:.1f}, {point[1]:.1f}"


def _row(paper: Paper, cells: list[tuple[str, ...]]) -> None:
    x = MARGIN_MM
    for n, lines in enumerate(cells):
        width = _width(paper, n)
        at = x + width - GAP_MM if COLUMNS[n][2] else x
        for row, line in enumerate(lines):
            paper.text(at, paper.y + LINE_MM * row, line, POINTS, right=COLUMNS[n][2])
        x += width


def _width(paper: Paper, column: int) -> float:
    return (paper.width - 2 * MARGIN_MM) * COLUMNS[column][1] / PARTS
