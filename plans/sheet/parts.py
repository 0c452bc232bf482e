"""Beneath a row of the sheet's table: each of its parts, in columns read downwards."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from plans import words
from plans.alike import Alike
from plans.sheet.paper import INK, MARGIN_MM, SOFT, Paper
from plans.values import Step

LINE_MM = 3.1
POINTS = 6.6
COLUMN_MM, OWN_MM = 60.0, 31.0  # a part's figures, and what it may have of its own beside them
NUMBER_MM, STARTS_MM, ENDS_MM, STITCHES_MM = 12.0, 14.0, 31.0, 53.0  # from a column's left
BELOW_MM = 1.2
TOGETHER, LEAST = 12, 4  # lines of parts that stay with their row; of more, so many at least
Room = Callable[[Paper, float], None]


def draw_parts(paper: Paper, row: Alike, room: Room) -> None:
    """Draw the parts of a row from where the paper stands; `room` turns the page where there is none."""
    numbered, differing = list(row.numbered), _differing(row)
    wide_mm, columns = _columns(paper, row)
    while numbered:
        room(paper, LINE_MM + BELOW_MM)
        fitting = max(1, int((paper.height - MARGIN_MM - BELOW_MM - paper.y) / LINE_MM))
        lines = min(fitting, -(-len(numbered) // columns))
        now, numbered = numbered[: lines * columns], numbered[lines * columns :]
        for place, (number, step) in enumerate(now):
            at = (MARGIN_MM + place // lines * wide_mm, paper.y + place % lines * LINE_MM)
            _part(paper, at, number, step, differing)
        paper.y += lines * LINE_MM
    paper.y += BELOW_MM


def together_mm(paper: Paper, row: Alike) -> float:
    """Room that a row's parts want beneath it on its own page: all of them where they are few."""
    lines = -(-len(row.steps) // _columns(paper, row)[1])
    return (lines if lines <= TOGETHER else LEAST) * LINE_MM + BELOW_MM


def _columns(paper: Paper, row: Alike) -> tuple[float, int]:
    """How wide a column of parts is, mm, and how many stand side by side."""
    wide_mm = COLUMN_MM + OWN_MM * bool(_differing(row))
    return wide_mm, max(1, int((paper.width - 2 * MARGIN_MM) / wide_mm))


def _part(paper: Paper, at: tuple[float, float], number: int, step: Step, differing: frozenset[str]) -> None:
    left, y = at
    paper.colour(SOFT)
    if step.trim_before:
        paper.text(left, y, "trim", POINTS)
    paper.text(left + ENDS_MM - 3.6, y, "to", POINTS)
    paper.colour(INK)
    paper.text(left + NUMBER_MM, y, str(number), POINTS, right=True)
    paper.text(left + STARTS_MM, y, _at(step.entry_mm), POINTS)
    paper.text(left + ENDS_MM, y, _at(step.exit_mm), POINTS)
    paper.text(left + STITCHES_MM, y, words.count(step.stitches), POINTS, right=True)
    paper.colour(SOFT)
    paper.text(left + STITCHES_MM + 2.0, y, ", ".join(_own(step, differing)), POINTS - 1)
    paper.colour(INK)


def _differing(row: Alike) -> frozenset[str]:
    """The allowances in which the parts of a row differ."""
    told = [words.allowances(step.sewing) for step in row.steps]
    return frozenset(name for name in told[0] if len({f"{each[name]:.2f}" for each in told}) > 1)


def _own(step: Step, differing: frozenset[str]) -> Iterator[str]:
    for name, value in words.allowances(step.sewing).items():
        if name in differing and round(value, 2):
            yield f"{name} {value:.2f}"


def _at(point: tuple[float, float]) -> str:
    return f"{point[0]:.1f}, {point[1]:.1f}"
