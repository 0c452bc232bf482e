"""Lengths as people write them; angles as the trade means them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analyse.errors import JobError
from analyse.units import angle_between, angle_of, direction, length_mm

ANGLES = st.floats(0, 179.99)
STILL = settings(derandomize=True, deadline=None, max_examples=50)


@pytest.mark.parametrize(
    ("text", "mm"), [("3in", 76.2), ("3 IN", 76.2), ('3"', 76.2), ("7.62cm", 76.2), ("7,62 cm", 76.2), ("76", 76.0)]
)
def test_a_length_is_read_as_people_write_it(text: str, mm: float) -> None:
    assert length_mm(text) == pytest.approx(mm)


@pytest.mark.parametrize("text", ["", "nan", "inf", "0", "-3in", "5 m", "5000", "4.9", "three inches", "1e3", "3 ft"])
def test_what_is_no_size_of_a_design_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(JobError, match="3in") as caught:
        length_mm(text, "--width")
    assert caught.value.exit_code == 2
    assert caught.value.where == "--width"


@STILL
@given(ANGLES)
def test_an_angle_is_read_back_from_its_direction(angle: float) -> None:
    assert angle_between(angle_of(*direction(angle)), angle) == pytest.approx(0, abs=1e-6)


def test_angles_run_counter_clockwise_as_seen() -> None:
    dx, dy = direction(45)
    assert dx > 0
    assert dy < 0, "up on the page is negative y"
    assert math.hypot(dx, dy) == pytest.approx(1)


@STILL
@given(ANGLES, ANGLES)
def test_the_turn_between_two_stitch_angles_is_at_most_a_right_angle(a: float, b: float) -> None:
    assert 0 <= angle_between(a, b) <= 90
    assert angle_between(a, b) == pytest.approx(angle_between(b, a + 180))
