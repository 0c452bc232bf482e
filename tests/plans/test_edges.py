"""Who runs under whom, and how far: the trade's overlaps, never less than what the cloth lets drift."""

from __future__ import annotations

import pytest
from shapely import box

from analyse.trade import default_trade
from plans.edges import Reach, reach_under, run_beneath
from plans.job import Job
from plans.layers import Recipe, plan_sewings, survey
from tests.drawing_fixture import Piece, bold_mark, crest, ring, scaled_beast, sized

TRADE = default_trade()


def test_a_fill_runs_further_under_at_its_row_ends_than_along_its_rows() -> None:
    """Common practice, no source: 0.8 mm at row ends, 0.4 mm along first and last rows."""
    square, world = box(0, 0, 10, 10), box(-10, -10, 20, 20)
    low_x, low_y, high_x, high_y = run_beneath(square, Reach(0.8, 0.4), 0.0, world).bounds
    assert (low_x, high_x) == pytest.approx((-0.8, 10.8), abs=0.01)
    assert (low_y, high_y) == pytest.approx((-0.4, 10.4), abs=0.01)
    upright = run_beneath(square, Reach(0.8, 0.4), 90.0, world).bounds
    assert upright == pytest.approx((-0.4, -0.8, 10.4, 10.8), abs=0.01)


def test_nothing_is_gained_but_under_the_neighbour() -> None:
    gained = run_beneath(box(0, 0, 10, 10), Reach(0.8, 0.8), 0.0, box(10, 0, 20, 10))
    assert gained.bounds == pytest.approx((0, 0, 10.8, 10), abs=1e-6)


@pytest.mark.parametrize("cloth", TRADE.names("cloth"))
def test_a_fill_under_a_fill_never_overlaps_by_less_than_the_drift(cloth: str) -> None:
    drift = TRADE.cloth(cloth).drift_mm
    under, over = sized(bold_mark()).parts
    reach = reach_under(under, over, TRADE, drift, "40")
    assert min(reach.ends_mm, reach.rows_mm) >= drift
    assert reach.ends_mm >= 0.8
    assert reach.rows_mm >= 0.4


@pytest.mark.parametrize(("width_mm", "beneath_mm"), [(1.0, 0.8), (1.5, 0.8), (2.0, 1.0), (3.0, 1.5)])
def test_what_a_border_closes_runs_under_half_of_it_and_08_mm_at_least(width_mm: float, beneath_mm: float) -> None:
    """Images Magazine, February 2022, p. 69 (1 mm for a border of 2 mm); 0.8 mm at least: common practice."""
    drawing = sized([Piece("navy", box(0, 0, 60, 60), "fill"), ring("gold", (30, 30), 20, width_mm, inside=0)])
    fill = next(part for part in drawing.parts if part.kind == "fill")
    border = next(part for part in drawing.parts if part.kind == "column")
    assert reach_under(fill, border, TRADE, 0.3, "40").ends_mm == pytest.approx(beneath_mm)


@pytest.mark.parametrize("pieces", [bold_mark, crest, scaled_beast])
def test_every_shared_edge_is_planned_and_holds_on_twill(pieces: object) -> None:
    drawing = sized(pieces())  # type: ignore[operator]
    ground = survey(drawing, Job())
    edges = plan_sewings(ground, Recipe("side-by-side", "beside")).edges
    shared = ground.shared[:, :-1]
    met = {(i, j) for i in range(len(shared)) for j in range(i) if shared[i, j] + shared[j, i] > 2.0}
    assert met <= {tuple(sorted(edge.parts, reverse=True)) for edge in edges}
    assert all(edge.state == "holds" for edge in edges)


def test_butted_running_lines_are_said_to_drift_apart() -> None:
    drawing = sized(bold_mark())
    edges = plan_sewings(survey(drawing, Job()), Recipe("line-work", "lines")).edges
    assert {edge.under for edge in edges} == {None}
    assert {edge.state for edge in edges} == {"lost"}


@pytest.mark.parametrize("reach", [Reach(0.0, 0.4), Reach(0.8, 0.0), Reach(0.0, 0.0)])
def test_a_shop_may_let_nothing_run_under(reach: Reach) -> None:
    square, world = box(0, 0, 10, 10), box(-10, -10, 20, 20)
    low_x, low_y, high_x, high_y = run_beneath(square, reach, 30.0, world).bounds
    furthest = max(reach.ends_mm, reach.rows_mm)
    assert min(low_x, low_y) >= -furthest - 0.05
    assert max(high_x, high_y) <= 10 + furthest + 0.05
