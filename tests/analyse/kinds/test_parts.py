"""Parts as a hand would cut and sew them. Common practice, no source, unless a check says otherwise."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box
from shapely.ops import unary_union

from analyse import read_artwork, trace
from analyse.trade import default_trade
from analyse.values import Part
from tests.drawings import drawing_of

IMAGES = Path(__file__).parents[3] / "images"
PX_PER_MM = 20.0
TAPER = Polygon([(0, -2), (600, -30), (600, 30), (0, 2)])  # 0.2 mm to 3 mm over 30 mm


def parts_of(*outlines: Polygon) -> tuple[Part, ...]:
    left, _, right, _ = unary_union(outlines).bounds
    return drawing_of(*outlines).at(width_mm=(right - left) / PX_PER_MM).parts


def test_a_long_taper_goes_over_to_running_line_where_the_trade_says() -> None:
    parts = {part.kind: part for part in parts_of(TAPER)}
    assert set(parts) == {"running", "column"}
    limit = default_trade().value("kind.three_passes_under", thread="40")
    # the width grows by 2.8 mm over 30 mm, and lies across the axis: the closed form of the table's taper
    place = (limit / np.cos(np.arctan(1.4 / 30)) - 0.2) / (2.8 / 30)
    assert parts["running"].outline_mm.bounds[2] == pytest.approx(place, abs=0.3)


def test_the_running_end_of_a_stroke_reaches_into_the_column_it_runs_out_of() -> None:
    parts = {part.kind: part for part in parts_of(TAPER)}
    line = shapely.linestrings(parts["running"].spines[0].line[:, :2])
    inside = float(shapely.length(shapely.intersection(line, parts["column"].outline_mm)))
    assert inside == pytest.approx(default_trade().value("running.reach"), rel=0.05)


def test_a_short_thin_tip_stays_with_its_column() -> None:
    leaf = Point(0, -120).buffer(150, 64).intersection(Point(0, 120).buffer(150, 64))
    assert [part.kind for part in parts_of(leaf)] == ["column"]


@settings(derandomize=True, deadline=None, max_examples=12)
@given(
    ends=st.lists(st.tuples(st.integers(20, 780), st.integers(20, 580)), min_size=3, max_size=6, unique=True),
    width=st.integers(8, 60),
    body=st.integers(0, 120),
    width_mm=st.floats(15, 120),
)
def test_parts_of_a_region_add_up_to_it(ends: list[tuple[int, int]], width: int, body: int, width_mm: float) -> None:
    shape = unary_union([LineString(ends).buffer(width / 2), Point(ends[0]).buffer(body)]).difference(
        box(300, 200, 306, 400)
    )
    shape = max(shapely.get_parts(shape), key=lambda each: each.area)
    sized = drawing_of(shape).at(width_mm=width_mm)
    whole = shape.area * sized.mm_per_px**2
    assert sum(part.outline_mm.area for part in sized.parts) == pytest.approx(whole, rel=1e-9)
    outlines = [part.outline_mm for part in sized.parts]
    for i, one in enumerate(outlines):
        assert one.is_valid
        assert all(one.intersection(two).area < 1e-7 for two in outlines[i + 1 :])


def test_a_fine_net_of_lines_stays_a_sound_shape_when_it_is_scaled() -> None:
    """A pike's scales on leather are one net of running lines; rounded to mm one of its edges lay across itself."""
    parts = trace(read_artwork(IMAGES / "brightwater-pike.svg")).at(width_mm=76, cloth="leather").parts
    assert all(part.outline_mm.is_valid for part in parts)


def test_what_lies_between_two_eyes_and_a_muzzle_stays_with_the_face() -> None:
    face = Point(0, 0).buffer(340, 64).difference(Point(0, 220).buffer(190, 64))
    eyes = [Point(x, -50).buffer(48, 32) for x in (-98, 98)]
    assert {part.kind for part in parts_of(face.difference(unary_union(eyes)))} == {"fill"}
