"""The first page of the sheet: the job, the threads, and the design at true size, in lines and as it will look."""

from __future__ import annotations

import io

from PIL import Image
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader

from plans import minding, words
from plans.pictures import Pictures
from plans.sheet.figure import draw_bar, draw_design
from plans.sheet.paper import (
    INK,
    MARGIN_MM,
    PAPERS,
    SOFT,
    Paper,
    binary_streams,
    fitted,
    paper_for,
    register_fonts,
    wrapped,
)
from plans.sheet.table import draw_steps
from plans.values import Plan

THREADS_MM = 68.0  # where the threads stand, from the top
MIND_LINE_MM = 3.9
THREAD_ROW_MM = 8.0
THREADS_A_ROW = 4
GAP_MM = 10.0
WORTH_MM = 50.0  # the table of steps begins on the first page where it has so much room
FACT_MM, FACT_LINES = 4.6, 2  # a fact's line; one that is long takes a second
JPEG_QUALITY = 88
Fact = tuple[str, str]


def render_sheet(plan: Plan, pictures: Pictures) -> bytes:
    """The workroom sheet as PDF bytes; the same plan gives the same bytes."""
    with binary_streams():
        return _drawn(plan, pictures)


def _drawn(plan: Plan, pictures: Pictures) -> bytes:
    register_fonts()
    sized = plan.sized
    mind_mm = THREADS_MM + THREAD_ROW_MM * _thread_rows(plan) + 2
    inner_mm = PAPERS[0][0] - 2 * MARGIN_MM
    minded = [(line, not n) for said in minding.mind(plan) for n, line in enumerate(wrapped(said, 8.5, inner_mm - 6))]
    head_mm = mind_mm + MIND_LINE_MM * (len(minded) + 1.5) + 6
    paper = paper_for(sized.size_mm, head_mm, f"{words.name(plan)}, {words.size(sized.size_mm)}")
    _head(paper, plan)
    _mind(paper, minded, mind_mm)
    paper.y = _design(paper, plan, pictures, head_mm) + GAP_MM
    if paper.y > paper.height - MARGIN_MM - WORTH_MM:
        paper.turn()
    draw_steps(paper, plan)
    _cautions(paper, plan)
    return paper.done()


def _head(paper: Paper, plan: Plan) -> None:
    inner = paper.width - 2 * MARGIN_MM
    paper.colour(INK)
    paper.text(MARGIN_MM, 20, fitted(words.name(plan), 17, inner, True), 17, bold=True)
    paper.text(MARGIN_MM, 27, f"{plan.verdict}; sew it {words.approach(plan.laid.approach)}", 10)
    paper.rule(30.5)
    _facts(paper, _asked(plan), MARGIN_MM, inner / 2)
    _facts(paper, _costs(plan), MARGIN_MM + inner / 2, inner / 2)
    _threads(paper, plan)


def _mind(paper: Paper, lines: list[tuple[str, bool]], y: float) -> None:
    """What to mind at the machine, a dot before each. lines: each with whether it begins a sentence."""
    if not lines:
        return
    paper.text(MARGIN_MM, y, "Mind these", 8.5, bold=True)
    for row, (line, first) in enumerate(lines, 1):
        down = y + MIND_LINE_MM * row + 0.4
        if first:
            paper.text(MARGIN_MM + 1, down, "\u2022", 8.5)
        paper.text(MARGIN_MM + 4, down, line[:1].upper() + line[1:] if first else line, 8.5)


def _asked(plan: Plan) -> list[Fact]:
    sized = plan.sized
    cloth = sized.trade.cloth(sized.cloth)
    place = f"{sized.trade.place(plan.job.place).title}, " if plan.job.place else ""
    return [
        ("Size", words.size(sized.size_mm)),
        ("Sewn on", f"{place}{words.cloth(sized)}"),
        ("Needle", f"{sized.trade.value('thread.needle', thread=sized.thread)}, {cloth.needle}"),
        ("Backing", cloth.backing),
        ("Topping", cloth.topping),
        ("Frame", minding.frame(plan)),
    ]


