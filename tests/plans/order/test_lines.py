"""A line of lettering is read from its left end, whatever way it runs."""

from __future__ import annotations

import numpy as np
import pytest

from plans.order.lines import heights, reading_order


@pytest.mark.parametrize("turn_deg", [-60, -20, 0, 35, 70])
def test_a_straight_line_is_read_from_left_to_right(turn_deg: float) -> None:
    turn = np.radians(turn_deg)
    along = np.array([3.0, 0.0, 9.5, 6.1, 13.0])
    middles = np.column_stack([along * np.cos(turn), along * np.sin(turn)])
    assert reading_order(middles) == [1, 0, 3, 2, 4]


@pytest.mark.parametrize("sweep_deg", [90, 180, 250])
def test_an_arc_over_the_top_is_read_clockwise(sweep_deg: float) -> None:
    turn = np.radians(270 + np.linspace(-sweep_deg / 2, sweep_deg / 2, 12))
    middles = np.column_stack([np.cos(turn), np.sin(turn)]) * 30
    shuffled = np.random.default_rng(1).permutation(12)
    assert [int(shuffled[i]) for i in reading_order(middles[shuffled])] == list(range(12))


def test_an_upright_line_is_read_from_below() -> None:
    assert reading_order(np.array([[0.0, 0.0], [0.2, 20.0], [0.1, 10.0]])) == [1, 2, 0]


def test_a_tail_hangs_below_the_line_its_letter_stands_on() -> None:
    """Common practice: p and y stand where their neighbours do."""
    letters = [np.array([[x, 0.0], [x + 1, foot]]) for x, foot in ((0, 5.0), (3, 7.0), (6, 5.0), (9, 7.0))]
    assert [float(up.min()) for up in heights(letters)] == pytest.approx([0.0] * 4, abs=0.2)
    assert [float(up.max()) for up in heights(letters)] == pytest.approx([5.0] * 4, abs=0.6)
