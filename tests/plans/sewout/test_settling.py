"""Where needle points end up, for a wide back as for a small badge."""

from __future__ import annotations

import numpy as np
import pytest

from plans.density.deposit import Grid
from plans.sewout.settling import PUSH_REACH_MM, crowding


@pytest.mark.parametrize("count", [1, 1000, 70_000])
def test_crowding_is_looked_up_for_any_number_of_points(count: int) -> None:
    """On a field that falls by 1 for each mm across, a point a reach behind sees 2 reaches more than one ahead."""
    cell_mm = 0.5
    grid = Grid((0.0, 0.0), (80, 80), cell_mm)
    field = np.tile(-(np.arange(80) + 0.5) * cell_mm, (80, 1))
    xy = np.column_stack([np.linspace(5, 30, count), np.full(count, 20.0)])
    across = np.tile([1.0, 0.0], (count, 1))
    assert crowding(grid, field, xy, across) == pytest.approx(np.full(count, 2 * PUSH_REACH_MM), abs=0.05)
