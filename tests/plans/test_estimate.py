"""The estimate against published figures and hand geometry. Rates and spans of the trade come from its table."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from analyse.trade import default_trade, with_own
from plans.estimate import count, estimate, rules_of_thumb, span_parts
from plans.estimate.clock import piece_minutes, run_minutes
from plans.estimate.thread_use import column_in_thirds_m, lockstitch_m
from plans.values import Lay, Move, Stitches
from tests.plans.sewout.pieces import line, rows, sew, sized_of, zigzag

PUBLISHED = Path(__file__).parents[1] / "published/stitch_closed_forms.csv"
CASES = [row for row in csv.DictReader(PUBLISHED.read_text(encoding="utf-8").splitlines()) if row["value"]]
SIZED = sized_of([(20, 40, 90), (200, 30, 40)], (60.0, 60.0))
TRADE = default_trade()


def figures(text: str) -> dict[str, float]:
    return {name: float(value) for name, value in (part.split("=") for part in text.split(";") if "=" in part)}


def of(start: str) -> list[dict[str, str]]:
    found = [case for case in CASES if case["case"].startswith(start)]
    assert found
    return found


@pytest.mark.parametrize("case", of("lockstitch"), ids=lambda case: f"{case['case']} {case['quantity']}")
def test_lockstitch_thread_as_the_handbooks_reckon_it(case: dict[str, str]) -> None:
    """ISO 4915 type 301; link in mid cloth or at the underside."""
    given = figures(case["params"])
    link = "middle" if "balanced" in case["case"] else "underside"
    needle, bobbin = lockstitch_m(np.full(1000, given["l"]), given["T"], link)
    asked = bobbin if case["quantity"].startswith("bobbin") else needle
    assert asked == pytest.approx(float(case["value"]), rel=1e-12)


@pytest.mark.parametrize("case", of("column-thirds"), ids=lambda case: f"{case['case']} {case['quantity']}")
def test_a_column_shows_its_threads_in_thirds_beneath(case: dict[str, str]) -> None:
    given = figures(case["params"])
    needle, bobbin = column_in_thirds_m(1000, given["w"], given["s"], given["T"])
    asked = bobbin if case["quantity"].startswith("bobbin") else needle
    assert asked == pytest.approx(float(case["value"]), abs=1e-4)


@pytest.mark.parametrize("case", of("time-"), ids=lambda case: case["case"])
def test_machine_time(case: dict[str, str]) -> None:
    given = figures(case["params"])
    minutes = run_minutes(
        given["N"], given["spm"], int(given["trims"]), given["trim_s"], int(given["changes"]), given["change_s"]
    )
    assert minutes == pytest.approx(float(case["value"]), abs=1e-4)


def test_stitches_of_three_millimetres_take_the_published_five_and_three_metres() -> None:
    """Published pair: about 5 m of top and 3 m of bobbin thread per 1,000 (a thread maker's online glossary)."""
    stitches, steps = sew([(line((0, 0), (3000, 0), 3.0), "running", 0, Lay.TOP)])
    cost = estimate(stitches, steps, SIZED)
    assert cost.stitches == 1000
    assert cost.thread_m / (1 + TRADE.value("thread.waste")) == pytest.approx(5.0, rel=1e-6)
    assert cost.bobbin_m == pytest.approx(3.0, rel=1e-6)


def badge() -> tuple[Stitches, tuple]:
    return sew(
        [
            (rows(0, 0, 30, 30, pitch=2.5), "fill", 0, Lay.UNDERLAY),
            (rows(0, 0, 30, 30), "fill", 0, Lay.TOP),
            (zigzag(5, 10, 20, 3), "column", 1, Lay.TOP),
            (line((2, 2), (28, 2)), "running", 0, Lay.TOP),
        ]
    )


def test_every_count_adds_up_to_all_stitches() -> None:
    stitches, steps = badge()
    counts, cost = count(stitches, steps), estimate(stitches, steps, SIZED)
    sewn = int((stitches.move == Move.SEW).sum())
    assert counts.stitches == cost.stitches == sewn
    for split in (counts.by_kind, counts.by_lay, counts.by_layer, counts.by_thread, cost.by_lay):
        assert sum(split.values()) == sewn
    assert counts.by_kind["column"] == 100
    assert (cost.trims, cost.jumps, cost.colour_changes) == (3, 0, 2)
    assert sum(cost.thread_each_m) == pytest.approx(cost.thread_m)


def test_loose_jumps_take_thread_but_are_no_stitches() -> None:
    xy = np.array([[0.0, 0], [2, 0], [12, 0], [14, 0]])
    move = np.array([Move.JUMP, Move.SEW, Move.JUMP, Move.SEW], np.uint8)
    stitches = Stitches(xy, move, np.full(4, Lay.TOP, np.uint8), np.zeros(4, np.int32))
    _, steps = sew([(xy, "running", 0, Lay.TOP)])
    cost = estimate(stitches, steps, SIZED)
    assert (cost.stitches, cost.jumps) == (2, 1)
    assert cost.thread_m == pytest.approx(1.05 * (2 + 10 + 2 + 2 * 2 * 1.0) / 1000)
    assert sum(cost.thread_each_m) == pytest.approx(cost.thread_m)
    assert cost.bobbin_m == pytest.approx(4 / 1000)


def test_long_stitches_and_colours_beyond_the_needles_take_longer() -> None:
    short, long = np.full(1000, 3.0), np.full(1000, 8.0)
    plain = piece_minutes(short, 0, 0, 1, TRADE, "flat")
    assert piece_minutes(long, 0, 0, 1, TRADE, "flat") > plain
    assert piece_minutes(short, 0, 0, 16, TRADE, "flat") > piece_minutes(short, 0, 0, 15, TRADE, "flat") == plain
    assert piece_minutes(short, 0, 0, 1, TRADE, "cap") > plain


def test_more_heads_share_the_run_but_not_the_hooping() -> None:
    six = with_own(TRADE, {"machine.heads": 6}, "shop.toml")
    short = np.full(6000, 3.0)
    hooping = TRADE.value("machine.hooping", frame="flat") / 60
    one, shared = (piece_minutes(short, 4, 2, 3, trade, "flat") - hooping for trade in (TRADE, six))
    assert shared == pytest.approx(one / 6)


def test_there_is_no_price_without_the_shops_own_rates() -> None:
    stitches, steps = badge()
    assert estimate(stitches, steps, SIZED).price is None
    own = with_own(TRADE, {"price.thousand": 1.5, "price.piece": 2.0}, "shop.toml")
    cost = estimate(stitches, steps, replace(SIZED, trade=own))
    assert cost.price == pytest.approx(2.0 + 1.5 * cost.stitches / 1000)
    least = with_own(own, {"price.least": 50.0}, "shop.toml")
    assert estimate(stitches, steps, replace(SIZED, trade=least)).price == 50.0


def test_the_span_holds_the_count_and_says_what_it_is_made_of() -> None:
    stitches, steps = badge()
    cost = estimate(stitches, steps, SIZED)
    fewest, most = cost.span
    assert fewest < cost.stitches < most
    parts = span_parts(stitches, steps, TRADE)
    assert {part.choice for part in parts} >= {"fill stitch", "spacing", "underlay"}
    assert all(part.fewer >= 0 and part.more >= 0 for part in parts)


def test_the_span_of_a_plain_fill_holds_the_published_grades_of_work() -> None:
    """710, 839 and 1,032 stitches per square inch: Estimating Stitches, chholderby.com (seminar of 1990)."""
    stitches, steps = sew([(rows(0, 0, 76.2, 76.2), "fill", 0, Lay.TOP)])
    cost = estimate(stitches, steps, SIZED)
    assert cost.span[0] / 9 <= 710
    assert cost.span[1] / 9 >= 1032
    assert cost.stitches / 9 == pytest.approx(839, rel=0.05)


def test_the_span_of_one_square_inch_holds_the_rules_for_an_inch() -> None:
    """1,000 (theembroiderybusiness.com, 2012) to 1,200 (petiterepublic.com); small shapes end in part stitches."""
    stitches, steps = sew([(rows(0, 0, 25.4, 25.4), "fill", 0, Lay.TOP)])
    cost = estimate(stitches, steps, SIZED)
    assert cost.span[0] <= 1000
    assert cost.span[1] >= 1200
    assert cost.stitches == pytest.approx(1000, rel=0.05)


def test_a_shops_own_stitch_takes_its_span_along() -> None:
    """A shop that sews fills at 3 mm is held to what passes about 3 mm, not to what passes about 4."""
    stitches, steps = sew([(rows(0, 0, 76.2, 76.2), "fill", 0, Lay.TOP)])
    (usual,), (own,) = (
        [part for part in span_parts(stitches, steps, trade) if part.choice == "fill stitch"]
        for trade in (TRADE, with_own(TRADE, {"fill.stitch": 3.0}, "shop.toml"))
    )
    assert (own.fewer, own.more) == (pytest.approx(usual.fewer), pytest.approx(usual.more))


@settings(derandomize=True, deadline=None, max_examples=20)
@given(st.floats(0.5, 9.0), st.integers(1, 3000), st.integers(0, 40), st.integers(0, 12), st.integers(1, 12))
def test_minutes_add_up_and_grow_with_every_cause(
    length_mm: float, stitches: int, trims: int, changes: int, heads: int
) -> None:
    """Hooping, and the run at efficiency over the heads; more stitches, trims or changes never take less."""
    trade = with_own(TRADE, {"machine.heads": heads}, "shop.toml")

    def minutes(more: int = 0, cut: int = 0, changed: int = 0) -> float:
        return piece_minutes(np.full(stitches + more, length_mm), trims + cut, changes + changed, 1, trade, "flat")

    slow = 1 / TRADE.value("machine.slow_share") if length_mm > TRADE.value("machine.slow_over") else 1.0
    run = stitches * slow / 750 + (trims * 7 + changes * 10) / 60
    assert minutes() == pytest.approx(1.0 + run / 0.8 / heads)
    assert min(minutes(more=1), minutes(cut=1), minutes(changed=1)) > minutes()


def test_the_rules_of_thumb_stand_beside_the_count_with_source_and_reason() -> None:
    stitches, steps = badge()
    fill = replace(steps[1], sewing=replace(steps[1].sewing, shape=box(0, 0, 30, 30)))
    steps = (replace(steps[0], sewing=replace(steps[0].sewing, shape=box(0, 0, 0, 0))), fill, *steps[2:])
    rules = rules_of_thumb(stitches, steps, estimate(stitches, steps, SIZED))
    assert all(rule.source and rule.why and rule.theirs[0] <= rule.theirs[1] for rule in rules)
    (grades,) = [rule for rule in rules if "three grades" in rule.name]
    assert grades.theirs == pytest.approx((710 * 900 / 645.16, 1032 * 900 / 645.16))
    assert grades.theirs[0] < grades.ours < 1.3 * grades.theirs[1]
