"""A plan holds all four approaches, the recommended one first, and a verdict by what is lost."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from analyse.errors import JobError, NothingToSewError
from analyse.values import Feature, State
from plans.approaches import ranked
from plans.job import APPROACHES, Job
from plans.planning import cautions, make_plan
from plans.values import LaidPlan, Plan
from plans.verdicts import changes, verdict
from tests.drawing_fixture import bold_mark, scaled_beast, sized


@pytest.fixture(scope="module")
def bold() -> Plan:
    return make_plan(sized(bold_mark()), Job())


def test_every_approach_is_laid_and_the_recommended_one_leads(bold: Plan) -> None:
    assert sorted(laid.approach for laid in bold.approaches) == sorted(APPROACHES)
    assert re.match(
        r"it shows \d+ % of the detail in the sew-out, .* and (no cloth|may show) .*, in [\d,]+ stitches and \d+ min$",
        bold.laid.why,
    )


def test_a_job_may_name_its_approach() -> None:
    plan = make_plan(sized(bold_mark()), Job(approach="stacked"))
    assert plan.laid.approach == "stacked"


def test_a_bold_flat_mark_sews_as_drawn(bold: Plan) -> None:
    assert bold.verdict == "sews as drawn"


def feature(state: State, weight: float) -> Feature:
    return Feature("stroke", (5.0, 5.0), 0.1, 0.2, "mm", 90.0, state, "stroke.thinnest", weight)


@pytest.mark.parametrize(
    ("states", "said"),
    [
        ((("holds", 1.0),), "sews as drawn"),
        ((("holds", 0.95), ("at-risk", 0.05)), "sews as drawn"),
        ((("holds", 0.9), ("at-risk", 0.1)), "sews with changes"),
        ((("holds", 0.99), ("lost", 0.01)), "sews with changes"),
        ((("holds", 0.51), ("lost", 0.49)), "sews with changes"),
        ((("holds", 0.5), ("lost", 0.5)), "needs redrawing"),
    ],
)
@pytest.mark.parametrize("cure", ["", "thicken it by 0.10 mm"])
def test_the_verdict_goes_by_the_share_of_the_look_that_is_lost(
    states: tuple[tuple[State, float], ...], said: str, cure: str
) -> None:
    """Be each loss ever so small a change: where half of the look is lost all of it is drawn anew."""
    features = [replace(feature(*state), cure="" if state[0] == "holds" else cure) for state in states]
    found = verdict(sized(bold_mark(), features=features))
    assert found.said == said
    assert bool(found.changes) == (said != "sews as drawn")


def colour(weight: float, cure: str) -> Feature:
    return Feature("colour-step", (5.0, 5.0), 2.0, 10.0, "dE00", None, "lost", "", weight, cure=cure)


def test_white_on_white_asks_for_another_cloth_and_no_redrawing() -> None:
    lost = verdict(sized(bold_mark(), features=[colour(0.7, "another cloth"), feature("holds", 0.3)]))
    assert lost.said == "sews with changes"
    assert lost.changes == ("close colours: another cloth",)
    assert lost.lost == 0.0  # nothing is by its size
    both = [colour(0.4, "another cloth"), feature("lost", 0.5)]
    assert verdict(sized(bold_mark(), features=both)).said == "needs redrawing"


def shown(plan: Plan, kept: float, features_kept: tuple[float, ...] = ()) -> LaidPlan:
    return replace(plan.laid, detail_kept=kept, features_kept=features_kept)


def test_what_the_sew_out_hardly_shows_does_not_sew_as_drawn(bold: Plan) -> None:
    drawing = sized(bold_mark(), features=[feature("holds", 1.0)])
    assert verdict(drawing, (shown(bold, 0.8, (0.8,)),)).said == "sews as drawn"
    little = verdict(drawing, (shown(bold, 0.7, (0.7,)),))
    assert little.said == "sews with changes"
    assert little.changes == ("thin stroke: the sew-out shows 70 % of it; draw it bolder, or make the piece larger",)


def test_what_no_approach_shows_half_of_needs_redrawing(bold: Plan) -> None:
    drawing = sized(bold_mark(), features=[feature("holds", 1.0)])
    least, better = shown(bold, 0.4, (0.4,)), replace(shown(bold, 0.9, (0.9,)), approach="stacked")
    assert verdict(drawing, (least,)).said == "needs redrawing"
    told = verdict(drawing, (least, better))  # asked for the one that shows little
    assert told.said == "sews with changes"
    assert told.changes == ("sew it stacked, which shows 90 % of the detail",)


def test_what_nothing_mends_at_this_size_is_told_the_size_that_does() -> None:
    drawing = sized(bold_mark(), features=[feature("lost", 0.4), feature("holds", 0.6)])
    assert changes(drawing) == ("thin stroke: make the piece 90 mm wide, or draw it anew",)


def test_outlines_alone_are_not_recommended_for_a_filled_mark(bold: Plan) -> None:
    assert bold.laid.approach != "line-work"


def test_a_textured_body_gets_base_and_detail() -> None:
    plan = make_plan(sized(scaled_beast()), Job())
    assert plan.laid.approach == "base-and-detail"


def test_cautions_are_always_carried_and_grow_with_cap_and_leather() -> None:
    drawing = sized(bold_mark())
    always = cautions(drawing)
    assert len(always) == len(drawing.trade.names("caution"))
    assert cautions(sized(bold_mark(), cloth="cap"))[: len(always)] == always
    assert any("bill" in said for said in cautions(sized(bold_mark(), cloth="cap")))
    assert any("leather" in said for said in cautions(sized(bold_mark(), cloth="leather")))


def test_a_size_at_which_nothing_can_be_sewn_is_told() -> None:
    mark = sized(bold_mark())
    specks = replace(mark, parts=tuple(replace(part, kind="drop") for part in mark.parts))
    with pytest.raises(NothingToSewError, match="too small to sew"):
        make_plan(specks, Job())


@pytest.mark.parametrize(
    ("job", "right"),
    [
        (Job(approach="stakced"), "did you mean 'stacked'"),
        (Job(place="left chets"), "did you mean 'left-chest'"),
        (Job(wear="childen"), "did you mean 'children'"),
        (Job(approach="nonsense", place="moon"), "known: side-by-side"),
    ],
)
def test_a_job_that_names_what_is_not_known_is_told_the_nearest(job: Job, right: str) -> None:
    with pytest.raises(JobError, match=re.escape(right)):
        make_plan(sized(bold_mark()), job)


def test_only_the_approach_that_was_asked_for_says_so(bold: Plan) -> None:
    asked = ranked(bold.approaches, bold.sized, "line-work")
    assert [laid.approach for laid in asked if laid.why.startswith("asked for")] == ["line-work"]
    assert not any(laid.why.startswith("asked for") for laid in ranked(bold.approaches, bold.sized, "nonsense"))


def test_nothing_sews_as_drawn_whose_sewout_shows_little_of_it(bold: Plan) -> None:
    """Small columns on leather hold by their width and break up for want of short stitches: the sew-out tells."""
    little = replace(bold.laid, detail_kept=0.6)
    told = make_plan(bold.sized, Job(), lambda *_: (little,))
    assert (bold.verdict, told.verdict) == ("sews as drawn", "sews with changes")
    assert any("the sew-out shows 60 % of the detail" in caution for caution in told.cautions)
    assert not any("of the detail" in caution for caution in bold.cautions)
