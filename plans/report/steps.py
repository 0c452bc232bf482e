"""The steps as a table a person can read: by thread, and neighbours sewn alike in one row."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Any

from plans import words
from plans.values import Plan, Sewing, Step

Numbered = tuple[int, Step]
Row = dict[str, Any]


def blocks(plan: Plan) -> list[Row]:
    """The steps in sewing order, by runs of one thread."""
    numbered = list(enumerate(plan.steps, 1))
    made = []
    for thread, run in groupby(numbered, key=lambda each: each[1].sewing.thread):
        steps = list(run)
        rows = [_row(list(alike), plan) for _, alike in groupby(steps, key=lambda each: _look(each[1].sewing))]
        colour = plan.sized.drawing.palette[thread]
        made.append({"colour": colour, "rows": rows, "stitches": words.some(_sum(steps), "stitch", "stitches")})
    return made


def _look(sewing: Sewing) -> tuple[Any, ...]:
    angle = None if sewing.kind == "running" else sewing.angle_deg
    return (sewing.kind, sewing.role, sewing.layer, angle, sewing.spacing_mm, sewing.passes, sewing.underlay)


def _row(steps: list[Numbered], plan: Plan) -> Row:
    first, sewing = steps[0][1], steps[0][1].sewing
    parts = [plan.sized.parts[step.sewing.part] for _, step in steps]
    trims = sum(step.trim_before for _, step in steps)
    return {
        "numbers": str(steps[0][0]) if len(steps) == 1 else f"{steps[0][0]} to {steps[-1][0]}",
        "kind": sewing.kind,
        "times": "" if len(steps) == 1 else f"{len(steps)} parts",
        "trims": words.some(trims, "trim") if trims else "",
        "role": sewing.role,
        "layer": words.LAYERS[sewing.layer],
        "angle": words.angle(first).split(maxsplit=1)[0],
        "spacing": words.spacing(sewing.spacing_mm) or f"{sewing.passes} passes",
        "stitch": _span([words.stitch_mm(step.sewing) for _, step in steps], 1),
        "underlay": words.underlay(sewing.underlay),
        "allowance": _allowance([step.sewing for _, step in steps]),
        "stitches": words.count(_sum(steps)),
        "why": _why(steps, plan),
        "look": [number for (number, _), part in zip(steps, parts, strict=True) if part.certainty < words.SURE],
    }


def _allowance(sewings: list[Sewing]) -> str:
    given = [
        ("widened", [sewing.widen_mm for sewing in sewings]),
        ("pull", [sewing.pull_mm for sewing in sewings]),
        ("push", [sewing.push_mm for sewing in sewings]),
        ("under", [sewing.under_mm for sewing in sewings]),
    ]
    told = [(name, _span(values, 2)) for name, values in given]
    return ", ".join(f"{name} {span}" for name, span in told if span) or "none"


def _why(steps: list[Numbered], plan: Plan) -> list[str]:
    """The sentence, if it is the same for all; else what the widths span, and what else is said of all of them."""
    parts = [plan.sized.parts[step.sewing.part] for _, step in steps]
    reasons = list(dict.fromkeys(words.reason(part.reason) for part in parts))
    more = [
        step.sewing.why.removeprefix(words.reason(part.reason)).lstrip("; ")
        for (_, step), part in zip(steps, parts, strict=True)
    ]
    ways = list(dict.fromkeys(way for way in more if way))
    if len(reasons) == 1:
        return list(dict.fromkeys([*reasons, *ways[:1]]))
    width = f"{_span([part.width_mm.median for part in parts], 1)} mm drawn"
    return [width, *[way for way in ways if len(ways) == 1]]


def _span(values: Sequence[float], places: int) -> str:
    low, high = f"{min(values):.{places}f}", f"{max(values):.{places}f}"
    if float(high) == 0:
        return ""
    return low if low == high else f"{low} to {high}"


def _sum(steps: list[Numbered]) -> int:
    return sum(step.stitches for _, step in steps)
