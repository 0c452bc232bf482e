"""What to mind at the machine: a few things of this very plan, each with its place or its steps."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analyse.values import Feature
from plans.job import Job
from plans.minding import frame, heavy, mind
from plans.pictures.numbers import step_numbers
from plans.values import Plan
from tests.plan_fixture import plan


def of_size(width_mm: float, height_mm: float, cloth: str = "twill") -> Plan:
    made = plan()
    return replace(made, job=Job(), sized=replace(made.sized, size_mm=(width_mm, height_mm), cloth=cloth))


def said(made: Plan, start: str) -> list[str]:
    return [sentence for sentence in mind(made) if sentence.startswith(start)]


@pytest.mark.parametrize(
    ("size_mm", "inside"),
    [
        ((80.0, 80.0), "100 × 100 mm"),
        ((80.1, 60.0), "130 × 180 mm"),
        ((60.0, 150.0), "130 × 180 mm"),
        ((150.0, 150.0), "200 × 300 mm"),
        ((150.0, 139.0), "160 × 260 mm"),
        ((200.0, 200.0), "300 × 400 mm"),
    ],
)
def test_the_frame_leaves_ten_mm_all_round_turned_either_way(size_mm: tuple[float, float], inside: str) -> None:
    """Common practice, no source."""
    assert frame(of_size(*size_mm)) == f"{inside} inside, or larger"
    assert frame(of_size(*size_mm[::-1])) == frame(of_size(*size_mm))


def test_beyond_the_largest_frame_and_on_caps_it_says_so() -> None:
    assert "in two settings" in frame(of_size(390.0, 100.0))
    assert frame(of_size(60.0, 40.0, "cap")) == "cap frame"


def test_a_large_design_names_its_frame_and_the_places_that_cannot_take_it() -> None:
    assert not said(of_size(76.0, 60.0), "frame")
    (told,) = said(of_size(90.0, 80.0, "pique-knit"), "frame")
    assert told.endswith("larger than usual for sleeve, fits left chest")
    (other,) = said(of_size(150.0, 150.0, "nylon"), "frame")  # sewn in no usual place
    assert other.endswith("inside, or larger")
    (placed,) = said(replace(of_size(150.0, 150.0), job=Job(place="left-chest")), "frame")
    assert "larger than usual for left chest: up to 100 mm wide and 90 mm tall" in placed
    assert said(replace(of_size(60.0, 60.0, "cap"), job=Job(place="cap-front")), "too tall for structured cap, front")


@pytest.mark.parametrize(
    ("cloth", "stitches", "told"),
    [("jersey", 15001, True), ("jersey", 15000, False), ("twill", 40000, False), ("shirt-cloth", 20000, True)],
)
def test_many_stitches_are_heavy_on_a_light_cloth(cloth: str, stitches: int, told: bool) -> None:
    made = of_size(150.0, 150.0, cloth)
    many = replace(made, approaches=(replace(made.laid, estimate=replace(made.estimate, stitches=stitches)),))
    assert bool(heavy(many)) == told
    assert bool(said(many, f"{stitches:,} stitches are heavy")) == told


def test_the_hardest_place_is_told_with_its_step_and_where_it_lies() -> None:
    made = plan()
    (told,) = [sentence for sentence in mind(made) if "slow down there" in sentence]
    worst = made.laid.density.hard_patches[0]
    assert f"{worst.at_mm[0]:.0f}, {worst.at_mm[1]:.0f} mm" in told
    none = replace(made.laid, density=replace(made.laid.density, hard_patches=()))
    assert not [sentence for sentence in mind(replace(made, approaches=(none,))) if "slow down there" in sentence]


def lettered(height_mm: float) -> Plan:
    """The badge with its wave read as a line of letters."""
    made = plan()
    parts = list(made.sized.parts)
    number = made.steps[-1].sewing.part
    parts[number] = replace(parts[number], role_hint="letter", family="line-1")
    text = "a line of 5 capitals in white: small"
    line = Feature("lettering", (9.0, 9.0), height_mm, 5.0, "mm", 90.0, "lost", weight=0.1, part=number, text=text)
    detail = replace(made.sized.detail, features=(*made.sized.detail.features, line))
    return replace(made, sized=replace(made.sized, parts=tuple(parts), detail=detail))


def test_small_letters_are_told_with_their_height_and_steps() -> None:
    (told,) = said(lettered(4.2), "letters down to 4.2 mm")
    assert f"steps {len(plan().steps)}:" in told
    assert not said(lettered(8.0), "letters")
    assert not said(plan(), "letters")


def test_lettering_that_is_left_out_is_told_before_a_customer_asks_for_it() -> None:
    small = lettered(2.1)
    parts = tuple(replace(part, kind="drop") if part.family == "line-1" else part for part in small.sized.parts)
    words = "left out as too small to read: a line of 5 capitals in white; ask the customer first"
    for made, told in ((replace(small, sized=replace(small.sized, parts=parts)), True), (small, False)):
        assert any(words in sentence for sentence in mind(made)) == told


def test_bases_threads_and_backing_are_told() -> None:
    told = mind(plan())
    assert "loose base at step 1: the cloth must not show between what lies on it" in told
    assert any(sentence.startswith("2 changes of thread between 3 cones") for sentence in told)
    assert any(sentence.startswith("backing under the whole frame: cut-away, medium") for sentence in told)
    assert 2 <= len(told) <= 6


def test_numbers_leave_most_of_a_small_design_to_be_seen_and_begin_each_row() -> None:
    made = plan()
    many = replace(made, approaches=(replace(made.laid, steps=tuple(step for step in made.steps for _ in range(60))),))
    for shrunk in (1.0, 0.5, 0.25):
        sized = replace(many.sized, size_mm=(76.2 * shrunk, 60.0 * shrunk))
        shown = step_numbers(replace(many, sized=sized), 2.3)
        taken = sum(0.6 * 2.3 * len(str(number)) * 2.3 for number, _, _ in shown)
        assert taken <= 0.12 * sized.size_mm[0] * sized.size_mm[1]
    firsts = {1, 61, 121, 181}
    assert len(firsts & {number for number, _, _ in step_numbers(many, 2.3)}) >= 3
