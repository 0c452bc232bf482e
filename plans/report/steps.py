"""The steps as a table a person can read: by thread, and neighbours sewn alike in one row."""

from __future__ import annotations

import re
from collections import defaultdict
from typing import Any

from analyse.values import Part
from plans import words
from plans.alike import Alike, runs
from plans.values import Plan, Sewing

Row = dict[str, Any]
FIGURE = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?")
MOST_REASONS = 2
"""Reasons told of steps sewn alike."""


def blocks(plan: Plan) -> list[Row]:
    """The steps in sewing order, by runs of one thread."""
    return [
        {
            "colour": plan.sized.drawing.palette[run.thread],
            "rows": [_row(alike, plan) for alike in run.rows],
            "stitches": words.some(run.stitches, "stitch", "stitches"),
        }
        for run in runs(plan)
    ]


def _row(alike: Alike, plan: Plan) -> Row:
    parts = plan.sized.parts
    return {
        **alike.told(),
        "times": "" if len(alike.steps) == 1 else f"{len(alike.steps)} parts",
        "trims": words.some(alike.trims, "trim") if alike.trims else "",
        "why": _why(alike, plan),
        "look": [number for number, step in alike.numbered if parts[step.sewing.part].certainty < words.SURE],
    }


def _why(alike: Alike, plan: Plan) -> list[str]:
    """Why the parts are sewn so, and what else is said of them; figures that differ as a span.

    What is not said of all of them says of how many.
    """
    reasons = [_reason(step.sewing, plan.sized.parts[step.sewing.part]) for step in alike.steps]
    more = [
        step.sewing.why.removeprefix(reason).lstrip("; ") for step, reason in zip(alike.steps, reasons, strict=True)
    ]
    clauses = [clause for each in more for clause in each.split("; ")]
    return list(dict.fromkeys([*_spanned(reasons, len(reasons)), *_spanned(clauses, len(reasons))]))


def _reason(sewing: Sewing, part: Part) -> str:
    """Why the part is what it is; of one that is sewn as something else, why it is that."""
    return words.reason(part.reason) if sewing.kind == part.kind else sewing.why


def _spanned(sentences: list[str], parts: int) -> list[str]:
    """Sentences on so many parts that say the same of several figures as one: `0.7 to 0.9 mm drawn: a column`.

    The commonest two.
    """
    by_frame: dict[tuple[str, ...], list[list[str]]] = defaultdict(list)
    for sentence in filter(None, sentences):
        by_frame[tuple(FIGURE.split(sentence))].append(FIGURE.findall(sentence))
    often = sorted(by_frame.items(), key=lambda each: -len(each[1]))[:MOST_REASONS]
    counts = ["" if len(figures) == parts else f"{len(figures)} of {parts}: " for _, figures in often]
    return [count + _told(frame, figures) for count, (frame, figures) in zip(counts, often, strict=True)]


def _told(frame: tuple[str, ...], figures: list[list[str]]) -> str:
    spans = [_figures(list(column)) for column in zip(*figures, strict=True)]
    return frame[0] + "".join(figure + rest for figure, rest in zip(spans, frame[1:], strict=True))


def _figures(texts: list[str]) -> str:
    """The least and the largest, to as many places as the coarsest has."""
    places = min(len(text.partition(".")[2]) for text in texts)
    values = [float(text.replace(",", "")) for text in texts]
    low, high = f"{min(values):,.{places}f}", f"{max(values):,.{places}f}"
    return low if low == high else f"{low} to {high}"
