"""At a size: parts tile their regions, and every length scales."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box

from analyse.errors import JobError
from analyse.sizing import size_drawing
from analyse.values import Artwork, Colour, Drawing, Region

BLUE, RED = Colour((20, 40, 90), (17.0, 7.0, -30.0), "blue"), Colour((200, 30, 30), (43.0, 64.0, 45.0), "red")


def drawing_of(*outlines: Polygon, edge_error_px: float = 0.05) -> Drawing:
    artwork = Artwork(np.zeros((2, 2, 4), np.uint8), "drawn", "0", "png", (2, 2), np.eye(3))
    regions = tuple(Region(i, 0, outline) for i, outline in enumerate(outlines))
    return Drawing(artwork, np.full((2, 2), -1, np.int16), (BLUE, RED), regions, np.eye(3), edge_error_px)


def test_a_bar_is_a_column_of_its_drawn_width() -> None:
    sized = size_drawing(drawing_of(box(0, 0, 500, 30)), width_mm=50)
    (part,) = sized.parts
    assert part.kind == "column"
    assert part.width_mm.median == pytest.approx(3.0, rel=1e-3)
    assert part.outline_mm.area == pytest.approx(150.0)


def test_a_hairline_is_a_running_line_and_a_slab_a_fill() -> None:
    sized = size_drawing(drawing_of(box(0, 0, 500, 4), box(0, 50, 500, 250)), width_mm=50)
    assert [part.kind for part in sized.parts] == ["running", "fill"]


def test_a_ring_keeps_its_closed_spine() -> None:
    ring = Point(200, 200).buffer(100).difference(Point(200, 200).buffer(70))
    (part,) = size_drawing(drawing_of(ring), width_mm=20).parts
    assert part.spines[0].closed
    assert part.spines[0].length == pytest.approx(np.pi * 17, rel=5e-3)


def test_twice_the_size_has_every_measure_twice() -> None:
    drawing = drawing_of(box(0, 0, 500, 30), LineString([(0, 100), (200, 200), (400, 120)]).buffer(9))
    once, twice = size_drawing(drawing, width_mm=40), size_drawing(drawing, width_mm=80)
    for small, large in zip(once.parts, twice.parts, strict=True):
        assert large.width_mm.median == pytest.approx(2 * small.width_mm.median, rel=1e-9)


def test_both_lengths_fit_inside() -> None:
    sized = size_drawing(drawing_of(box(0, 0, 400, 200)), width_mm=100, height_mm=20)
    assert sized.size_mm == pytest.approx((40, 20))


@pytest.mark.parametrize("width_mm", [None, 0.0, 5000.0, float("nan")])
def test_no_size_or_an_impossible_one_is_told(width_mm: float | None) -> None:
    with pytest.raises(JobError):
        size_drawing(drawing_of(box(0, 0, 400, 200)), width_mm=width_mm)


def test_a_banner_whose_longer_side_no_frame_holds_is_refused() -> None:
    with pytest.raises(JobError, match="longer side"):
        drawing_of(box(10, 10, 2000, 20)).at(height_mm=300)


def test_no_promise_of_a_width_that_no_design_has() -> None:
    sized = drawing_of(box(10, 10, 400, 300), box(420, 10, 420.02, 300)).at(width_mm=76)
    widths = [feature.holds_from_width_mm for feature in sized.detail.features]
    assert all(width is None or width <= 1000 for width in widths)
