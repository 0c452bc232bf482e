"""How far a shape's stitch lines fan round a point is told by the shape, not by where the lines happen to lie."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString

from analyse.widths.measuring import measure
from analyse.widths.strokes import FANS_UNDER, fanning
from tests.drawings import drawing_of


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.floats(0.1, 10.0), st.floats(0.0, 1.0), st.floats(-0.02, 0.02))
def test_a_step_a_little_longer_fans_a_little_less_and_never_jumps(most: float, share: float, more: float) -> None:
    """So that a turn of the artwork, which lays the lines a little elsewhere, moves the sum as little."""
    other = min(max(share + more, 0.0), 1.0)
    steps = fanning(np.array([most, most]), most * np.array([share, other]))
    assert abs(steps[0] - steps[1]) <= most * abs(other - share) / FANS_UNDER + 1e-9
    assert (steps[0] - steps[1]) * (other - share) >= 0.0


def test_lines_round_a_point_fan_all_the_way_and_those_across_a_bar_not_at_all() -> None:
    most = np.array([1.0, 2.0])
    assert fanning(most, np.zeros(2)).tolist() == most.tolist()
    assert fanning(most, most).tolist() == [0.0, 0.0]


@pytest.mark.parametrize(("points", "most"), [([(0, 0), (200, 30)], 0.01), ([(0, 0), (150, 0), (290, 60)], 0.1)])
def test_a_bar_and_a_gentle_bend_hardly_fan(points: list[tuple[int, int]], most: float) -> None:
    (strokes,) = measure(drawing_of(LineString(points).buffer(12, cap_style="flat"))).pieces([0])
    assert max(stroke.fanned for stroke in strokes) <= most
