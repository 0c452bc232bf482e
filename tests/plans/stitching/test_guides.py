"""Fills whose rows turn along a guide: what bends, and what must still hold (common practice, no source)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString

from analyse.trade import default_trade
from plans.stitching.guides import guide_along
from plans.stitching.laying import lay_sewing
from plans.values import Lay, Sewing, Trail, Underlay
from tests.plans.stitching.laws import cover, jumps, outside_mm, steps_mm
from tests.plans.stitching.spines import arc, random_spine

TRADE = default_trade()
FEW = settings(derandomize=True, deadline=None, max_examples=15)
INNER, OUTER = 10.0, 18.0


def arch(**more: object) -> tuple[Sewing, Trail]:
    """A quarter ring, 8 mm wide, its rows across a guide at mid width."""
    guide = arc(14, 0, 90)
    shape = LineString(guide).buffer(4, quad_segs=32, cap_style="flat")
    sewing = Sewing(0, 0, "fill", "body", 0, shape, angle_deg=90.0, spacing_mm=0.4, guide=guide, **more)  # type: ignore[arg-type]
    return sewing, lay_sewing(sewing, TRADE)


def test_rows_lie_across_the_run_all_the_way_round() -> None:
    _, trail = arch()
    step, middle = np.diff(trail.xy, axis=0), (trail.xy[1:] + trail.xy[:-1]) / 2
    length = np.hypot(*step.T)
    radial = np.abs((step * middle).sum(axis=1)) / np.maximum(length * np.hypot(*middle.T), 1e-9)
    inside = (length > 1.5) & (np.hypot(*(middle - [14, 0]).T) > 4) & (np.hypot(*(middle - [0, 14]).T) > 4)
    assert np.degrees(np.arccos(np.clip(radial[inside], 0, 1))).max() < 4


def test_the_outer_edge_keeps_within_a_tenth_of_the_spacing() -> None:
    _, trail = arch()
    rim = trail.xy[np.hypot(*trail.xy.T) > OUTER - 0.02]
    turn = np.sort(np.arctan2(rim[:, 1], rim[:, 0]))
    apart = np.diff(turn) * OUTER
    assert np.median(apart) == pytest.approx(1.1 * 0.4, rel=0.05)


def test_a_guided_fill_covers_its_part_without_a_jump() -> None:
    sewing, trail = arch(pull_mm=0.15, underlay=(Underlay("edge-run", 0.5), Underlay("rows", 0.5, 2.5)))
    covered, _ = cover(trail, sewing.shape, sewing.shape, TRADE.value("thread.strand_flat", thread="40"))  # type: ignore[arg-type]
    assert covered >= 0.98
    assert jumps(trail) == 0
    assert outside_mm(trail, sewing.shape.buffer(0.2)) <= 0.1
    assert steps_mm(trail).min() >= TRADE.value("stitch.never_under")
    assert steps_mm(trail, Lay.TOP).max() <= max(TRADE.rows["fill.stitch"]["range"])


def test_a_straight_guide_turns_nothing() -> None:
    line = np.array([[0.0, 0.0], [30.0, 0.0]])
    shape = LineString(line).buffer(5, cap_style="flat")
    plain = Sewing(0, 0, "fill", "body", 0, shape, angle_deg=60.0, spacing_mm=0.4)
    guided = Sewing(0, 0, "fill", "body", 0, shape, angle_deg=60.0, spacing_mm=0.4, guide=line)
    one, two = (lay_sewing(sewing, TRADE, start=(0.0, -5.0)) for sewing in (plain, guided))
    assert len(one.xy) == len(two.xy)
    assert np.abs(one.xy - two.xy).max() < 0.02


@FEW
@given(st.integers(0, 300), st.floats(-1.0, 1.0))
def test_laying_out_and_bending_back_is_the_identity_near_the_guide(seed: int, off: float) -> None:
    line = random_spine(seed).line[:, :2]
    guide = guide_along(line)
    bend = np.abs(np.diff(np.unwrap(np.arctan2(*np.diff(guide.line, axis=0).T)))).max() / 0.5
    reach = off * min(0.6 / max(float(bend), 1e-3), 8.0)
    ways = np.linspace(70.0, guide.way[-1] - 70.0, 30) if guide.way[-1] > 140 else np.array([guide.way[-1] / 2])
    places = np.column_stack([ways, np.full(len(ways), reach)])
    cloth = guide.bent(places)
    assert np.hypot(*(guide.bent(guide.straightened(cloth)) - cloth).T).max() < 0.1


def test_a_guide_too_tight_for_its_shape_is_left_aside() -> None:
    tight = arc(1.0, 0, 170)
    shape = LineString(tight).buffer(6)
    sewing = Sewing(0, 0, "fill", "body", 0, shape, angle_deg=90.0, spacing_mm=0.4, guide=tight)
    trail = lay_sewing(sewing, TRADE)
    assert jumps(trail) == 0
    assert steps_mm(trail).sum() == pytest.approx(shape.area / 0.2, rel=0.05)
    assert math.isfinite(float(trail.xy.sum()))
