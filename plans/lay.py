"""One approach, laid to the last needle point: ordered, joined, counted."""

from __future__ import annotations

from plans.approaches import Approach
from plans.density import measure_density
from plans.estimate import estimate
from plans.layers import Survey, plan_sewings
from plans.order import fewest_blocks
from plans.order.joined import Laid, lay_in_order, tasks_of
from plans.sewout import detail_kept
from plans.values import LaidPlan


def lay(survey: Survey, approach: Approach, laid: Laid | None = None) -> LaidPlan:
    """Lay one approach: its sewings in order, every needle point, and what they come to.

    laid: trails of sewings laid before, to be used again by the next approach; it is added to.
    """
    layout = plan_sewings(survey, approach.recipe)
    stitches, steps = lay_in_order(survey, layout, {} if laid is None else laid)
    return LaidPlan(
        approach=approach.name,
        steps=steps,
        stitches=stitches,
        edges=layout.edges,
        estimate=estimate(stitches, steps, survey.sized),
        density=measure_density(stitches, steps, survey.sized),
        registration_mm=layout.registration_mm,
        detail_kept=detail_kept(stitches, steps, survey.sized),
        why="",
        fewest_changes=max(fewest_blocks(tasks_of(survey, layout)) - 1, 0),
    )
