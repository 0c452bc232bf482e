"""The sheet, page by page: the job with the design at true size, then every step with every figure to type."""

from __future__ import annotations

from reportlab.lib.units import mm

from plans import words
from plans.pictures import Pictures
from plans.sheet.figure import draw_bar, draw_design
from plans.sheet.paper import INK, MARGIN_MM, SOFT, Paper, fitted, paper_for, wrapped
from plans.values import Plan, Step

HEAD_MM = 74.0
LINE_MM = 3.6
POINTS = 7.2
COLUMNS = (  # heading, share of the width, right-aligned
    ("No.", 0.035, True),
    ("Thread", 0.12, False),
    ("Kind, role", 0.1, False),
    ("Layer", 0.04, True),
    ("Angle", 0.075, False),
    ("Spacing", 0.115, False),
    ("Stitch", 0.045, True),
    ("Underlay", 0.17, False),
    ("Allowance", 0.125, False),
    ("In, out", 0.095, False),
    ("Stitches", 0.06, True),
)
GAP_MM = 1.6


def render_sheet(plan: Plan, pictures: Pictures) -> bytes:
    """The workroom sheet as PDF bytes; the same plan gives the same bytes."""
    del pictures  # the sheet is drawn in lines, for a pencil
    name = plan.sized.drawing.artwork.name
    paper = paper_for(plan.sized.size_mm, HEAD_MM, f"{name}, {words.size(plan.sized.size_mm)}")
    _head(paper, plan)
    _design(paper, plan)
    paper.turn()
    _steps(paper, plan)
    _cautions(paper, plan)
    return paper.done()


def _head(paper: Paper, plan: Plan) -> None:
    sized, cost = plan.sized, plan.estimate
    cloth = sized.trade.cloth(sized.cloth)
    inner = paper.width - 2 * MARGIN_MM
    paper.colour(INK)
    paper.text(MARGIN_MM, 20, fitted(sized.drawing.artwork.name, 17, inner, True), 17, bold=True)
    paper.text(MARGIN_MM, 27, f"{plan.verdict}; sew it {words.approach(plan.laid.approach)}", 10)
    paper.rule(30.5)
    place = sized.trade.place(plan.job.place).title if plan.job.place else "no place named"
    left = [
        ("Size", words.size(sized.size_mm)), ("Place, cloth", f"{place}, {cloth.title}"),
        ("Needle", f"{sized.trade.value('thread.needle', thread=sized.thread)}, {cloth.needle}"),
        ("Backing", cloth.backing), ("Topping", cloth.topping),
    ]  # fmt: skip
    right = [
        ("Stitches", words.count(cost.stitches)), ("Trims, changes", f"{cost.trims}, {cost.colour_changes}"),
        ("Minutes", f"{cost.minutes:.1f}"), ("Thread, bobbin", f"{cost.thread_m:.1f} m, {cost.bobbin_m:.1f} m"),
        ("Most cover", f"{plan.laid.density.stacked_max:.1f} layers"),
    ]  # fmt: skip
    _facts(paper, left, MARGIN_MM, inner / 2)
    _facts(paper, right, MARGIN_MM + inner / 2, inner / 2)
    _threads(paper, plan, 60.5)


def _facts(paper: Paper, facts: list[tuple[str, str]], x: float, width: float) -> None:
    for row, (name, text) in enumerate(facts):
        y = 36 + 4.6 * row
        paper.colour(SOFT)
        paper.text(x, y, name, 8)
        paper.colour(INK)
        paper.text(x + 26, y, fitted(text, 8.5, width - 28), 8.5)


def _threads(paper: Paper, plan: Plan, y: float) -> None:
    """The threads in the order they are first sewn."""
    order = list(dict.fromkeys(step.sewing.thread for step in plan.steps))
    width = (paper.width - 2 * MARGIN_MM) / max(4, len(order))
    for place, thread in enumerate(order):
        colour = plan.sized.drawing.palette[thread]
        x = MARGIN_MM + place * width
        paper.colour(tuple(channel / 255 for channel in colour.rgb))  # type: ignore[arg-type]
        paper.pdf.setStrokeColorRGB(*SOFT)
        paper.pdf.rect(x * mm, (paper.height - y - 1) * mm, 4 * mm, 4 * mm, fill=1)
        paper.colour(INK)
        paper.text(x + 5.5, y - 0.6, fitted(f"{place + 1} {colour.name}", 7.5, width - 7), 7.5)
        paper.text(x + 5.5, y + 2.4, f"{plan.estimate.thread_each_m[thread]:.1f} m", 7)


def _design(paper: Paper, plan: Plan) -> None:
    width, height = plan.sized.size_mm
    room = paper.height - HEAD_MM - MARGIN_MM
    top = HEAD_MM + max(0.0, min((room - height) / 2, 20.0))
    draw_bar(paper, MARGIN_MM, HEAD_MM - 4)
    draw_design(paper, plan, (paper.width - width) / 2, top)


def _steps(paper: Paper, plan: Plan) -> None:
    _table_head(paper)
    for number, step in enumerate(plan.steps, 1):
        cells = [wrapped(text, POINTS, _width(paper, n) - GAP_MM) for n, text in enumerate(_cells(number, step, plan))]
        tall = LINE_MM * max(len(lines) for lines in cells) + 1.6
        if paper.y + tall > paper.height - MARGIN_MM:
            paper.turn()
            _table_head(paper)
        _row(paper, cells)
        paper.y += tall
        paper.rule(paper.y - LINE_MM + 0.4)


def _table_head(paper: Paper) -> None:
    paper.y += 4
    paper.colour(SOFT)
    _row(paper, [[heading] for heading, _, _ in COLUMNS])
    paper.colour(INK)
    paper.rule(paper.y + 1.6)
    paper.y += LINE_MM + 2.4


def _cells(number: int, step: Step, plan: Plan) -> list[str]:
    sewing = step.sewing
    (x, y), (to_x, to_y) = step.entry_mm, step.exit_mm
    return [
        str(number),
        plan.sized.drawing.palette[sewing.thread].name,
        f"{sewing.kind}, {sewing.role}" + (", trim first" if step.trim_before else ""),
        str(sewing.layer),
        words.angle(step),
        words.spacing(sewing.spacing_mm) or f"{sewing.passes} passes",
        f"{sewing.stitch_mm:.1f}" if sewing.stitch_mm else "",
        words.underlay(sewing.underlay),
        words.compensation(sewing),
        f"{x:.1f}, {y:.1f} to {to_x:.1f}, {to_y:.1f}",
        words.count(step.stitches),
    ]


def _row(paper: Paper, cells: list[list[str]]) -> None:
    x = MARGIN_MM
    for n, lines in enumerate(cells):
        width = _width(paper, n)
        at = x + width - GAP_MM if COLUMNS[n][2] else x
        for row, line in enumerate(lines):
            paper.text(at, paper.y + LINE_MM * row, line, POINTS, right=COLUMNS[n][2])
        x += width


def _width(paper: Paper, column: int) -> float:
    shares = sum(share for _, share, _ in COLUMNS)
    return (paper.width - 2 * MARGIN_MM) * COLUMNS[column][1] / shares


def _cautions(paper: Paper, plan: Plan) -> None:
    lines = [line for caution in plan.cautions for line in wrapped(caution, 7.5, paper.width - 2 * MARGIN_MM)]
    if paper.y + 4 * len(lines) + 8 > paper.height - MARGIN_MM:
        paper.turn()
    paper.colour(SOFT)
    for row, line in enumerate(lines):
        paper.text(MARGIN_MM, paper.y + 6 + 3.8 * row, line, 7.5)
    paper.colour(INK)
