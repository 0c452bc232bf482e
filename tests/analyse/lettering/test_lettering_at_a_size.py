"""A line of lettering at a size: one detail, one kind, and what its stems need."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, box

from analyse.sizing import size_drawing
from analyse.trade import default_trade
from analyse.values import Drawing, Feature, SizedDrawing
from tests.drawings import drawing_of
from tests.lettered import CAP_UNITS, STEM_UNITS, X_UNITS, along, lettering

CAP = 80.0


def art(text: str, *, name: str = "plain", spacing: float = 0.06) -> Drawing:
    """A line over a bar that sets the design's width, 1000 px."""
    return drawing_of(*lettering(text, CAP, along(500, 200), name=name, spacing=spacing), box(0, 300, 1000, 400))


PLAIN, BOLD, MIXED = art("HARBOUR LIGHT"), art("HARBOUR LIGHT", name="bold"), art("Harbour Lights")
TIGHT = art("HARBOUR LIGHT", spacing=-0.03)


def at_cap(drawing: Drawing, cap_mm: float, thread: str = "40") -> SizedDrawing:
    return size_drawing(drawing, width_mm=1000 * cap_mm / CAP, thread=thread)


def line_of(sized: SizedDrawing) -> Feature:
    (feature,) = [feature for feature in sized.detail.features if feature.kind == "lettering"]
    return feature


def test_a_line_is_one_detail_in_the_place_of_its_gaps_counters_and_strokes() -> None:
    sized = at_cap(PLAIN, 4.0)
    assert [feature.kind for feature in sized.detail.features if feature.at_mm[1] < 200 * sized.mm_per_px] == [
        "lettering"
    ]
    left, _, right, _ = shapely.total_bounds([p.outline_mm for p in sized.parts if p.role_hint == "letter"])
    feature = line_of(sized)
    assert feature.at_mm[0] == pytest.approx((left + right) / 2, abs=0.05 * (right - left))
    assert feature.at_mm[1] == pytest.approx((160 - (200 - CAP)) * sized.mm_per_px, abs=0.1)


def test_capitals_are_held_against_the_row_for_capitals() -> None:
    feature = line_of(at_cap(PLAIN, 5.2))
    assert feature.row == "lettering.capitals"
    assert feature.needs == default_trade().value("lettering.capitals", thread="40")
    assert feature.state == "holds"
    assert feature.cap_height_mm == pytest.approx(5.2, rel=0.007)
    assert feature.x_height_mm is None
    assert feature.stem_mm == pytest.approx(5.2 * STEM_UNITS / CAP_UNITS, rel=0.015)


def test_mixed_case_is_held_against_the_row_for_small_letters() -> None:
    feature = line_of(at_cap(MIXED, 5.0))
    assert feature.row == "lettering.x_height"
    assert feature.measure == feature.x_height_mm == pytest.approx(5.0 * X_UNITS / CAP_UNITS, rel=0.007)
    assert feature.state != "holds"


def test_finer_thread_holds_smaller_letters() -> None:
    assert line_of(at_cap(PLAIN, 4.0)).state == "lost"
    assert line_of(at_cap(PLAIN, 4.0, thread="60")).state == "holds"
    assert "60-weight" in line_of(at_cap(PLAIN, 4.0)).text


@settings(derandomize=True, deadline=None, max_examples=6)
@given(st.sampled_from([PLAIN, MIXED, BOLD]), st.sampled_from(["40", "60"]))
def test_a_line_holds_from_its_width_and_not_at_99_percent(drawing: Drawing, thread: str) -> None:
    width = line_of(at_cap(drawing, 5.0, thread)).holds_from_width_mm
    assert width is not None
    assert line_of(size_drawing(drawing, width_mm=width * 1.0001, thread=thread)).state == "holds"
    assert line_of(size_drawing(drawing, width_mm=width * 0.99, thread=thread)).state != "holds"


@pytest.mark.parametrize("drawing", [PLAIN, MIXED, BOLD, TIGHT], ids=["plain", "mixed case", "bold", "tight"])
@pytest.mark.parametrize("cap_mm", [2.0, 3.0, 4.0, 5.0, 6.5, 8.0, 12.0])
def test_a_line_is_never_part_column_part_running_line(drawing: Drawing, cap_mm: float) -> None:
    letters = [part for part in at_cap(drawing, cap_mm).parts if part.role_hint == "letter"]
    assert {part.family for part in letters} == {"line-1"}
    assert len({part.kind for part in letters} & {"column", "running", "drop"}) == 1


def test_thin_stems_are_widened_to_the_least_column_where_there_is_room() -> None:
    sized = at_cap(art("HARBOUR LIGHT", spacing=0.2), 6.0)
    letters = [part for part in sized.parts if part.role_hint == "letter"]
    assert all(part.kind == "column" for part in letters)
    assert min(part.sewn_width_mm for part in letters) >= default_trade().value("column.narrowest", thread="40")
    assert "must grow by 0.26 mm to 1.0 mm" in line_of(sized).text


def test_stems_whose_gaps_would_close_are_sewn_as_running_line() -> None:
    sized = at_cap(TIGHT, 5.0)
    assert {part.kind for part in sized.parts if part.role_hint == "letter"} == {"running"}
    assert "closes" in line_of(sized).text


def test_letters_under_three_millimetres_are_advised_to_be_left_out() -> None:
    assert "leave the line out" in line_of(at_cap(PLAIN, 2.5)).text
    assert "running line" in line_of(at_cap(PLAIN, 3.5)).text


def test_a_gap_beside_the_line_stays_a_gap() -> None:
    shapes = lettering("HARBOUR LIGHT", CAP, along(500, 200), spacing=0.06)
    bars = [LineString([(0, 240), (1000, 240)]).buffer(12), LineString([(0, 272), (1000, 272)]).buffer(12)]
    sized = size_drawing(drawing_of(*shapes, *bars), width_mm=70)
    assert "gap" in {feature.kind for feature in sized.detail.features}
