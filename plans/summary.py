"""What a person wants first, in a dozen lines for the terminal."""

from __future__ import annotations

from pathlib import Path

from analyse.values import Feature
from plans import words
from plans.values import Plan

MOST = 6  # details named on the terminal; the report has them all


def summary(plan: Plan, folder: Path) -> str:
    """Verdict, what does not survive, the figures, the approach and what it saves, where the report lies."""
    sized = plan.sized
    rows = [f"{plan.verdict}, {words.size(sized.size_mm)} on {words.cloth(sized)}, {sized.thread}-weight thread"]
    rows += [f"  {beyond}"] if (beyond := words.out_of_place(plan)) else []
    rows += _details(plan)
    rows += _changes(plan)
    rows += [f"  {sentence}" for sentence in (*sized.drawing.artwork.notes, *sized.drawing.notes, *plan.source)]
    rows += ["", _figures(plan), *_approach(plan), "", f"report {folder / 'report.html'}"]
    return "\n".join(words.printable(row) for row in rows) + "\n"


def _details(plan: Plan) -> list[str]:
    features = words.not_holding(plan)
    if not features:
        return [f"  {words.ALL_LARGE_ENOUGH}"]
    rows = [f"  {_named(feature)}{words.detail_line(feature)}" for feature in features[:MOST]]
    return rows if len(features) <= MOST else [*rows, f"  and {len(features) - MOST} more in the report"]


def _changes(plan: Plan) -> list[str]:
    """What to change, and how much of the look is lost as it is."""
    if not plan.changes:
        return []
    told = [f"    {change}" for change in plan.changes[:MOST]]
    more = [f"    and {len(plan.changes) - MOST} more in the report"] if len(plan.changes) > MOST else []
    return [f"  {words.lost(plan)}; what to change:", *told, *more]


def _named(feature: Feature) -> str:
    """Which thing it is: `a line of 10 capitals in bluish black: `."""
    what = feature.text.partition(":")[0]
    return f"{what}: " if what else ""


def _figures(plan: Plan) -> str:
    cost = plan.estimate
    colours = len({step.sewing.thread for step in plan.steps})
    figures = [
        words.some(cost.stitches, "stitch", "stitches"), words.some(colours, "colour"), words.some(cost.trims, "trim"),
        f"{cost.minutes:.1f} minutes", f"{cost.thread_m:.1f} m of thread",
    ]  # fmt: skip
    return ", ".join(figures if cost.price is None else [*figures, f"price {cost.price:.2f}"])


def _approach(plan: Plan) -> list[str]:
    why = words.why(plan.laid)
    return [
        f"sew it {words.approach(plan.laid.approach)}{': ' if why else ''}{why}",
        *(f"  {line}" for line in words.savings(plan)),
    ]
