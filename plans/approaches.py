"""The four approaches as data, and the choice among them once they are laid."""

from __future__ import annotations

from dataclasses import dataclass, replace

from analyse.trade import Trade
from analyse.values import SizedDrawing
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


SHOWS_MM = 0.05
"""Less than this is told as no cloth at all: it rounds to 0.0 mm."""


def covered(plan: LaidPlan, sized: SizedDrawing) -> float:
    """Share of the drawing's area that is sewn over: what outlines alone leave bare is lost to the look."""
    drawn = sum(part.outline_mm.area for part in sized.parts)
    sewn = sum(step.sewing.shape.area for step in plan.steps)
    return float(min(sewn / drawn, 1.0)) if drawn else 1.0


def drawback(plan: LaidPlan, cover: float, quickest_minutes: float, trade: Trade) -> float:
    """How much speaks against an approach; the least is recommended."""
    patches = min(len(plan.density.hard_patches), int(trade.value("choice.most_patches")))
    longer = plan.estimate.minutes / max(quickest_minutes, 1e-9) - 1
    return (
        float(trade.value("choice.detail")) * (1 - plan.detail_kept)
        + float(trade.value("choice.bare")) * (1 - cover)
        + float(trade.value("choice.hard_patch")) * patches
        + float(trade.value("choice.registration")) * plan.registration_mm
        + float(trade.value("choice.minutes")) * longer
    )


def ranked(laid: tuple[LaidPlan, ...], sized: SizedDrawing, asked: str = "") -> tuple[LaidPlan, ...]:
    """The recommended approach first (the one asked for, if any), the others as they were, each with its reason."""
    cover = {plan.approach: covered(plan, sized) for plan in laid}
    covers = float(sized.trade.value("choice.covers"))
    full = [plan for plan in laid if cover[plan.approach] >= covers] or list(laid)
    quickest = min(plan.estimate.minutes for plan in full)
    against = {plan.approach: drawback(plan, cover[plan.approach], quickest, sized.trade) for plan in laid}
    best = min(laid, key=lambda plan: round(against[plan.approach], 6))
    first = next((plan for plan in laid if plan.approach == asked), best)
    told = {plan.approach: replace(plan, why=reason(plan, first, cover[plan.approach], covers, asked)) for plan in laid}
    return (told[first.approach], *(told[plan.approach] for plan in laid if plan is not first))


def reason(plan: LaidPlan, first: LaidPlan, cover: float, covers: float, asked: str = "") -> str:
    """Why an approach is recommended, or what it costs against the one that is."""
    facts = [f"shows {_percent(plan.detail_kept)} of the detail in the sew-out"]
    facts += [f"covers only {_percent(cover)} of the drawing"] if cover < covers else []
    patches = len(plan.density.hard_patches)
    facts += [f"has {patches or 'no'} hard patch{'' if patches == 1 else 'es'}"]
    shows_mm = plan.registration_mm if plan.registration_mm >= SHOWS_MM else 0.0
    facts += [
        f"may show {shows_mm:.1f} mm of cloth where edges only meet"
        if shows_mm
        else "no cloth to show where edges meet"
    ]
    said = f"it {', '.join(facts[:-1])} and {facts[-1]}, in {plan.estimate.stitches:,} stitches"
    said += f" and {plan.estimate.minutes:.0f} min"
    if plan is first:
        return f"asked for; {said}" if asked == plan.approach else said
    more = plan.estimate.stitches / max(first.estimate.stitches, 1) - 1
    return f"{said} ({more * 100:+.0f} % stitches against {first.approach})"


def _percent(share: float) -> str:
    return f"{share * 100:.0f} %"
