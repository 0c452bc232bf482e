"""Outlines and butting shapes against the cloth's drift (common practice, no source)."""

from __future__ import annotations

import pytest
from shapely import Point, box

from analyse.sizing import size_drawing
from analyse.values import Drawing, Feature
from tests.drawings import drawing_of


def found(drawing: Drawing, cloth: str = "twill") -> list[Feature]:
    features = size_drawing(drawing, width_mm=60.0, cloth=cloth).detail.features
    return [feature for feature in features if feature.kind == "registration"]


def ringed(ring_px: float) -> Drawing:
    disc = Point(300, 300).buffer(300 - ring_px)
    return drawing_of(Point(300, 300).buffer(300).difference(disc), disc, colours=(0, 1), parents=(None, 0))


@pytest.mark.parametrize(("ring_px", "state"), [(4, "lost"), (5.6, "at-risk"), (6.4, "holds")])
def test_an_outline_must_be_twice_as_wide_as_the_cloth_drifts(ring_px: float, state: str) -> None:
    (outline,) = found(ringed(ring_px))
    assert outline.measure == pytest.approx(ring_px / 10, abs=0.01)
    assert outline.needs == pytest.approx(0.6)
    assert outline.state == state
    assert "outline" in outline.text


def test_fleece_drifts_more_than_twill() -> None:
    (outline,) = found(ringed(10), "fleece")
    assert outline.needs == pytest.approx(1.2)
    assert outline.state == "lost"


def test_a_stripe_between_two_fields_only_butts_them() -> None:
    stripes = drawing_of(box(0, 0, 300, 200), box(300, 0, 305, 200), box(305, 0, 600, 200), colours=(0, 2, 1))
    (butts,) = [feature for feature in found(stripes) if feature.state != "holds"]
    assert butts.measure == pytest.approx(0.5, abs=0.01)
    assert "a line of" in butts.text
    assert "between" in butts.text
    assert butts.cure == "thicken it by 0.10 mm"


def test_what_lies_on_one_colour_drifts_with_it() -> None:
    body = box(0, 0, 600, 400)
    stripe = box(100, 200, 500, 204)
    assert found(drawing_of(body.difference(stripe), stripe, colours=(0, 1), parents=(None, 0))) == []


def test_an_outline_is_not_counted_again_as_a_stroke() -> None:
    features = size_drawing(ringed(4), width_mm=60.0).detail.features
    assert not [feature for feature in features if feature.kind == "stroke"]
