"""Parts of known width, sized so that they lie near the limits of the bands, are right as often as they say."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.benchmarks.kinds import NEAR, Answer, answers

BINS = (0.5, 0.7, 0.9, 1.001)
POINTS = 0.05


@pytest.fixture(scope="module")
def found() -> list[Answer]:
    """Bars and arcs drawn into a clean picture, a JPEG of quality 60 and one of 300 px, read like any artwork."""
    cases = (("clean", False), ("jpeg", True), ("300 px", False))
    return [each for state, on_body in cases for each in answers(7, state, on_body=on_body, step=1.07)]


@pytest.mark.parametrize("low", BINS[:-1])
def test_kinds_are_right_as_often_as_they_say(found: list[Answer], low: float) -> None:
    """Within 5 points, as far as so many can tell: two standard deviations of counting are allowed for."""
    high = BINS[BINS.index(low) + 1]
    own = [answer for answer in found if low <= answer.certainty < high]
    assert len(own) >= 20
    says, right = (float(np.mean([getattr(each, name) for each in own])) for name in ("certainty", "right"))
    assert abs(says - right) <= POINTS + 2 * math.sqrt(says * (1 - says) / len(own))


def test_most_are_sure_though_all_lie_near_a_limit(found: list[Answer]) -> None:
    """All true widths lie within 12 % of a limit; still a clean reading tells most of them apart."""
    assert NEAR <= 0.12
    assert np.mean([answer.certainty >= 0.9 for answer in found]) > 0.6
