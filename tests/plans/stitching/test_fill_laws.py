"""What must hold of every fill, whatever its shape: trade facts (common practice, no source) as properties."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, box
from shapely.affinity import affine_transform, rotate

from analyse.trade import default_trade
from analyse.units import direction
from plans.stitching.fill import lay_fill
from plans.stitching.ground import FillPlan, ground_of
from plans.stitching.laying import lay_sewing
from plans.stitching.rows import frame_of
from plans.values import Lay, Move, Sewing, Trail, Underlay
from tests.plans.stitching.counts import off_the_form
from tests.plans.stitching.laws import (
    aimed,
    bare_at_most,
    bare_travel,
    beyond_of,
    cover_of,
    jumps,
    outside_mm,
    steps_mm,
)
from tests.plans.stitching.shapes import random_shape

TRADE = default_trade()
FLAT = TRADE.value("thread.strand_flat", thread="40")
UNDER = (Underlay("edge-run", 0.5), Underlay("rows", 0.5, 2.5))
SEEDS = st.integers(0, 400)
ANGLES = st.floats(0, 179.9)
FEW = settings(derandomize=True, deadline=None, max_examples=12)


def fill(shape: Polygon | MultiPolygon, angle_deg: float = 0.0, **more: object) -> Sewing:
    return Sewing(0, 0, "fill", "body", 0, shape, angle_deg=angle_deg, spacing_mm=0.4, **more)  # type: ignore[arg-type]


@settings(FEW, max_examples=30)
@given(SEEDS, ANGLES)
def test_no_stitch_is_too_short_or_too_long(seed: int, angle: float) -> None:
    trail = lay_sewing(fill(random_shape(seed), angle, pull_mm=0.15, push_mm=0.2, underlay=UNDER), TRADE)
    assert steps_mm(trail).min() >= TRADE.value("stitch.never_under") - 1e-9
    assert steps_mm(trail, Lay.TOP).max() <= max(TRADE.rows["fill.stitch"]["range"]) + 1e-9
    assert steps_mm(trail, Lay.UNDERLAY).max() <= max(TRADE.rows["fill.stitch"]["range"]) + 1e-9


@settings(FEW, max_examples=30)
@given(SEEDS, ANGLES)
def test_a_connected_shape_is_sewn_without_a_jump_and_within_its_compensation(seed: int, angle: float) -> None:
    shape = random_shape(seed)
    trail = lay_sewing(fill(shape, angle, pull_mm=0.2, push_mm=0.2, underlay=UNDER), TRADE)
    assert jumps(trail) == 0
    assert outside_mm(trail, shape.buffer(0.2, quad_segs=32)) <= 0.02


@FEW
@given(SEEDS, ANGLES)
def test_a_full_fill_covers_its_part_and_little_else(seed: int, angle: float) -> None:
    shape = random_shape(seed)
    for pull, push in ((0.1, 0.1), (0.4, 0.4)):  # leather's, the table's least; fleece's
        trail = lay_sewing(fill(shape, angle, pull_mm=pull, push_mm=push), TRADE)
        assert cover_of(trail, aimed(shape, angle, push), FLAT) >= 0.98
        assert beyond_of(trail, shape, shape.buffer(pull, join_style="mitre"), FLAT) <= 0.01


@FEW
@given(SEEDS, ANGLES)
def test_travel_lies_under_later_rows(seed: int, angle: float) -> None:
    shape = random_shape(seed)
    trail = lay_sewing(fill(shape, angle, pull_mm=0.1, underlay=UNDER), TRADE)
    assert bare_travel(trail, shape, FLAT) <= bare_at_most(trail)


@FEW
@given(SEEDS, st.integers(0, 35), st.booleans())
def test_turning_and_mirroring_the_part_turns_and_mirrors_the_stitches(seed: int, turn: int, mirrored: bool) -> None:
    shape, angle_deg = random_shape(seed), 20.0
    start = (shape.bounds[0] - 0.123, shape.bounds[1] - 0.077)
    plan = FillPlan(angle_deg, 0.4, 4.0, 0.15, 0.2)
    cos, sin = direction(7.3 * turn)
    sign = -1.0 if mirrored else 1.0
    matrix = np.array([[cos, sign * -sin], [sin, sign * cos]])
    along = matrix @ np.array(direction(angle_deg))
    turned = affine_transform(shape, [*matrix.ravel(), 0.0, 0.0])
    turned_plan = FillPlan(float(np.degrees(np.arctan2(-along[1], along[0]))), 0.4, 4.0, 0.15, 0.2)
    one = lay_fill(shape, plan, TRADE, start=start)
    two = lay_fill(turned, turned_plan, TRADE, start=tuple(matrix @ np.array(start)))
    assert len(one.xy) == len(two.xy)
    assert np.abs(one.xy @ matrix.T - two.xy).max() < 1e-6
    assert (one.move == two.move).all()


@FEW
@given(SEEDS, ANGLES)
def test_needle_points_line_up_again_at_every_fourth_line_at_the_soonest(seed: int, angle: float) -> None:
    shape = random_shape(seed)
    plan = FillPlan(angle, 0.4, 4.0)
    ground = ground_of(shape, plan, TRADE)
    trail = lay_fill(shape, plan, TRADE)
    uv = ground.frame.inward(trail.xy)
    row = np.round((uv[:, 1] - ground.pieces.rows.first_v) / ground.pieces.rows.pitch).astype(int)
    same = (row[:-2] == row[1:-1]) & (row[1:-1] == row[2:])
    inner = np.concatenate([[False], same & (trail.lay[2:] == Lay.TOP) & (trail.lay[:-2] == Lay.TOP), [False]])
    u, row = uv[inner, 0], row[inner]
    for apart in (1, 2, 3):
        near = np.abs(u[:, None] - u[None, :])[row[:, None] + apart == row[None, :]]
        assert near.size == 0 or near.min() > 0.2


@FEW
@given(SEEDS, ANGLES)
def test_count_and_thread_follow_the_rows_over_the_shape(seed: int, angle: float) -> None:
    count, thread = off_the_form(seed, angle)
    assert abs(count) <= 0.03
    assert abs(thread) <= 0.03


@FEW
@given(SEEDS, ANGLES)
def test_thread_follows_area_over_spacing(seed: int, angle: float) -> None:
    shape = random_shape(seed)
    plan = FillPlan(angle, 0.4, 4.0)
    trail, ground = lay_fill(shape, plan, TRADE), ground_of(shape, plan, TRADE)
    sewn = (trail.lay[1:] == Lay.TOP) & (trail.move[1:] == Move.SEW)
    assert np.abs(np.diff(ground.frame.inward(trail.xy)[:, 0]))[sewn].sum() == pytest.approx(shape.area / 0.2, rel=0.05)


def test_twice_the_spacing_takes_half_the_stitches() -> None:
    counts = [len(lay_fill(box(0, 0, 60, 60), FillPlan(10.0, s, 4.0), TRADE).xy) for s in (0.4, 0.8)]
    assert counts[0] / counts[1] == pytest.approx(2.0, rel=0.03)


def test_it_begins_where_it_is_told_and_ends_in_the_piece_it_is_told() -> None:
    comb = box(0, 0, 20, 4) | box(0, 0, 4, 14) | box(16, 0, 20, 14)
    trail = lay_sewing(fill(comb, 0.0), TRADE, start=(18, 13.5), end=(2, 13.5))
    assert np.hypot(*(trail.xy[0] - [18, 13.5])) < 3
    assert np.hypot(*(trail.xy[-1] - [2, 13.5])) < 3


def test_parts_that_do_not_touch_are_joined_by_a_trim() -> None:
    apart = MultiPolygon([box(0, 0, 5, 5), box(9, 0, 14, 5)])
    trail = lay_sewing(fill(apart), TRADE)
    assert (trail.move[1:] == Move.TRIM).sum() == 1
    assert jumps(trail) == 1


def test_a_hole_stays_open() -> None:
    ring = Point(0, 0).buffer(10) - Point(1, 0).buffer(3)
    trail = lay_sewing(fill(ring, 30.0, pull_mm=0.2, push_mm=0.2, underlay=UNDER), TRADE)
    lines = shapely.linestrings(np.stack([trail.xy[:-1], trail.xy[1:]], axis=1))
    assert not shapely.intersects(Point(1, 0).buffer(2.5), lines).any()


@pytest.mark.parametrize("angle", [0.0, 45.0, 90.0, 135.0])
def test_pull_lengthens_rows_and_push_holds_back_across_them(angle: float) -> None:
    square = rotate(box(-10, -10, 10, 10), -angle, origin=(0, 0))
    trail = lay_sewing(fill(square, angle, pull_mm=0.3, push_mm=0.4), TRADE)
    uv = frame_of(square, angle, None).inward(trail.xy)
    assert np.abs(uv[:, 0]).max() == pytest.approx(10.3, abs=0.01)
    assert np.abs(uv[:, 1]).max() == pytest.approx(9.6 - 0.1, abs=0.02)  # half a line inside the edge


def test_the_same_fill_twice_is_the_same_to_the_last_bit() -> None:
    trails: list[Trail] = [lay_sewing(fill(random_shape(6), 33.0, underlay=UNDER), TRADE) for _ in range(2)]
    assert trails[0].xy.tobytes() == trails[1].xy.tobytes()


@pytest.mark.parametrize("start", [(0, 0), (5, 0), (2.5, 7), (2.5, 12), (0, 18)])
@pytest.mark.parametrize("angle", [0.0, 30.0])
@pytest.mark.parametrize("under", [(), UNDER])
def test_through_a_neck_without_rows_thread_goes_straight_from_one_half_to_the_other(
    under: tuple[Underlay, ...], angle: float, start: tuple[float, float]
) -> None:
    """The half sewn first ends at the neck: at most the neck and a row of 6 mm lie bare, not the way back over it."""
    halves = [
        (0, 0),
        (5, 0),
        (5, 7),
        (2.6, 8),
        (2.6, 9),
        (5, 10),
        (6, 18),
        (0, 18),
        (0, 10),
        (2.4, 9),
        (2.4, 8),
        (0, 7),
    ]
    shape = Polygon(halves)
    trail = lay_sewing(fill(shape, angle, underlay=under), TRADE, start=start)
    assert jumps(trail) == 0
    assert bare_travel(trail, shape, FLAT) < 6.0


@pytest.mark.parametrize("angle", [0.0, 30.0, 75.0])
def test_rows_of_an_underlay_turn_round_a_bay_within_its_edge(angle: float) -> None:
    # the shape whose turns lay on the edge itself, where a top held back by push leaves them bare
    bay = Point(0, 0).buffer(9) - box(-2, -10, 2, 3) - Point(5, 3).buffer(1.5)
    under = (Underlay("nap-rows", 0.5, 1.5, 90.0), Underlay("rows", 0.5, 2.5, 75.0))
    trail = lay_sewing(fill(bay, angle, pull_mm=0.15, push_mm=0.2, underlay=under), TRADE)
    within = bay.buffer(-0.25)
    steps = [
        shapely.LineString(trail.xy[i : i + 2])
        for i in range(len(trail.xy) - 1)
        if trail.lay[i] == trail.lay[i + 1] == Lay.UNDERLAY
    ]
    out = [step.difference(within).length for step in steps]
    assert max(out) < 0.6  # a turn cuts a corner of the bay by no more than that
    assert sum(out) < 0.02 * sum(step.length for step in steps)
