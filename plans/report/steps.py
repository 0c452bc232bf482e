"""The steps as a table a person can read: by thread, and neighbours sewn alike in one row."""

from __future__ import annotations

from typing import Any

from plans import words
from plans.alike import Alike, runs, span
from plans.values import Plan

Row = dict[str, Any]


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
    """The sentence, if it is the same for all; else what the widths span, and what else is said of all of them."""
    parts = [plan.sized.parts[step.sewing.part] for step in alike.steps]
    reasons = list(dict.fromkeys(words.reason(part.reason) for part in parts))
    more = [
        step.sewing.why.removeprefix(words.reason(part.reason)).lstrip("; ")
        for step, part in zip(alike.steps, parts, strict=True)
    ]
    ways = list(dict.fromkeys(way for way in more if way))
    if len(reasons) == 1:
        return list(dict.fromkeys([*reasons, *ways[:1]]))
    width = f"{span([part.width_mm.median for part in parts], 1)} mm drawn"
    return [width, *[way for way in ways if len(ways) == 1]]
