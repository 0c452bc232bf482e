"""What a drawn width is sewn as: the trade's bands (common practice, no source, where a row says so)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import t as student

from analyse.kinds.bands import Piece, certainty, judge
from analyse.kinds.setting import Setting
from analyse.trade import default_trade
from analyse.values import Width

TRADE = default_trade()
TWILL = Setting(0.05, 0.01, "40", TRADE.cloth("twill"), TRADE)


def stroke(width_mm: float, length_mm: float = 40.0, gap_mm: float = math.inf) -> Piece:
    return Piece(Width(width_mm, width_mm, width_mm), length_mm, width_mm * length_mm, strokelike=True, gap_mm=gap_mm)


@pytest.mark.parametrize(
    ("width_mm", "kind", "sewn_mm"),
    [
        (0.10, "drop", 0.0), (0.19, "running", 0.4), (0.34, "running", 0.4), (0.36, "running", 0.6),
        (0.59, "running", 0.6), (0.61, "column", 1.0), (0.79, "column", 1.0), (0.99, "column", 1.19),
        (1.01, "column", 1.21), (6.5, "column", 6.8), (8.0, "fill", 8.0),
    ],
)  # fmt: skip
def test_each_band_of_drawn_width_has_its_kind(width_mm: float, kind: str, sewn_mm: float) -> None:
    verdict = judge(stroke(width_mm), TWILL)
    assert verdict.kind == kind
    assert verdict.sewn_width_mm == pytest.approx(sewn_mm, abs=0.006)


@pytest.mark.parametrize(("width_mm", "kind", "sewn_mm"), [(0.88, "running", 0.6), (0.92, "column", 1.5)])
def test_on_leather_no_column_is_narrower_than_its_shortest_stitch(width_mm: float, kind: str, sewn_mm: float) -> None:
    """Common practice, no source: under 1.5 mm a column's holes would cut leather; what is thinner is running line."""
    verdict = judge(stroke(width_mm), replace(TWILL, cloth=TRADE.cloth("leather")))
    assert (verdict.kind, verdict.sewn_width_mm) == (kind, sewn_mm)


def test_over_seven_millimetres_only_a_border_is_a_column() -> None:
    """Borders and lettering of 7 to 10 mm are columns with split stitches: graphics-pro.com; the rest is filled."""
    assert judge(stroke(8.0, 90.0), TWILL).kind == "column"
    assert "split" in judge(stroke(8.0, 90.0), TWILL).reason.text
    assert judge(stroke(8.0, 40.0), TWILL).kind == "fill"
    assert judge(stroke(9.8, 200.0), TWILL).kind == "fill"


def test_the_reason_says_what_is_drawn_what_is_sewn_and_what_becomes_of_the_gap() -> None:
    verdict = judge(stroke(0.7, gap_mm=1.2), TWILL)
    assert verdict.reason.text == (
        "0.70 mm drawn, 1.0 mm sewn on woven twill, canvas: a column, widened by 0.05 mm on each side; "
        "the gap beside it stays 0.9 mm"
    )


def test_what_would_close_the_gap_beside_it_is_not_widened() -> None:
    verdict = judge(stroke(0.7, gap_mm=0.7), TWILL)
    assert verdict.kind == "running"
    assert verdict.reason.row == "gap.needle_to_needle"
    assert verdict.reason.measure_mm == pytest.approx(0.4)


@pytest.mark.parametrize("gap_mm", [0.79, 0.81])
def test_a_gap_that_only_just_stays_open_makes_the_kind_doubtful(gap_mm: float) -> None:
    assert judge(stroke(0.7, gap_mm=gap_mm), TWILL).certainty < 0.9
    assert judge(stroke(0.7, gap_mm=1.2), TWILL).certainty > 0.98


@pytest.mark.parametrize("limit_mm", [0.18, 0.6])
def test_just_at_a_limit_nobody_knows(limit_mm: float) -> None:
    assert judge(stroke(limit_mm + 1e-9), TWILL).certainty == pytest.approx(0.5, abs=1e-3)


@pytest.mark.parametrize("width_mm", [0.20, 0.35, 1.0, 7.0 - 0.3])
def test_a_limit_within_one_kind_makes_no_kind_doubtful(width_mm: float) -> None:
    """A border of 6.7 mm goes on as a column whose stitches are split; what is shorter becomes a fill there."""
    assert judge(stroke(width_mm, 60.0), TWILL).certainty > 0.9


