"""Laws of what survives, and that features say what a practitioner would."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, box

from analyse.detail.candidates import Candidate, at_size, tolerant
from analyse.sizing import setting_of, size_drawing
from analyse.survival import survival
from analyse.trade import default_trade
from analyse.values import Drawing, Feature, State
from tests.drawings import drawing_of


def art() -> Drawing:
    """Two bars with a gap, hairlines, a dot, a ring with a small counter, a hairline on a red body."""
    body = box(0, 300, 600, 500)
    stripe = box(50, 380, 550, 386)
    return drawing_of(
        box(0, 0, 280, 40), box(286, 0, 600, 40), LineString([(0, 80), (600, 100)]).buffer(1.5),
        Point(40, 180).buffer(9), Point(160, 190).buffer(40).difference(Point(160, 190).buffer(5)),
        body.difference(stripe), stripe, LineString([(250, 150), (350, 250), (450, 150), (560, 260)]).buffer(4),
        colours=(0, 0, 0, 0, 0, 1, 2, 0),
    )  # fmt: skip


ART = art()


def features_at(width_mm: float, thread: str = "40") -> tuple[Feature, ...]:
    return size_drawing(ART, width_mm=width_mm, thread=thread).detail.features


def test_weights_fall_and_plain_shapes_are_the_rest_of_the_look() -> None:
    detail = size_drawing(ART, width_mm=60).detail
    weights = [feature.weight for feature in detail.features]
    assert weights == sorted(weights, reverse=True)
    assert 0 < sum(weights) <= 1 + 1e-9
    assert sum(detail.share(state) for state in get_args(State)) == pytest.approx(1.0)


def test_where_detail_is_much_of_the_look_it_is_all_that_is_judged() -> None:
    bars = [box(0, 14 * i, 600, 14 * i + 6) for i in range(12)]
    weights = [f.weight for f in size_drawing(drawing_of(*bars), width_mm=60).detail.features]
    assert sum(weights) == pytest.approx(1.0)


def test_a_plain_design_is_not_judged_by_its_one_speck() -> None:
    """A broad block and a sliver beside it: the sliver is lost, and hardly anything of the look with it."""
    sliver = box(620, 100, 621.5, 160)
    detail = size_drawing(drawing_of(box(0, 0, 600, 500), sliver), width_mm=60).detail
    (lost,) = (feature for feature in detail.features if feature.state == "lost")
    assert lost.weight < 0.03
    assert detail.share("holds") > 0.97


def test_each_feature_holds_at_its_width_and_not_at_99_percent_of_it() -> None:
    for feature in features_at(60):
        width = feature.holds_from_width_mm
        if width is None or not 5.1 < width < 990:
            continue
        for at, holds in ((width * 1.0001, True), (width * 0.99, False)):
            same = [f for f in features_at(at) if f.kind == feature.kind and f.row == feature.row and
                    f.holds_from_width_mm == pytest.approx(width, rel=1e-9)]  # fmt: skip
            assert same
            assert all((f.state == "holds") is holds for f in same)


@settings(derandomize=True, deadline=None, max_examples=12)
@given(st.floats(25, 300), st.floats(1.0, 2.5))
def test_what_holds_holds_at_every_larger_width(width_mm: float, factor: float) -> None:
    small = {(f.kind, f.row, f.holds_from_width_mm) for f in features_at(width_mm) if f.state == "holds"}
    large = {(f.kind, f.row, f.holds_from_width_mm) for f in features_at(width_mm * factor) if f.state == "holds"}
    assert small <= large


@settings(derandomize=True, deadline=None, max_examples=8)
@given(st.floats(25, 300))
def test_thinner_thread_never_loses_what_thicker_thread_holds(width_mm: float) -> None:
    thick = {(f.kind, f.text, round(f.measure, 9)) for f in features_at(width_mm) if f.state == "holds"}
    thin = {(f.kind, f.text, round(f.measure, 9)) for f in features_at(width_mm, "60") if f.state == "holds"}
    lost = {each for each in thick - thin if any(f.text == each[1] for f in features_at(width_mm, "60"))}
    assert not lost


def test_thinner_thread_needs_no_more_in_any_row() -> None:
    trade = default_trade()
    for key, row in trade.rows.items():
        if row.get("by") == "thread" and key.split(".")[0] in ("stroke", "lettering", "column", "dot"):
            assert trade.value(key, thread="60") <= trade.value(key, thread="40"), key


@pytest.mark.parametrize(
    ("kind", "measure_mm"), [("gap", 0.6), ("dot", 1.8), ("counter", 1.0), ("stroke", 0.3), ("registration", 0.0)]
)
def test_every_kind_is_found_with_its_measure(kind: str, measure_mm: float) -> None:
    found = [f.measure for f in features_at(60) if f.kind == kind]
    if kind == "registration":
        assert not found  # nothing here runs round anything
    else:
        assert min(abs(measure - measure_mm) for measure in found) < 0.02


def test_a_gap_of_cloth_is_held_against_the_cloth() -> None:
    twill = [f for f in size_drawing(ART, width_mm=60, cloth="twill").detail.features if f.kind == "gap"]
    pile = [f for f in size_drawing(ART, width_mm=60, cloth="towelling").detail.features if f.kind == "gap"]
    assert {f.needs for f in twill} == {0.8}
    assert {f.needs for f in pile} == {1.2}


def test_a_thread_like_the_cloth_is_told() -> None:
    sized = size_drawing(ART, width_mm=60, cloth_rgb=(22, 42, 92))
    (step,) = [f for f in sized.detail.features if f.kind == "colour-step"]
    assert step.state == "lost"
    assert step.unit == "dE00"
    assert step.holds_from_width_mm is None


def test_survival_is_the_same_answer_for_every_width() -> None:
    answer = survival(ART, widths_mm=(60.0,))
    at_60 = next(h for h in answer.holdings if h.width_mm == 60.0)
    assert at_60.details == sum(f.state == "holds" for f in features_at(60))
    assert at_60.share == pytest.approx(size_drawing(ART, width_mm=60).detail.share("holds"))
    shares = [holding.share for holding in answer.holdings]
    assert shares == sorted(shares)


def test_survival_names_the_least_width_and_the_places() -> None:
    answer = survival(ART)
    every = [f.holds_from_width_mm for f in features_at(60) if f.holds_from_width_mm is not None]
    assert answer.all_hold_mm == pytest.approx(max(every))
    assert answer.fine_mm <= answer.all_hold_mm
    assert {place.place for place in answer.places if place.fits} >= {"full-back"}
    assert answer.gains[-1].width_mm == pytest.approx(answer.all_hold_mm)


def test_what_is_as_good_as_wide_enough_holds_and_is_told_so() -> None:
    setting = setting_of(ART, 0.1, "40", "twill", default_trade())
    needs, short = 0.8, float(default_trade().value("detail.tolerance"))
    for measure_px, state in ((needs * (1 - 0.9 * short) / 0.1, "holds"), (needs * (1 - 1.1 * short) / 0.1, "at-risk")):
        (just,) = tolerant(
            [Candidate("gap", (0.0, 0.0), measure_px, "cloth.twill.gap_mm", needs, 1.0, "a gap")], setting
        )
        feature = at_size(just, setting, 600.0, None, (0.0, 0.0))
        assert feature.state == state
        assert (feature.measure >= feature.needs) is (state == "holds")
        assert feature.holds_from_width_mm is not None
        assert (feature.holds_from_width_mm <= 60.0) is (state == "holds")


def test_a_lone_speck_is_no_detail_and_a_sprinkling_is() -> None:
    line = box(0, 500, 2000, 504)
    dust = [box(300 * k, 100, 300 * k + 3, 103) for k in range(1, 6)]

    def dots(count: int) -> int:
        drawing = drawing_of(line, *dust[:count])
        return sum(f.kind == "dot" for f in size_drawing(drawing, width_mm=76).detail.features)

    assert dots(1) == 0
    assert dots(5) == 1
