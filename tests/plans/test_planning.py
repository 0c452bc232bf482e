"""A plan holds all four approaches, the recommended one first, and a verdict by what is lost."""

from __future__ import annotations

import pytest

from plans.job import APPROACHES, Job
from plans.planning import make_plan
from plans.values import Plan
from tests.drawing_fixture import bold_mark, sized


@pytest.fixture(scope="module")
def bold() -> Plan:
    return make_plan(sized(bold_mark()), Job())


def test_every_approach_is_laid_and_the_recommended_one_leads(bold: Plan) -> None:
    assert sorted(laid.approach for laid in bold.approaches) == sorted(APPROACHES)
    assert bold.laid.why.startswith("recommended")


def test_a_job_may_name_its_approach() -> None:
    plan = make_plan(sized(bold_mark()), Job(approach="stacked"))
    assert plan.laid.approach == "stacked"


def test_a_bold_flat_mark_sews_as_drawn(bold: Plan) -> None:
    assert bold.verdict == "sews as drawn"
