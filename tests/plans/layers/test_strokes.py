"""Columns and running lines: what the plan sews agrees with what it says. Common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import box

from analyse.values import Reason
from plans.job import Job
from plans.layers import Layout, Recipe, plan_sewings, survey
from plans.values import Sewing
from tests.drawing_fixture import Piece, sized, stroke

BESIDE = Recipe("a", "beside")


def laid(pieces: list[Piece], reason: Reason | None = None, **more: object) -> Layout:
    """The layout of pieces; reason: of every stroke, in place of the fixture's."""
    made = sized(pieces, **more)  # type: ignore[arg-type]
    if reason:
        parts = tuple(part if part.kind == "fill" else replace(part, reason=reason) for part in made.parts)
        made = replace(made, parts=parts)
    return plan_sewings(survey(made, Job()), BESIDE)


def the_line(row: str, measure_mm: float, drawn_mm: float, cloth: str = "twill") -> Sewing:
    reason = Reason(row, measure_mm, 0.35, "as drawn")
    (line,) = laid([stroke("red", [(0, 0), (30, 0)], drawn_mm)], reason, cloth=cloth).sewings
    return line


@pytest.mark.parametrize(
    ("row", "measure_mm", "drawn_mm", "passes"),
    [
        ("kind.two_passes_under", 0.30, 0.40, 2),
        ("kind.three_passes_under", 0.50, 0.30, 3),
        ("kind.widened_under", 0.70, 0.30, 2),
        ("kind.widened_under", 0.70, 0.55, 3),
    ],
)
def test_a_line_has_the_passes_its_reason_tells(row: str, measure_mm: float, drawn_mm: float, passes: int) -> None:
    assert the_line(row, measure_mm, drawn_mm).passes == passes


def test_on_leather_three_passes_become_two_and_it_says_why() -> None:
    line = the_line("kind.three_passes_under", 0.50, 0.50, cloth="leather")
    assert line.passes == 2
    assert "two passes at most on leather, vinyl, where holes never close" in line.why
    assert "two passes at most" not in the_line("kind.two_passes_under", 0.30, 0.30, cloth="leather").why
    assert "two passes at most" not in the_line("kind.three_passes_under", 0.50, 0.50).why


@pytest.mark.parametrize(("apart_mm", "held"), [(1.4, True), (4.0, False)])
def test_a_column_that_a_narrow_gap_holds_back_says_how_wide_it_is_sewn(apart_mm: float, held: bool) -> None:
    lines = [stroke("red", [(0, y), (40, y)], 0.7) for y in (0.0, apart_mm)]
    for sewing in laid(lines).sewings:
        sewn_mm = 0.7 + 2 * (sewing.pull_mm + sewing.widen_mm)
        assert (f"{sewn_mm:.1f} mm sewn" in sewing.why) == held
        assert (sewn_mm < 1.0 - 1e-9) == held


def test_what_runs_along_a_bodys_edge_is_its_border_and_a_stripe_beside_it_is_none() -> None:
    """A flag: stripes lie beside their neighbours and close none of them; the frame round all does."""
    field = Piece("navy", box(0, 0, 60, 40), "fill")
    across = stroke("white", [(0, 12), (60, 12)], 3.0)
    frame = stroke("black", [(0, 0), (60, 0), (60, 40), (0, 40), (0, 0)], 2.0, hint="outline")
    window = stroke("gold", [(26, 41.5), (34, 41.5)], 3.0)
    roles = {sewing.thread: sewing.role for sewing in laid([field, frame]).sewings if sewing.kind == "column"}
    assert set(roles.values()) == {"border"}
    for pieces in ([field, across], [field, window]):
        assert {sewing.role for sewing in laid(pieces).sewings if sewing.kind == "column"} <= {"detail", "body"}
    along = stroke("black", [(0, 41), (60, 41), (61, 41), (61, 0)], 2.0)
    assert {sewing.role for sewing in laid([field, along]).sewings if sewing.kind == "column"} == {"border"}
