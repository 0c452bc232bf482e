"""What a fill covers is a sound area, whatever is closed in it."""

from __future__ import annotations

import pytest
import shapely

from plans.layers.cover import CRUMB_MM2, _together, _without_crumbs


def test_an_island_in_a_hole_that_is_sewn_over_becomes_part_of_the_fill() -> None:
    hole = shapely.box(4, 4, 4.6, 4.6)
    assert hole.area < CRUMB_MM2
    ground = shapely.box(0, 0, 10, 10) - hole
    closed = _without_crumbs(shapely.MultiPolygon([ground, shapely.box(4.2, 4.2, 4.4, 4.4)]))
    assert closed.is_valid
    assert closed.equals(shapely.box(0, 0, 10, 10))


def test_shapes_whose_edges_lie_too_near_each_other_are_joined_on_a_grid(monkeypatch: pytest.MonkeyPatch) -> None:
    """GEOS loses its way now and then among edges a billionth apart: then the grid has the same area."""
    plain = shapely.union_all

    def lost(shapes: object, grid_size: float | None = None) -> object:
        if grid_size is None:
            raise shapely.GEOSException("TopologyException")
        return plain(shapes, grid_size=grid_size)

    shapes = [shapely.box(0, 0, 10, 10), shapely.box(5, 5, 20, 20)]
    whole = plain(shapes).area
    monkeypatch.setattr(shapely, "union_all", lost)
    assert _together(shapes).area == pytest.approx(whole, abs=1e-4)
