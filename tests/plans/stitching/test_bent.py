"""Rows turn with what is long and bent, and with nothing else: common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import Point, box

from analyse.trade import default_trade
from plans.stitching.bent import guide_of
from plans.stitching.laying import lay_sewing
from plans.values import Lay, Sewing
from tests.plans.stitching.laws import cover_of, jumps, sewn
from tests.plans.stitching.spines import arc, band, outline

TRADE = default_trade()
CRESCENT = outline(band(arc(30, 10, 150), 9.0))


def test_a_crescent_is_guided_along_its_bend() -> None:
    guide = guide_of(CRESCENT)
    assert guide is not None
    off = np.hypot(*shapely.get_coordinates(guide).T) - 30
    assert np.abs(off).mean() < 0.5


@pytest.mark.parametrize(
    "shape",
    [
        box(0, 0, 20, 20), box(0, 0, 60, 9), Point(0, 0).buffer(12), Point(0, 0).buffer(12) - Point(0, 0).buffer(6),
        outline(band(arc(30, 10, 50), 9.0)), outline(band(arc(9, 0, 200), 9.0)),
        shapely.MultiPolygon([box(0, 0, 9, 9), box(20, 0, 29, 9)]),
    ],
)  # fmt: skip
def test_nothing_else_is_guided(shape: shapely.Polygon | shapely.MultiPolygon) -> None:
    """Squares, straight bars, discs, rings, slight bends, tight ones, and what lies in two."""
    assert guide_of(shape) is None


def test_rows_laid_along_the_guide_lie_across_the_bend_and_cover_it() -> None:
    guide = guide_of(CRESCENT)
    assert guide is not None
    sewing = Sewing(
        0, 0, "fill", "body", 0, CRESCENT, angle_deg=90.0, spacing_mm=0.4, guide=shapely.get_coordinates(guide)
    )
    trail = lay_sewing(sewing, TRADE)
    begins, ends = sewn(trail, Lay.TOP)
    long = np.hypot(*(ends - begins).T) > 2.0
    out = (begins + ends)[long] / 2
    run = (ends - begins)[long]
    across = np.abs((out * run).sum(axis=1)) / np.hypot(*out.T) / np.hypot(*run.T)
    assert np.median(across) > np.cos(np.radians(10))
    assert cover_of(trail, CRESCENT, 0.28) >= 0.97
    assert jumps(trail) == 0
