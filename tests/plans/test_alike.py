"""Steps that follow each other and are sewn alike stand in one row; no step and no figure is lost by it."""

from __future__ import annotations

from dataclasses import replace

from analyse.values import Feature
from plans.alike import runs, span
from tests.plan_fixture import plan


def test_every_step_stands_once_and_in_order() -> None:
    made = plan()
    told = [(number, step) for run in runs(made) for row in run.rows for number, step in row.numbered]
    assert told == list(enumerate(made.steps, 1))


def test_stitches_and_trims_add_up_to_the_plans() -> None:
    made = plan()
    rows = [row for run in runs(made) for row in run.rows]
    assert sum(row.stitches for row in rows) == sum(step.stitches for step in made.steps)
    assert sum(row.trims for row in rows) == sum(step.trim_before for step in made.steps)


def test_neighbours_sewn_alike_share_a_row_which_spans_their_lengths() -> None:
    made = plan()
    step = made.steps[0]
    wider = replace(step, sewing=replace(step.sewing, pull_mm=step.sewing.pull_mm + 0.1))
    (run,) = runs(replace(made, approaches=(replace(made.laid, steps=(step, wider, step)),)))
    (row,) = run.rows
    assert row.numbers == "1 to 3"
    assert f"pull {step.sewing.pull_mm:.2f} to {wider.sewing.pull_mm:.2f}" in row.told()["allowance"]


def test_another_spacing_begins_another_row() -> None:
    made = plan()
    step = made.steps[0]
    looser = replace(step, sewing=replace(step.sewing, spacing_mm=step.sewing.spacing_mm + 0.1))
    (run,) = runs(replace(made, approaches=(replace(made.laid, steps=(step, looser, step)),)))
    assert [row.numbers for row in run.rows] == ["1", "2", "3"]


def test_a_span_of_one_value_is_that_value_and_of_nought_is_nothing() -> None:
    assert (span([1.31, 1.32], 1), span([0.7, 1.5], 1), span([0.0, 0.004], 2)) == ("1.3", "0.7 to 1.5", "")


def test_letters_stand_in_a_row_of_their_own_which_names_their_line() -> None:
    made = plan()
    step = made.steps[0]
    parts = list(made.sized.parts)
    parts.append(replace(parts[step.sewing.part], role_hint="letter", family="line-1"))
    letter = replace(step, sewing=replace(step.sewing, part=len(parts) - 1))
    line = Feature(
        "lettering", (9.0, 9.0), 4.2, 5.0, "mm", 90.0, "lost", part=len(parts) - 1, text="a line of 5: small"
    )
    detail = replace(made.sized.detail, features=(*made.sized.detail.features, line))
    sized = replace(made.sized, parts=tuple(parts), detail=detail)
    (run,) = runs(replace(made, sized=sized, approaches=(replace(made.laid, steps=(step, letter, letter, step)),)))
    assert [row.numbers for row in run.rows] == ["1", "2 to 3", "4"]
    assert [row.told()["role"] for row in run.rows] == [step.sewing.role, "letters of a line of 5", step.sewing.role]
