"""Awkward guests: nothing sewn, one point, stitches of no length. Every question gets an answer."""

from __future__ import annotations

import numpy as np
import pytest

from plans.density import measure_density
from plans.estimate import estimate, rules_of_thumb
from plans.sewout import at_arms_length, detail_kept, draw_sewout
from plans.values import Lay, Move, Step, Stitches
from tests.plans.sewout.pieces import line, sew, sized_of

Guest = tuple[Stitches, tuple[Step, ...]]


def nothing() -> Guest:
    return Stitches(np.zeros((0, 2)), np.zeros(0, np.uint8), np.zeros(0, np.uint8), np.zeros(0, np.int32)), ()


def one_point() -> Guest:
    _, steps = sew([(line((0, 0), (3, 0)), "running", 0, Lay.TOP)])
    at = np.array([[4.0, 4.0]])
    return Stitches(at, np.array([Move.JUMP], np.uint8), np.array([Lay.TOP], np.uint8), np.zeros(1, np.int32)), steps


def on_the_spot() -> Guest:
    return sew([(np.full((4, 2), 5.0), "column", 0, Lay.TOP)])


def far_outside() -> Guest:
    return sew([(line((-30, -30), (50, 40)), "running", 0, Lay.TOP)])


GUESTS = {"nothing": nothing, "one point": one_point, "on the spot": on_the_spot, "far outside": far_outside}


@pytest.mark.parametrize("name", GUESTS)
def test_every_guest_gets_an_answer(name: str) -> None:
    stitches, steps = GUESTS[name]()
    sized = sized_of([(0, 0, 0)], (10.0, 10.0))
    for back in (False, True):
        picture = draw_sewout(stitches, steps, sized, dpi=100, back=back, drift_mm=0.5)
        assert picture.dtype == np.uint8
        assert at_arms_length(picture, 100).shape == picture.shape
    cost = estimate(stitches, steps, sized)
    assert cost.stitches == int((stitches.move <= Move.TRAVEL).sum())
    assert cost.span[0] <= cost.stitches <= cost.span[1]
    assert len(rules_of_thumb(stitches, steps, cost)) in {0, 3}
    assert np.isfinite(measure_density(stitches, steps, sized).stacked_max)
    assert 0.0 <= detail_kept(stitches, steps, sized) <= 1.0
