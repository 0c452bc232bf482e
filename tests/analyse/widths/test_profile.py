"""Widths by length of many shapes at once: the same as of each by itself."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import LineString, Point, box

from analyse.widths.measuring import measure
from analyse.widths.profile import known_together, percentiles_px, run_length_px
from tests.drawings import drawing_of
from tests.lettered import along, lettering


def test_many_shapes_together_are_as_wide_and_as_long_as_each_alone() -> None:
    shapes = [
        *lettering("HARBOUR & SONS", 60.0, along(400, 200)),
        LineString([(0, 400), (300, 430), (500, 380)]).buffer(9),
        Point(700, 400).buffer(40).difference(Point(700, 400).buffer(30)),
        Point(850, 400).buffer(30),
        box(0, 500, 200, 540),
    ]
    strokes = [shape.whole for shape in measure(drawing_of(*shapes)).regions]
    alone = [replace(stroke, known={}) for stroke in strokes]
    together = [replace(stroke, known={}) for stroke in strokes]
    known_together(together)
    assert sum("widths" in stroke.known for stroke in together) >= len(shapes) - 2  # all but what has no axis
    for one, other in zip(alone, together, strict=True):
        assert percentiles_px(other) == pytest.approx(percentiles_px(one), abs=1e-9)
        assert run_length_px(other) == pytest.approx(run_length_px(one), abs=1e-9)
