"""Outlines and butting shapes against the cloth's drift (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
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


def test_an_outline_that_is_one_with_what_it_holds_is_an_outline_still() -> None:
    """A bar across a disc and the outline round it are one shape, mostly bar: the outline drifts as any other."""
    whole = Point(300, 300).buffer(300, 64)
    inner, bar = Point(300, 300).buffer(292, 64), box(260, 0, 340, 600)
    fields = inner.difference(bar)
    shape = whole.difference(inner).union(bar.intersection(whole)).difference(fields)
    drawing = drawing_of(shape, *fields.geoms, colours=(0, 1, 1), parents=(None, 0, 0))
    labels = np.full((600, 600), -1, np.int16)
    rows, columns = np.mgrid[0.5:600, 0.5:600]
    far = np.hypot(rows - 300, columns - 300)
    labels[far < 300], labels[(far < 292) & (np.abs(columns - 300) > 40)] = 0, 1
    (rim,) = found(replace(drawing, labels=labels))
    assert rim.measure == pytest.approx(0.8, abs=0.01)
    assert "a line of" in rim.text
