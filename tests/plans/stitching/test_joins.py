"""Ties, moves and what they may never do: trade facts (common practice, no source)."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, box

from analyse.trade import default_trade
from plans.stitching.dot import dot_points, is_dot
from plans.stitching.joins import move_between, tied
from plans.stitching.laying import lay_sewing
from plans.values import Lay, Move, Sewing, Trail, Underlay
from tests.plans.stitching.laws import jumps, steps_mm
from tests.plans.stitching.shapes import random_shape
from tests.plans.stitching.spines import band, line, outline, random_spine

TRADE = default_trade()
FEW = settings(derandomize=True, deadline=None, max_examples=20)


def sewings(seed: int) -> list[Sewing]:
    one = random_spine(seed)
    return [
        Sewing(0, 0, "fill", "body", 0, random_shape(seed), angle_deg=20.0, underlay=(Underlay("edge-run", 0.5),)),
        Sewing(0, 0, "column", "body", 0, outline(one), spines=(one,), spacing_mm=0.4),
        Sewing(0, 0, "column", "body", 0, outline(one), spines=(one,), underlay=(Underlay("centre-run"),)),
        Sewing(0, 0, "running", "body", 0, outline(one), spines=(one,), passes=2, stitch_mm=2.5),
        Sewing(0, 0, "column", "detail", 0, Point(3, 4).buffer(0.5)),
    ]


def crowd(trail: Trail, within_mm: float = 0.3) -> int:
    points = shapely.points(trail.xy)
    return int(np.bincount(shapely.STRtree(points).query(points, "dwithin", distance=within_mm)[0]).max())


@FEW
@given(st.integers(0, 200))
def test_ties_are_short_stitches_within_the_trail_that_form_no_lump(seed: int) -> None:
    for sewing in sewings(seed):
        trail = lay_sewing(sewing, TRADE)
        ended = tied(trail, TRADE)
        ties = ended.lay == Lay.TIE
        low, high = TRADE.rows["tie.count"]["range"]
        dot = is_dot(sewing.shape, TRADE)  # its own stitches are hardly longer than a tie: fewer hold it
        assert (3 if dot else 2 * low) <= ties.sum() <= 2 * high
        assert steps_mm(ended, Lay.TIE).min() >= TRADE.value("tie.shortest") - 1e-9
        assert steps_mm(ended, Lay.TIE).max() <= 2.0
        assert steps_mm(ended).min() >= TRADE.value("stitch.never_under")
        lines = shapely.linestrings(np.stack([trail.xy[:-1], trail.xy[1:]], axis=1))
        assert shapely.STRtree(lines).query(shapely.points(ended.xy[ties]), "dwithin", distance=1e-6).shape[1] >= 1
        assert crowd(ended) <= crowd(trail) + 2
        assert ended.move[0] == Move.JUMP


def test_every_stretch_between_trims_is_tied_by_itself() -> None:
    apart = MultiPolygon([box(0, 0, 5, 5), box(9, 0, 14, 5)])
    ended = tied(lay_sewing(Sewing(0, 0, "fill", "body", 0, apart, angle_deg=0.0), TRADE), TRADE)
    assert (ended.lay == Lay.TIE).sum() == 4 * TRADE.value("tie.count")
    cut = int(np.flatnonzero(ended.move == Move.TRIM)[0])
    assert ended.lay[cut - 1] == ended.lay[cut] == Lay.TIE


@pytest.mark.parametrize("width", [1.0, 1.2, 1.4])
def test_a_dot_is_grown_to_what_holds_in_a_handful_of_stitches(width: float) -> None:
    dot = Point(2, 3).buffer(width / 2)
    assert is_dot(dot, TRADE)
    points = dot_points(dot, 0.0, None, TRADE)
    low, high = TRADE.rows["dot.stitches"]["range"]
    least, most = TRADE.rows["dot.sewn"]["range"]
    assert low <= len(points) - 1 <= high
    assert least <= np.ptp(points[:, 0]) <= most
    assert np.hypot(*np.diff(points, axis=0).T).min() >= TRADE.value("stitch.shortest_shaped")
    assert np.allclose((points.min(axis=0) + points.max(axis=0)) / 2, [2, 3], atol=0.1)


def test_a_move_goes_hidden_where_it_can_and_is_trimmed_where_it_would_show() -> None:
    ground = box(0, 0, 40, 10)
    hidden = move_between((1, 5), (16, 5), hidden=ground, same_thread=True, trade=TRADE)
    assert (hidden.move == Move.TRAVEL).all()
    assert np.hypot(*np.diff(np.vstack([[1, 5], hidden.xy]), axis=0).T).max() <= TRADE.value("travel.stitch") + 1e-9
    for case in ({"hidden": None, "same_thread": True}, {"hidden": ground, "same_thread": False}):
        shown = move_between((1, 5), (16, 5), trade=TRADE, **case)  # type: ignore[arg-type]
        assert shown.move.tolist() == [Move.TRIM]
    far = move_between((1, 5), (39, 5), hidden=ground, same_thread=True, trade=TRADE)
    assert far.move.tolist() == [Move.TRIM]
    near = move_between((1, 5), (2.5, 5), hidden=None, same_thread=True, trade=TRADE)
    assert near.move.tolist() == [Move.JUMP]


def test_travel_never_crosses_a_gap() -> None:
    apart = MultiPolygon([box(0, 0, 5, 5), box(9, 0, 14, 5)])
    moved = move_between((4, 2), (10, 2), hidden=apart, same_thread=True, trade=TRADE)
    assert moved.move.tolist() == [Move.TRIM]


@pytest.mark.parametrize(
    "shape", [box(0, 0, 0.2, 0.2), box(0, 0, 30, 0.1), Point(0, 0).buffer(0.05)], ids=["speck", "hair", "grain"]
)
@pytest.mark.parametrize("kind", ["fill", "column", "running"])
def test_what_is_too_small_to_sew_lays_little_or_nothing_and_never_fails(shape: object, kind: str) -> None:
    sewing = Sewing(
        0, 0, kind, "body", 0, shape, angle_deg=45.0, underlay=(Underlay("edge-run", 0.5),) if kind == "fill" else ()
    )  # type: ignore[arg-type]
    trail = lay_sewing(sewing, TRADE)
    assert len(trail.xy) < 400
    assert jumps(trail) == 0


def test_a_spine_of_two_points_is_enough() -> None:
    short = band(line((0, 0), (0.3, 0)), 1.2)
    trail = lay_sewing(Sewing(0, 0, "column", "body", 0, outline(short), spines=(short,), spacing_mm=0.4), TRADE)
    assert len(trail.xy) >= 2


def test_a_cut_inside_a_trail_stays_a_cut_even_where_no_tie_fits_behind_it() -> None:
    xy = np.array([[0.0, 0.0], [3.0, 0.0], [6.0, 0.0], [22.0, 0.0], [22.4, 0.0]])
    move = np.array([Move.JUMP, Move.SEW, Move.SEW, Move.TRIM, Move.SEW], np.uint8)
    made = tied(Trail(xy, move, np.full(5, Lay.TOP, np.uint8)), TRADE)
    steps = np.hypot(*np.diff(made.xy, axis=0).T)
    assert (made.move == Move.TRIM).sum() == 1
    assert steps[made.move[1:] == Move.SEW].max() < 4


@pytest.mark.parametrize("kind", ["fill", "column", "running"])
@settings(FEW, max_examples=6)
@given(st.integers(0, 200))
def test_on_leather_no_stitch_but_a_tie_is_shorter_than_its_holes_allow(kind: str, seed: int) -> None:
    leather, one = TRADE.cloth("leather"), random_spine(seed)
    more = {"shortest_mm": leather.shortest_mm, "pull_mm": leather.pull_mm, "push_mm": leather.push_mm}
    under = (Underlay("edge-run", 0.5),)
    sewing = {
        "fill": Sewing(0, 0, "fill", "body", 0, random_shape(seed), angle_deg=20.0, underlay=under, **more),
        "column": Sewing(0, 0, "column", "body", 0, outline(one), spines=(one,), spacing_mm=0.48, **more),
        "running": Sewing(0, 0, "running", "body", 0, outline(one), spines=(one,), stitch_mm=2.5, passes=2, **more),
    }[kind]
    trail = lay_sewing(sewing, TRADE)
    assert steps_mm(trail).min() >= 1.5 - 1e-9
    assert steps_mm(trail).max() <= TRADE.value("kind.split_over")
    assert jumps(trail) == 0


@pytest.mark.parametrize("width", [1.0, 1.3, 2.0, 3.0])
def test_no_stitch_on_leather_is_shorter_than_its_holes_bear_not_even_a_tie(width: float) -> None:
    """Common practice: needle holes in leather never close; 1.5 mm at least from one to the next."""
    leather = TRADE.cloth("leather")
    one = band(line((0, 0), (20, 0)), width)
    asked = {"spacing_mm": 0.48, "pull_mm": leather.pull_mm, "shortest_mm": leather.shortest_mm}
    trail = lay_sewing(Sewing(0, 0, "column", "body", 0, outline(one), spines=(one,), **asked), TRADE)  # type: ignore[arg-type]
    whole = tied(trail, TRADE, leather.shortest_mm)
    assert steps_mm(whole).min() >= 1.5 - 1e-6
    assert len(steps_mm(whole, Lay.TIE)) >= 4


def test_a_narrow_column_on_leather_is_an_even_open_zigzag() -> None:
    one = band(line((0, 0), (20, 0)), 1.0)
    sewing = Sewing(
        0, 0, "column", "body", 0, outline(one), spines=(one,), spacing_mm=0.48, pull_mm=0.1, shortest_mm=1.5
    )
    steps = steps_mm(lay_sewing(sewing, TRADE), Lay.TOP)
    assert steps.max() - steps.min() < 0.05