def test_the_width_of_a_disc_is_less_sure_than_that_of_a_stroke() -> None:
    """An eye of 6.69 mm, 6.99 mm sewn: it touches its outline in three points, a stroke's width is told all along."""
    eye = Piece(Width(6.69, 6.69, 6.69), 6.69, 35.0, strokelike=True)
    assert judge(eye, replace(TWILL, error_mm=0.001)).certainty > 0.95
    assert judge(replace(eye, disc=True), replace(TWILL, error_mm=0.001)).certainty < 0.99
    assert judge(replace(eye, disc=True), replace(TWILL, error_mm=0.001, mm_per_px=0.15)).certainty < 0.7


PIECES = st.builds(
    lambda width_mm, swell, length, area, gap_mm, flags: Piece(
        Width(width_mm / swell, width_mm, width_mm * swell), length * width_mm, area * length * width_mm**2, flags[0],
        dot=flags[1], gap_mm=gap_mm, ground=flags[2],
    ),
    st.sampled_from([0.18, 0.2, 0.35, 0.6, 0.7, 0.8, 0.9, 1.0, 2.0, 3.0, 6.7, 9.7]).flatmap(
        lambda limit: st.floats(limit - 0.005, limit + 0.005)
    ),
    st.sampled_from([1.0, 1.3]), st.floats(1.0, 12.0), st.floats(0.5, 1.0), st.sampled_from([0.8, 1.0, math.inf]),
    st.tuples(st.booleans(), st.booleans(), st.booleans()),
)  # fmt: skip


@settings(derandomize=True, deadline=None, max_examples=400)
@given(PIECES, st.sampled_from([-1.0, 1.0]))
def test_where_half_the_measuring_error_changes_the_kind_the_kind_is_not_sure(piece: Piece, sign: float) -> None:
    """Whichever limit it is: of a strand, of a column, of what may be split, of a fill, of the gap beside it."""
    off = sign * 0.5 * TWILL.error_mm
    moved = Width(*(each + off for each in (piece.width.low, piece.width.median, piece.width.high)))
    other = replace(
        piece, width=moved, area_mm2=piece.area_mm2 + off * piece.length_mm, gap_mm=piece.gap_mm - off,
    )  # fmt: skip
    if judge(other, TWILL).kind != judge(piece, TWILL).kind:
        assert judge(piece, TWILL).certainty < 0.7


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.floats(0.0, 3.0), st.floats(0.001, 0.3))
def test_certainty_is_students_t_with_two_degrees(off_mm: float, error_mm: float) -> None:
    """Held against scipy's distribution."""
    assert certainty(1.0 + off_mm, 1.0, error_mm) == pytest.approx(student(2).cdf(off_mm / error_mm), abs=1e-9)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.floats(0.05, 12.0), st.floats(1.01, 2.0))
def test_what_is_drawn_wider_is_never_sewn_as_less(width_mm: float, factor: float) -> None:
    rank = ("drop", "running", "column", "fill")
    piece = stroke(width_mm, 60.0)
    wider = replace(piece, width=Width(*(width_mm * factor,) * 3), length_mm=60.0 * factor)
    assert rank.index(judge(wider, TWILL).kind) >= rank.index(judge(piece, TWILL).kind)


def test_a_column_that_its_pull_makes_wide_enough_is_not_widened() -> None:
    """On a knit 0.15 mm at each end make a stroke of 0.8 mm 1.1 mm from needle point to needle point."""
    verdict = judge(stroke(0.8), replace(TWILL, cloth=TRADE.cloth("pique-knit")))
    assert verdict.reason.text == "0.80 mm drawn, 1.1 mm sewn on pique knit: a column"


def test_a_step_of_a_shading_is_filled_where_a_stroke_alike_would_be_a_column() -> None:
    """Common practice, no source: steps whose rows run on read as one surface, columns as so many rings."""
    band = stroke(5.0)
    step = judge(replace(band, shaded=True), TWILL)
    assert (judge(band, TWILL).kind, step.kind) == ("column", "fill")
    assert "step of a shading" in step.reason.text
    assert judge(replace(stroke(0.7), shaded=True), TWILL).kind == judge(stroke(0.7), TWILL).kind
