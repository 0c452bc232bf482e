"""What a fill covers is a sound area, whatever is closed in it."""

from __future__ import annotations

import shapely

from plans.layers.cover import CRUMB_MM2, _without_crumbs


def test_an_island_in_a_hole_that_is_sewn_over_becomes_part_of_the_fill() -> None:
    hole = shapely.box(4, 4, 4.6, 4.6)
    assert hole.area < CRUMB_MM2
    ground = shapely.box(0, 0, 10, 10) - hole
    closed = _without_crumbs(shapely.MultiPolygon([ground, shapely.box(4.2, 4.2, 4.4, 4.4)]))
    assert closed.is_valid
    assert closed.equals(shapely.box(0, 0, 10, 10))
