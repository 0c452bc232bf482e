"""What a sewing wears, against the trade's own figures (common practice, no source, unless named)."""

from __future__ import annotations

import numpy as np
import pytest

from analyse.trade import default_trade
from plans.layers import dressing

TRADE = default_trade()
CLOTHS = TRADE.names("cloth")


@pytest.mark.parametrize(("stitch_mm", "pull_mm"), [(1.0, 0.15), (2.0, 0.15), (3.0, 0.225), (4.0, 0.30), (9.0, 0.30)])
def test_pull_grows_with_the_stitch(stitch_mm: float, pull_mm: float) -> None:
    assert dressing.pull(TRADE.cloth("pique-knit"), TRADE, stitch_mm) == pytest.approx(pull_mm)


@pytest.mark.parametrize("name", CLOTHS)
def test_lettering_never_gains_more_than_02_a_side(name: str) -> None:
    assert dressing.pull(TRADE.cloth(name), TRADE, 7.0, letter=True) <= 0.20


@pytest.mark.parametrize("name", CLOTHS)
@pytest.mark.parametrize("gap_mm", [0.3, 0.5, 0.7, 1.0])
def test_no_gap_closes_under_half_a_millimetre(name: str, gap_mm: float) -> None:
    cloth = TRADE.cloth(name)
    pull_mm = dressing.pull(cloth, TRADE, 5.0, gap_mm=gap_mm)
    widen_mm = dressing.widen(0.6, pull_mm, TRADE, TRADE.cloth("twill"), "40", gap_mm)
    assert gap_mm - 2 * (pull_mm + widen_mm) >= min(0.5, gap_mm) - 1e-9


def test_a_stroke_of_07_is_widened_by_005_a_side_on_twill() -> None:
    pull_mm = dressing.pull(TRADE.cloth("twill"), TRADE, 0.7)
    assert dressing.widen(0.7, pull_mm, TRADE, TRADE.cloth("twill"), "40") == pytest.approx(0.05)


@pytest.mark.parametrize(("sewn_mm", "spacing_mm"), [(1.2, 0.45), (1.5, 0.40), (3.9, 0.40), (4.0, 0.38)])
def test_a_columns_spacing_falls_with_its_width(sewn_mm: float, spacing_mm: float) -> None:
    """0.40: Printwear, December 2016, p. 31."""
    assert dressing.column_spacing(TRADE, TRADE.cloth("twill"), "40", sewn_mm) == pytest.approx(spacing_mm)


def test_thinner_thread_lies_closer_and_leather_further() -> None:
    """60 weight: spacings x 0.8, Printwear, October 2016, p. 59."""
    twill, leather = TRADE.cloth("twill"), TRADE.cloth("leather")
    assert dressing.fill_spacing(TRADE, twill, "60") == pytest.approx(0.32)
    assert dressing.fill_spacing(TRADE, leather, "40") == pytest.approx(0.48)
    assert dressing.fill_spacing(TRADE, twill, "40", base=True) == pytest.approx(0.60)
    assert dressing.fill_spacing(TRADE, twill, "40", base=True, strong=True) == pytest.approx(0.50)


def test_a_column_opens_over_a_base_and_closes_again_over_contrast() -> None:
    twill = TRADE.cloth("twill")
    assert 0.50 <= dressing.column_spacing(TRADE, twill, "40", 2.0, over="base") <= 0.60
    assert 0.40 <= dressing.column_spacing(TRADE, twill, "40", 2.0, over="contrast") <= 0.45


@pytest.mark.parametrize(
    ("sewn_mm", "kinds"), [(1.5, ["centre-run"]), (3.0, ["edge-run"]), (5.0, ["edge-run", "zigzag"])]
)
def test_a_columns_underlay_by_its_width(sewn_mm: float, kinds: list[str]) -> None:
    """Images Magazine, February 2022; common practice."""
    made = dressing.column_underlay(TRADE, TRADE.cloth("twill"), sewn_mm)
    assert [layer.kind for layer in made] == kinds


def test_columns_on_a_base_need_little_underlay() -> None:
    twill = TRADE.cloth("twill")
    assert dressing.column_underlay(TRADE, twill, 1.5, on_base=True) == ()
    assert [layer.kind for layer in dressing.column_underlay(TRADE, twill, 3.0, on_base=True)] == ["centre-run"]


def test_a_fills_underlay_by_cloth_and_area() -> None:
    made = {name: dressing.fill_underlay(TRADE, TRADE.cloth(name), 20.0, 400.0) for name in CLOTHS}
    assert [layer.kind for layer in made["twill"]] == ["edge-run", "rows"]
    assert made["twill"][1].angle_deg == pytest.approx(110.0)
    assert [layer.angle_deg for layer in made["jersey"][1:]] == pytest.approx([65.0, 155.0])
    assert made["towelling"][0].kind == "nap-rows"
    assert [layer.kind for layer in made["leather"]] == ["edge-run"]
    assert [layer.kind for layer in dressing.fill_underlay(TRADE, TRADE.cloth("jersey"), 20.0, 20.0)] == ["edge-run"]


def test_a_loose_base_has_an_edge_run_and_open_rows_on_knits_only() -> None:
    kinds = {
        name: [layer.kind for layer in dressing.fill_underlay(TRADE, TRADE.cloth(name), 0.0, 400.0, base=True)]
        for name in ("twill", "jersey")
    }
    assert kinds == {"twill": ["edge-run"], "jersey": ["edge-run", "rows"]}


def test_nothing_is_compensated_backwards() -> None:
    assert dressing.pull(TRADE.cloth("fleece"), TRADE, 4.0, gap_mm=0.1) == 0.0
    assert dressing.widen(3.0, 0.3, TRADE, TRADE.cloth("twill"), "40", np.inf) == 0.0


def test_on_leather_a_column_is_as_wide_as_its_shortest_stitch_is_long() -> None:
    """Common practice, no source: holes nearer than 1.5 mm cut leather through."""
    leather = TRADE.cloth("leather")
    assert dressing.widen(1.0, 0.1, TRADE, leather, "40") == pytest.approx(0.15)
    assert dressing.widen(1.6, 0.1, TRADE, leather, "40") == 0.0
