"""Loops become polygons: a hole lies in what holds it, never in what fills it."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Polygon

from analyse.widths.faces import polygons_of, without_slits

OUTER = np.array([[0.0, 0], [10, 0], [10, 10], [0, 10]])
HOLE = np.array([[2.0, 2], [2, 8], [8, 8], [8, 2]])


def test_what_fills_a_hole_does_not_hold_it() -> None:
    filling = HOLE[::-1]
    ring, core = sorted(polygons_of([filling, OUTER, HOLE]), key=lambda each: -each.exterior.length)
    assert ring.area == pytest.approx(100 - 36, abs=1e-12)
    assert core.area == pytest.approx(36, abs=1e-12)
    assert not core.interiors


def test_a_hole_with_a_smaller_island_stays_with_the_outer_shell() -> None:
    island = np.array([[4.0, 4], [6, 4], [6, 6], [4, 6]])
    areas = sorted(each.area for each in polygons_of([island, OUTER, HOLE]))
    assert areas == pytest.approx([4, 64])


def test_a_slit_goes_and_the_ring_it_opened_stays() -> None:
    opened = Polygon([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0), (2, 2), (2, 8), (8, 8), (8, 2), (2, 2)])
    whole = without_slits(opened)
    assert whole is not None
    assert whole.is_valid
    assert whole.area == pytest.approx(64)
    assert len(whole.interiors) == 1


def test_what_runs_the_wrong_way_round_beside_its_slit_is_no_piece() -> None:
    assert without_slits(Polygon([(0, 0), (0, 10), (10, 0), (20, 0), (10, 0)])) is None
