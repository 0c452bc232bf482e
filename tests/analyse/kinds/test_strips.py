"""Stumps and strips beside a fill are part of it: no hand makes columns of them. Common practice, no source."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from shapely import Polygon, box

from analyse.kinds.bands import Piece, Verdict
from analyse.kinds.setting import Setting
from analyse.kinds.strips import Judged, taken_in
from analyse.sizing import setting_of
from analyse.trade import default_trade
from analyse.values import PartKind, Reason, Width
from analyse.widths.strokes import Stroke
from tests.drawings import drawing_of

BODY = box(0, 0, 200, 200)


def setting() -> Setting:
    """Ten pixels a millimetre."""
    return setting_of(drawing_of(BODY), 0.1, "40", "twill", default_trade())


def piece(
    outline: Polygon, kind: PartKind, wide_mm: float, long_mm: float, low_mm: float = 0.0, cuts: int = 2
) -> Judged:
    stroke = cast("Stroke", SimpleNamespace(outline=outline, cuts=np.zeros((cuts, 2))))
    facts = Piece(Width(low_mm or wide_mm, wide_mm, wide_mm), long_mm, outline.area / 100, strokelike=kind != "fill")
    return stroke, facts, Verdict(kind, Reason("row", wide_mm, 1.0, kind), 0.9, wide_mm)


def kinds(*judged: Judged) -> list[str]:
    return [verdict.kind for _, _, verdict in taken_in(judged, setting())]


body = piece(BODY, "fill", 20.0, 20.0)


@pytest.mark.parametrize(
    ("wide_mm", "long_mm", "kind"),
    [(3.0, 10.0, "fill"), (3.0, 17.9, "fill"), (3.0, 18.1, "column"), (1.5, 1.4, "fill"), (1.5, 4.0, "column")],
)
def test_a_short_wide_stump_belongs_to_its_fill_and_a_long_one_is_a_column(
    wide_mm: float, long_mm: float, kind: str
) -> None:
    """fill.stump: six widths, from 2 mm on; a narrower one only where it is wider than long."""
    stump = piece(box(200, 50, 200 + 10 * long_mm, 50 + 10 * wide_mm), "column", wide_mm, long_mm)
    assert kinds(body, stump) == ["fill", kind]


def test_a_stump_that_does_not_touch_the_fill_and_one_as_large_as_it_stay() -> None:
    away = piece(box(201, 50, 250, 80), "column", 3.0, 5.0)
    large = piece(box(200, 0, 500, 200), "column", 20.0, 30.0)
    assert kinds(body, away) == ["fill", "column"]
    assert kinds(body, large) == ["fill", "column"]
    assert kinds(away) == ["column"]


def test_a_stump_beside_a_stump_goes_with_it() -> None:
    first = piece(box(200, 50, 250, 80), "column", 3.0, 5.0)
    second = piece(box(250, 50, 300, 80), "column", 3.0, 5.0)
    assert kinds(body, second, first) == ["fill", "fill", "fill"]
    assert kinds(body, second) == ["fill", "column"]


@pytest.mark.parametrize(("low_mm", "cuts", "kind"), [(0.4, 2, "fill"), (0.8, 2, "column"), (0.4, 0, "column")])
def test_an_uneven_strip_along_the_fill_is_part_of_it_and_an_even_or_uncut_one_a_stroke(
    low_mm: float, cuts: int, kind: str
) -> None:
    """1.2 mm wide and 12 mm long, and all of its length beside the fill: its two ends and far side are free."""
    strip = piece(box(200, 50, 212, 170), "column", 1.2, 12.0, low_mm, cuts)
    assert kinds(body, strip) == ["fill", kind]


def test_what_lies_amid_fills_is_no_stroke_however_even() -> None:
    """A strip between two bodies of its region has them along more than half of its outline."""
    other = piece(box(212, 0, 400, 200), "fill", 19.0, 20.0)
    strip = piece(box(200, 50, 212, 170), "column", 1.2, 12.0)
    assert kinds(body, other, strip) == ["fill", "fill", "fill"]
