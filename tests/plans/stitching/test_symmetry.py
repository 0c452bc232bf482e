"""Turning and mirroring a part turns and mirrors its stitches, of whatever kind: nothing hangs on the page's axes."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString
from shapely.affinity import affine_transform

from analyse.trade import default_trade
from analyse.units import direction
from analyse.values import Floats, Spine
from plans.stitching.joins import tied
from plans.stitching.laying import lay_sewing
from plans.values import Kind, Sewing, Underlay
from tests.plans.stitching.shapes import random_shape
from tests.plans.stitching.spines import arc, band, line, outline, random_spine, spine

TRADE = default_trade()
UNDER = (Underlay("edge-run", 0.5), Underlay("rows", 0.5, 2.5))
ZIGZAG = (Underlay("edge-run", 0.5), Underlay("zigzag", 0.5, 2.0))


def moved(one: Sewing, matrix: Floats) -> Sewing:
    """The sewing turned, or turned and mirrored, about the origin."""
    along = None if one.angle_deg is None else matrix @ np.array(direction(one.angle_deg))
    angle = None if along is None else math.degrees(math.atan2(-along[1], along[0])) % 180
    if one.guide is not None:
        angle = one.angle_deg  # counts from the run of the guide
    return Sewing(
        0, 0, one.kind, "body", 0, affine_transform(one.shape, [*matrix.ravel(), 0.0, 0.0]),
        spines=tuple(spine(s.left @ matrix.T, s.right @ matrix.T, closed=s.closed) for s in one.spines),
        angle_deg=angle, spacing_mm=one.spacing_mm, stitch_mm=one.stitch_mm, passes=one.passes, pull_mm=one.pull_mm,
        push_mm=one.push_mm, underlay=one.underlay, guide=None if one.guide is None else one.guide @ matrix.T,
    )  # fmt: skip


def sewing(kind: Kind, shape: shapely.Polygon | shapely.MultiPolygon, *spines: Spine, **more: object) -> Sewing:
    return Sewing(0, 0, kind, "body", 0, shape, spines=spines, **{"spacing_mm": 0.4, **more})  # type: ignore[arg-type]


def case(name: str, seed: int) -> Sewing:
    if name == "fill":
        shape = random_shape(seed)
        return sewing("fill", shape, angle_deg=20.0, pull_mm=0.15, push_mm=0.2, underlay=UNDER)
    if name == "guided fill":
        guide = arc(14, 10, 130)
        shape = LineString(guide).buffer(3 + seed % 3, quad_segs=16, cap_style="flat")
        return sewing("fill", shape, angle_deg=90.0, guide=guide)
    if name == "column":
        one = random_spine(seed)
        return sewing("column", outline(one), one, pull_mm=0.15, push_mm=0.2, underlay=ZIGZAG)
    if name == "ring":
        one = band(arc(5, 0, 360)[:-1], 2.0, closed=True)
        return sewing("column", outline(one), one, underlay=(Underlay("centre-run"),))
    reach = 5 + seed % 7
    lines = [line((0, 0), (16, 0.5)), line((6, 0.19), (9, reach)), line((10, 0.31), (13, -reach))]
    spines = [band(one, 0.3) for one in lines]
    return sewing("running", shapely.union_all([outline(one) for one in spines]), *spines, passes=2, stitch_mm=1.5)


@pytest.mark.parametrize("name", ["fill", "guided fill", "column", "ring", "network"])
@settings(derandomize=True, deadline=None, max_examples=10)
@given(st.integers(0, 300), st.integers(1, 35), st.booleans())
def test_turning_and_mirroring_the_part_turns_and_mirrors_the_stitches(
    name: str, seed: int, turn: int, mirrored: bool
) -> None:
    cos, sin = math.cos(turn / 6), math.sin(turn / 6)
    sign = -1.0 if mirrored else 1.0
    matrix = np.array([[cos, sign * -sin], [sin, sign * cos]])
    one = case(name, seed)
    start = np.array(one.shape.bounds[:2]) - [0.123, 0.077]
    laid = [
        tied(lay_sewing(each, TRADE, start=(float(at[0]), float(at[1]))), TRADE)
        for each, at in ((one, start), (moved(one, matrix), matrix @ start))
    ]
    if name == "guided fill":  # laid out along a polyline and bent back: ways that are nearly even may fall either way
        assert abs(len(laid[0].xy) - len(laid[1].xy)) <= 2
        return
    assert laid[0].xy.shape == laid[1].xy.shape
    assert np.abs(laid[0].xy @ matrix.T - laid[1].xy).max() < 1e-5
    assert (laid[0].move == laid[1].move).all()
    assert (laid[0].lay == laid[1].lay).all()
