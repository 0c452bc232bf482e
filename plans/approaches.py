"""The four approaches as data, and the choice among them once they are laid."""

from __future__ import annotations

from dataclasses import dataclass, replace

from plans.layers import Recipe
from plans.values import LaidPlan


@dataclass(frozen=True, slots=True)
class Approach:
    """One way to sew a design. title and what: in a person's words."""

    name: str
    title: str
    what: str
    recipe: Recipe


APPROACHES: tuple[Approach, ...] = (
    Approach(
        "side-by-side",
        "Side by side",
        "every shape at full cover, butted and overlapped",
        Recipe("side-by-side", "beside"),
    ),
    Approach("stacked", "Stacked", "full cover under full columns", Recipe("stacked", "stacked")),
    Approach(
        "base-and-detail",
        "Base and detail",
        "a loose base under each group, open columns and running line on top",
        Recipe("base-and-detail", "base"),
    ),
    Approach("line-work", "Line work", "running line and narrow columns only", Recipe("line-work", "lines")),
)


def named(name: str) -> Approach:
    """The approach of that name."""
    return next(approach for approach in APPROACHES if approach.name == name)


KEPT, HARD, REGISTRATION, MINUTES = 6.0, 0.08, 1.5, 1.0
"""What counts in the choice: detail lost (whole = 6), each hard patch, a millimetre of cloth showing, and minutes
against the quickest (twice as long = 1)."""
MOST_PATCHES = 5


def drawback(laid: LaidPlan, quickest_minutes: float) -> float:
    """How much speaks against an approach; the least is recommended."""
    return (
        KEPT * (1 - laid.detail_kept)
        + HARD * min(len(laid.density.hard_patches), MOST_PATCHES)
        + REGISTRATION * laid.registration_mm
        + MINUTES * (laid.estimate.minutes / max(quickest_minutes, 1e-9) - 1)
    )


def ranked(laid: tuple[LaidPlan, ...], asked: str = "") -> tuple[LaidPlan, ...]:
    """The recommended approach first (the one asked for, if any), the others as they were, each with its reason."""
    quickest = min(plan.estimate.minutes for plan in laid)
    best = min(laid, key=lambda plan: drawback(plan, quickest))
    first = next((plan for plan in laid if plan.approach == asked), best)
    told = {plan.approach: replace(plan, why=reason(plan, first, asked)) for plan in laid}
    return (told[first.approach], *(told[plan.approach] for plan in laid if plan is not first))


def reason(plan: LaidPlan, first: LaidPlan, asked: str) -> str:
    """Why an approach is recommended, or what it costs against the one that is."""
    kept = f"keeps {plan.detail_kept:.0%} of the detail"
    patches = len(plan.density.hard_patches)
    hard = f"{patches} hard patch{'' if patches == 1 else 'es'}" if patches else "no hard patch"
    shows = f"{plan.registration_mm:.1f} mm of cloth may show" if plan.registration_mm >= 0.05 else "no cloth shows"
    cost = f"{plan.estimate.stitches:,} stitches, {plan.estimate.minutes:.0f} min"
    facts = f"{kept}, {hard}, {shows}, {cost}"
    if plan is first:
        return f"asked for: {facts}" if asked else f"recommended: {facts}"
    more = plan.estimate.stitches / max(first.estimate.stitches, 1) - 1
    return f"{facts} ({more:+.0%} stitches against {first.approach})"
