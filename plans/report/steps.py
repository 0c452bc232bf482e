"""The steps as a table a person can read: by thread, and neighbours sewn alike in one row."""

from __future__ import annotations

import re
from collections import defaultdict
from typing import Any

from plans import words
from plans.alike import Alike, runs
from plans.values import Plan

Row = dict[str, Any]
FIGURE = re.compile(r"\d+(?:\.\d+)?")


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
    """Why the parts are sewn so, figures that differ as a span, and what else is said of all of them.

    Where sentences differ in more than their figures in more than two ways, the commonest stands, and says so.
    """
    parts = [plan.sized.parts[step.sewing.part] for step in alike.steps]
    reasons = [words.reason(part.reason) for part in parts]
    more = [
        step.sewing.why.removeprefix(reason).lstrip("; ") for step, reason in zip(alike.steps, reasons, strict=True)
    ]
    ways = list(dict.fromkeys(way for way in more if way))
    one = len(set(reasons)) == 1
    return list(dict.fromkeys([*_spanned(reasons), *(ways[:1] if one else [way for way in ways if len(ways) == 1])]))


def _spanned(sentences: list[str]) -> list[str]:
    """Sentences that say the same of several figures as one: `0.7 to 0.9 mm drawn: a column`. At most two stand."""
    by_frame: dict[tuple[str, ...], list[list[str]]] = defaultdict(list)
    for sentence in sentences:
        by_frame[tuple(FIGURE.split(sentence))].append(FIGURE.findall(sentence))
    often = sorted(by_frame.items(), key=lambda each: -len(each[1]))
    told = [_told(frame, figures) for frame, figures in often]
    return told if len(told) <= 2 else [f"mostly: {told[0]}"]


def _told(frame: tuple[str, ...], figures: list[list[str]]) -> str:
    spans = [_figures(list(column)) for column in zip(*figures, strict=True)]
    return frame[0] + "".join(figure + rest for figure, rest in zip(spans, frame[1:], strict=True))


def _figures(texts: list[str]) -> str:
    low, high = min(texts, key=float), max(texts, key=float)
    return low if low == high else f"{low} to {high}"
