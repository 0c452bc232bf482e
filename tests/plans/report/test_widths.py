"""The page of widths: true to size, self-contained, and with the widths that tell something."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from html import unescape

import pytest
from shapely import Point, box

from analyse.sizing import size_drawing
from analyse.survival import Gain, Survival, survival
from analyse.values import Drawing
from plans.report.widths import pictures, telling_widths, widths_page
from tests.drawings import drawing_of


@cache
def bars() -> Drawing:
    return drawing_of(box(0, 0, 600, 40), box(0, 46, 600, 90), Point(300, 200).buffer(5))


@cache
def found() -> Survival:
    return survival(bars(), widths_mm=[40.0])


@cache
def page(title: str = "bars.svg on woven twill") -> str:
    return widths_page(title, size_drawing(bars(), width_mm=40.0), found(), 40.0)


def test_each_picture_is_as_large_as_it_would_be_sewn() -> None:
    widths = telling_widths(found(), 40.0, 300.0)
    assert 40.0 in widths
    assert found().all_hold_mm in widths
    drawn = [float(width) for width in re.findall(r'<svg [^>]*width="([\d.]+)mm"', page())]
    assert drawn == pytest.approx(widths, abs=0.06)


def test_the_artwork_is_held_once() -> None:
    assert page().count("data:image") == 1
    assert page().count('id="art"') == 1


def test_only_what_does_not_hold_is_marked() -> None:
    small, large = (pictures([size_drawing(bars(), width_mm=width)])[0] for width in (30.0, 200.0))
    assert small[1].count('class="badge"') == 2
    assert not large[1]
    assert "100 % of the look holds" in large[2]


def test_the_page_asks_nothing_of_a_network_and_escapes_its_title() -> None:
    text = page("<b>x</b>.svg")
    assert "<b>x</b>" not in text
    assert "default-src 'none'" in unescape(text)
    assert not re.search(r'(?:src|href)="(?!#|data:)', text)


def test_widths_that_hardly_differ_are_one_picture() -> None:
    near = replace(found(), all_hold_mm=100.0, nearly_mm=100.0, fine_mm=95.0, useful_mm=98.0, gains=())
    assert telling_widths(near, None, 300.0) == [100.0]
    assert telling_widths(replace(near, nearly_mm=2000.0), 60.0, 300.0) == [60.0, 95.0, 300.0]


def test_where_most_is_gained_there_is_a_picture_and_none_for_what_nobody_sees() -> None:
    """A sliver of under 1 % of the look asks for 420 mm: nobody sews a larger piece for it."""
    gains = (
        Gain(44.0, 0.3, "a gap"),
        Gain(67.0, 0.69, "2 gaps"),
        Gain(90.0, 0.009, "a dot"),
        Gain(420.0, 0.001, "a sliver"),
    )
    told = replace(found(), all_hold_mm=420.0, nearly_mm=90.0, fine_mm=420.0, useful_mm=44.0, gains=gains)
    assert telling_widths(told, None, 300.0) == [44.0, 67.0, 90.0]
