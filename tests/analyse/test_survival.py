"""What holds at which width: laws of geometry, on real artwork as well as on drawn shapes."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
import resvg_py
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from analyse.files import read_artwork
from analyse.sizing import size_drawing
from analyse.survival import Survival, survival
from analyse.tracing import trace
from analyse.trade import default_trade, with_own
from analyse.values import Drawing, Feature
from tests.drawings import drawing_of

IMAGES = Path(__file__).parents[2] / "images"
ARTWORKS = ("hearth-and-rye.svg", "fenwick-cycles.svg", "merrow-sails-small.jpg")


@cache
def traced(name: str) -> Drawing:
    return trace(read_artwork(IMAGES / name))


def features(name: str, width_mm: float, thread: str = "40") -> tuple[Feature, ...]:
    return size_drawing(traced(name), width_mm=width_mm, thread=thread).detail.features


def key(feature: Feature) -> tuple[str, str, float | None]:
    return feature.kind, feature.row, feature.holds_from_width_mm


@pytest.mark.parametrize("name", ARTWORKS)
def test_a_detail_holds_at_its_width_and_not_at_99_percent_of_it(name: str) -> None:
    told = {key(f) for f in features(name, 60.0) if 5.1 < (f.holds_from_width_mm or 0.0) < 990}
    assert told
    for width in sorted({each[2] for each in told if each[2] is not None}):
        holds = {key(f) for f in features(name, width) if f.state == "holds"}
        short = {key(f) for f in features(name, 0.99 * width) if f.state != "holds"}
        own = {each for each in told if each[2] == width}
        assert own <= holds
        assert own <= short


@pytest.mark.parametrize("name", ARTWORKS)
@settings(derandomize=True, deadline=None, max_examples=6)
@given(width_mm=st.floats(20, 200), factor=st.floats(1.0, 3.0))
def test_what_holds_at_a_width_holds_at_every_larger_one(name: str, width_mm: float, factor: float) -> None:
    small = {key(f) for f in features(name, width_mm) if f.state == "holds"}
    assert small <= {key(f) for f in features(name, width_mm * factor) if f.state == "holds"}


@pytest.mark.parametrize("name", ARTWORKS)
@settings(derandomize=True, deadline=None, max_examples=6)
@given(width_mm=st.floats(20, 200))
def test_thinner_thread_loses_nothing_that_thicker_holds(name: str, width_mm: float) -> None:
    """What is told no more with thinner thread holds on the smallest design already."""
    thin = {(f.kind, f.at_mm): f.state for f in features(name, width_mm, "60")}
    for feature in features(name, width_mm):
        if feature.state == "holds":
            assert thin.get((feature.kind, feature.at_mm), "holds") == "holds"


@pytest.mark.parametrize("name", ARTWORKS)
def test_thinner_thread_needs_no_wider_design(name: str) -> None:
    found = survival(traced(name))
    assert found.fine_mm <= found.all_hold_mm


SHAPES = """<svg xmlns="http://www.w3.org/2000/svg" width="{side}" height="{side}" viewBox="0 0 100 100">
<g fill="#143a5a"><rect x="2" y="2" width="96" height="12"/><rect x="2" y="15.3" width="96" height="8"/>
<circle cx="12" cy="40" r="1.7"/><path d="M60 30a14 14 0 1 0 .01 0zM60 42.6a1.4 1.4 0 1 1 -.01 0z" fill-rule="evenodd"/>
<rect x="2" y="70" width="60" height="1.1"/><rect x="2" y="90" width="96" height="8"/></g>
<rect x="4" y="93.2" width="90" height="0.9" fill="#e8c040"/></svg>"""


def measures(side_px: int) -> dict[str, list[float]]:
    picture = bytes(resvg_py.svg_to_bytes(svg_string=SHAPES.format(side=side_px)))
    found: dict[str, list[float]] = {}
    for feature in size_drawing(trace(read_artwork(picture)), width_mm=80.0).detail.features:
        found.setdefault(feature.kind, []).append(feature.measure)
    return {kind: sorted(each) for kind, each in found.items()}


def test_twice_the_pixels_give_the_same_millimetres() -> None:
    once, twice = measures(1000), measures(2000)
    assert set(once) == {"gap", "dot", "counter", "stroke"}
    for kind, each in once.items():
        assert each == pytest.approx(twice[kind], rel=0.01)


def bars() -> Drawing:
    return drawing_of(box(0, 0, 600, 40), box(0, 46, 600, 90), box(0, 140, 600, 141.5), box(0, 200, 9, 209))


def at(found: Survival, width_mm: float) -> float:
    return next(holding.share for holding in found.holdings if holding.width_mm == width_mm)


def test_the_table_runs_from_the_smallest_useful_to_the_widest_usual_width() -> None:
    found = survival(bars())
    widths = [holding.width_mm for holding in found.holdings]
    assert widths == sorted(widths)
    assert widths[0] >= 0.9 * found.useful_mm
    assert widths[-1] == default_trade().value("survival.largest")
    assert found.all_hold_mm in widths


def test_a_width_is_told_where_it_holds_more_than_the_one_before_or_was_asked_for() -> None:
    found = survival(bars(), widths_mm=[61.0])
    middle = found.holdings[1:-1]
    for before, holding in zip(found.holdings, middle, strict=False):
        assert holding.width_mm in (61.0, found.all_hold_mm) or holding.details > before.details


def test_a_gain_is_the_step_of_the_curve_at_its_width() -> None:
    found = survival(bars())
    for gain in found.gains:
        around = survival(bars(), widths_mm=[gain.width_mm * 0.97, gain.width_mm])
        step = at(around, gain.width_mm) - at(around, gain.width_mm * 0.97)
        assert step == pytest.approx(gain.share, abs=1e-9)


def test_a_place_says_how_much_holds_there() -> None:
    found = survival(bars())
    for place in found.places:
        assert place.fits is (place.widest_mm >= found.all_hold_mm)
        assert (place.share > 1 - 1e-9) is place.fits


def test_what_is_hardly_seen_keeps_no_design_from_its_place() -> None:
    """A gap that holds from 80 mm, and a whisker, well under 1 % of the look, that holds from 120 mm."""
    found = survival(whiskered())
    assert found.all_hold_mm == pytest.approx(120.0, abs=1.0)
    assert found.nearly_mm == pytest.approx(80.0, abs=1.0)
    chest = next(place for place in found.places if place.place == "left-chest")
    assert not chest.fits
    assert chest.text == "fits a left chest"


def whiskered() -> Drawing:
    return drawing_of(box(0, 0, 600, 100), box(0, 106, 600, 206), box(300, 250, 301, 258), box(0, 300, 600, 400))


def test_a_shops_own_sizes_are_kept_to() -> None:
    own = with_own(default_trade(), {"survival.largest": 200.0, "survival.smallest": 30.0}, "shop")
    found = survival(bars(), trade=own)
    assert found.holdings[-1].width_mm == 200.0
    assert found.holdings[0].width_mm >= 27.0
