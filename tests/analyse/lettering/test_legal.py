"""Legal marks and strap lines are told from the line they stand by, and the cure for them is to drop them."""

from __future__ import annotations

import pytest
from shapely import Point, Polygon

from analyse.lettering.lines import Line, lines_of
from analyse.sizing import size_drawing
from analyse.widths.measuring import measure
from tests.drawings import drawing_of
from tests.lettered import along, lettering

CAP = 80.0
NAME = lettering("HARBOUR LIGHT", CAP, along(600, 300))


def registered(x: float, y: float, radius: float = 20.0) -> list[Polygon]:
    ring = Point(x, y).buffer(radius).difference(Point(x, y).buffer(0.85 * radius))
    return [ring, *lettering("R", 1.1 * radius, along(x, y + 0.55 * radius))]


def lines_in(*shapes: Polygon) -> tuple[Line, ...]:
    drawing = drawing_of(*shapes)
    return lines_of(drawing, measure(drawing))


@pytest.mark.parametrize(
    "mark",
    [registered(1110, 235), registered(1110, 280), lettering("TM", 25, along(1110, 246))],
    ids=["R in a ring, raised", "R in a ring, lower", "TM"],
)
def test_a_small_mark_at_the_end_of_a_line_is_a_legal_mark(mark: list[Polygon]) -> None:
    lines = lines_in(*NAME, *mark)
    (legal,) = [line for line in lines if line.role == "legal mark"]
    (name,) = [line for line in lines if line.role == ""]
    assert set(legal.regions) == set(range(len(NAME), len(NAME) + 2))
    assert set(name.regions) == set(range(len(NAME)))


def test_a_ring_far_from_any_line_or_as_large_as_it_is_no_legal_mark() -> None:
    assert [line.role for line in lines_in(*NAME, *registered(1500, 900))] == [""]
    assert "legal mark" not in [line.role for line in lines_in(*NAME, *registered(1160, 260, 60.0))]


def test_a_much_smaller_line_is_a_strap_line() -> None:
    assert [line.role for line in lines_in(*NAME, *lettering("EST. 1887 BY THE SEA", 30, along(600, 360)))] == [
        "", "strap line",
    ]  # fmt: skip
    assert [line.role for line in lines_in(*NAME, *lettering("NORTH STATION", 70, along(600, 400)))] == ["", ""]


def test_what_cannot_be_sewn_of_them_is_dropped() -> None:
    drawing = drawing_of(*NAME, *registered(1110, 235), *lettering("EST. 1887 BY THE SEA", 30, along(600, 360)))
    left, _, right, _ = drawing.extent_px
    sized = size_drawing(drawing, width_mm=8.0 / CAP * (right - left))
    texts = [feature.text for feature in sized.detail.features if feature.kind == "lettering"]
    assert any("leave the legal mark out" in text for text in texts)
    assert any(
        "strap line" in text and ("drop the strap line" in text or "leave the strap line out" in text) for text in texts
    )
