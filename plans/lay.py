"""An approach laid to the last needle point: ordered, joined, counted."""

from __future__ import annotations

from analyse.values import SizedDrawing
from plans.approaches import APPROACHES, Approach
from plans.density import measure_density
from plans.estimate import estimate
from plans.job import Job
from plans.layers import Survey, plan_sewings, survey
from plans.order import fewest_blocks
from plans.order.joined import Laid, lay_in_order, tasks_of
from plans.sewout.kept import Zones, features_kept, whole_kept, zones_mm
from plans.values import LaidPlan


def lay_each(
    sized: SizedDrawing, job: Job, approaches: tuple[Approach, ...] = APPROACHES, zones: Zones | None = None
) -> tuple[LaidPlan, ...]:
    """Approaches laid one after the other, each using what the others before it have found and laid.

    zones: those of `sized`, where they are known already: to find them in another process means measuring anew.
    """
    ground = survey(sized, job)
    before: Laid = {}
    known = zones_mm(sized) if zones is None else zones
    return tuple(lay(ground, approach, before, known) for approach in approaches)


def lay(surveyed: Survey, approach: Approach, laid: Laid | None = None, zones: Zones | None = None) -> LaidPlan:
    """Lay one approach: its sewings in order, every needle point, and what they come to.

    laid: trails of sewings laid before, to be used again by the next approach; it is added to.
    """
    layout = plan_sewings(surveyed, approach.recipe)
    stitches, steps = lay_in_order(surveyed, layout, {} if laid is None else laid)
    shown = features_kept(stitches, steps, surveyed.sized, zones=zones)
    return LaidPlan(
        approach=approach.name,
        steps=steps,
        stitches=stitches,
        edges=layout.edges,
        estimate=estimate(stitches, steps, surveyed.sized),
        density=measure_density(stitches, steps, surveyed.sized),
        registration_mm=layout.registration_mm,
        detail_kept=whole_kept(shown, surveyed.sized),
        why="",
        fewest_changes=max(fewest_blocks(tasks_of(surveyed, layout)) - 1, 0),
        features_kept=shown,
    )