def _costs(plan: Plan) -> list[Fact]:
    cost, density = plan.estimate, plan.laid.density
    return [
        ("Stitches", words.count(cost.stitches)),
        ("Trims, changes", f"{cost.trims}, {cost.colour_changes}"),
        ("Minutes", f"{cost.minutes:.1f}"),
        ("Thread, bobbin", f"{cost.thread_m:.1f} m, {cost.bobbin_m:.1f} m"),
        (
            "Most cover",
            f"{density.stacked_max:.1f} layers; {words.hard_patches(density.hard_patches)}",
        ),
    ]


def _facts(paper: Paper, facts: list[Fact], x: float, width: float) -> None:
    y = 36.0
    for name, text in facts:
        paper.colour(SOFT)
        paper.text(x, y, name, 8)
        paper.colour(INK)
        for line in wrapped(text, 8.5, width - 28)[:FACT_LINES]:
            paper.text(x + 26, y, line, 8.5)
            y += FACT_MM * 0.8
        y += FACT_MM * 0.2


def _thread_order(plan: Plan) -> list[int]:
    """The threads in the order they are first sewn."""
    return list(dict.fromkeys(step.sewing.thread for step in plan.steps))


def _thread_rows(plan: Plan) -> int:
    return -(-len(_thread_order(plan)) // THREADS_A_ROW)


def _threads(paper: Paper, plan: Plan) -> None:
    width = (paper.width - 2 * MARGIN_MM) / THREADS_A_ROW
    for place, thread in enumerate(_thread_order(plan)):
        colour = plan.sized.drawing.palette[thread]
        x, y = MARGIN_MM + place % THREADS_A_ROW * width, THREADS_MM + place // THREADS_A_ROW * THREAD_ROW_MM
        paper.swatch(x, y, 4, colour.rgb)
        paper.text(x + 5.5, y - 0.6, fitted(f"{place + 1} {colour.name}", 7.5, width - 7), 7.5)
        paper.text(x + 5.5, y + 2.4, f"{plan.estimate.thread_each_m[thread]:.1f} m", 7)


def _design(paper: Paper, plan: Plan, pictures: Pictures, head_mm: float) -> float:
    """The design in lines and, where the paper has room, the sew-out beside or below it; both at true size.

    Returns where they end, mm from the top.
    """
    width, height = plan.sized.size_mm
    frame = pictures.frame
    draw_bar(paper, MARGIN_MM, head_mm)
    top, inner = head_mm + 8, paper.width - 2 * MARGIN_MM
    if width + GAP_MM + frame.width_mm <= inner:
        left = MARGIN_MM + (inner - width - GAP_MM - frame.width_mm) / 2
        draw_design(paper, plan, left, top - frame.top_mm)
        _sewout(paper, pictures, left + width + GAP_MM, top)
        return top + max(height - frame.top_mm, frame.height_mm)
    draw_design(paper, plan, (paper.width - width) / 2, top)
    below = top + height + GAP_MM
    if below + frame.height_mm <= paper.height - MARGIN_MM and frame.width_mm <= inner:
        _sewout(paper, pictures, (paper.width - frame.width_mm) / 2, below)
        return below + frame.height_mm
    return top + height


def _sewout(paper: Paper, pictures: Pictures, left: float, top: float) -> None:
    buffer = io.BytesIO()
    Image.fromarray(pictures.sewout).save(buffer, "JPEG", quality=JPEG_QUALITY)
    frame = pictures.frame
    bottom = paper.height - top - frame.height_mm
    size = (frame.width_mm * mm, frame.height_mm * mm)
    paper.pdf.drawImage(ImageReader(buffer), left * mm, bottom * mm, *size)


def _cautions(paper: Paper, plan: Plan) -> None:
    lines = [line for caution in plan.cautions for line in wrapped(caution, 7.5, paper.width - 2 * MARGIN_MM)]
    if paper.y + 4 * len(lines) + 8 > paper.height - MARGIN_MM:
        paper.turn()
    paper.colour(SOFT)
    for row, line in enumerate(lines):
        paper.text(MARGIN_MM, paper.y + 6 + 3.8 * row, line, 7.5)
    paper.colour(INK)
