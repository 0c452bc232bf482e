"""What the report says of feel and cost: every figure can be added up, and every cause and rule is told once."""

from __future__ import annotations

import html
import math
import re
from dataclasses import replace

import pytest

from analyse.trade import with_own
from plans.estimate import estimate, span_parts
from plans.hard import causes
from plans.pictures import Pictures, draw_pictures
from plans.report import render_report
from plans.report.figures import counts, made_of, thumbs
from plans.values import HardPatch, Plan
from tests.plan_fixture import plan


@pytest.fixture(scope="module")
def pictures() -> Pictures:
    return draw_pictures(plan())


@pytest.fixture(scope="module")
def text(pictures: Pictures) -> str:
    return told(render_report(plan(), pictures))


def told(page: str) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<(style|script).*?</\1>|<[^>]+>", " ", page, flags=re.DOTALL)))


def with_patches(*patches: HardPatch) -> Plan:
    made = plan()
    laid = replace(made.laid, density=replace(made.laid.density, hard_patches=patches))
    return replace(made, approaches=(laid, *made.approaches[1:]))


def number(figure: str) -> int:
    return int(figure.replace(",", "").replace("−", "-"))


def test_the_back_and_the_drift_stand_beside_the_sewout(pictures: Pictures) -> None:
    page = render_report(plan(), pictures)
    drift = plan().sized.trade.cloth(plan().sized.cloth).drift_mm
    assert f'alt="The sew-out with things sewn apart out of place by {drift:.1f} mm"' in page
    assert 'alt="The wrong side: bobbin thread, and the tails the trims leave"' in page
    assert len(re.findall(r"<img [^>]*alt=\"[^\"]+\"", page)) == len(re.findall("<img ", page)) == 4


def test_stitches_by_use_kind_and_layer_each_sum_to_all() -> None:
    made = plan()
    tables = counts(made)
    assert len(tables) == 3
    for _, rows in tables:
        assert sum(number(figure) for _, figure, _ in rows) == made.estimate.stitches


def test_the_span_is_made_of_the_choices_that_are_told(text: str) -> None:
    """Free choices add up as roots of squares."""
    made = plan()
    parts = span_parts(made.stitches, made.steps, made.sized.trade)
    cost = estimate(made.stitches, made.steps, made.sized)
    assert cost.span[0] == pytest.approx(cost.stitches - math.hypot(*(part.fewer for part in parts)), abs=1)
    assert cost.span[1] == pytest.approx(cost.stitches + math.hypot(*(part.more for part in parts)), abs=1)
    for part in parts:
        if round(part.fewer) or round(part.more):
            assert part.choice in text


def test_the_rules_of_thumb_stand_beside_what_was_laid_with_source_and_reason(text: str) -> None:
    rows = thumbs(plan())
    assert {"fill, 1,000 to 1,200 per square inch", "top thread, 5 m per 1,000 stitches"} <= {
        row["name"] for row in rows
    }
    for row in rows:
        assert all(row[key] in text for key in ("name", "theirs", "ours", "why", "source"))


def test_hard_places_of_one_cause_are_told_once_with_the_worst() -> None:
    first = HardPatch(
        (10.0, 10.0), 3.4, "three columns meet over a full fill, with 0.3 layers of underlay", "cut it out"
    )
    second = replace(first, at_mm=(40.0, 10.0), layers=2.8, because="two columns meet over a full fill")
    other = replace(first, at_mm=(40.0, 40.0), layers=2.6, because="two full fills lie on each other")
    points = replace(first, at_mm=(20.0, 40.0), layers=6.1, unit="points", because="two columns meet: 6.1 points")
    found = causes(with_patches(first, second, other, points).laid.density, (60.0, 60.0))
    assert [cause.measure for cause in found] == [
        "2.8 to 3.4 layers at 2 places, the worst upper left, 10, 10 mm", "2.6 layers lower right, 40, 40 mm",
        "6.1 needle points per mm² lower left, 20, 40 mm",
    ]  # fmt: skip
    assert found[0].text == (
        "Three columns meet over a full fill, with 0.3 layers of underlay. Cure at the worst: cut it out."
    )


def test_every_place_is_ringed_with_the_number_of_its_cause(pictures: Pictures) -> None:
    patches = [HardPatch((10.0 + 8 * n, 20.0), 3.4 - 0.1 * n, "two columns meet over a full fill") for n in range(4)]
    page = render_report(with_patches(*patches), pictures)
    assert len(re.findall(r'<circle class="hard"', page)) == 4
    assert "3.1 to 3.4 layers at 4 places" in told(page)


def test_a_soft_plan_says_so(pictures: Pictures) -> None:
    said = told(render_report(with_patches(), pictures))
    assert "Nowhere: the most is" in said
    assert "No ties, cut ends or short stitches gather in one place." in said


def test_lumps_on_the_back_are_told_with_their_place(pictures: Pictures) -> None:
    lump = HardPatch(
        (12.0, 34.0), 20.0, "5 tie stitches and 15 short stitches gather on the back", "end apart", "knots"
    )
    made = with_patches()
    laid = replace(made.laid, density=replace(made.laid.density, back=(lump,)))
    said = told(render_report(replace(made, approaches=(laid, *made.approaches[1:])), pictures))
    assert "At 12, 34 mm 5 tie stitches and 15 short stitches gather on the back." in said


def test_the_minutes_say_what_they_are_made_of_and_add_up() -> None:
    """Stitches at speed, long ones slower, stops, over the share of the time it runs: as told, by hand."""
    made = plan()
    counted = replace(made.laid, estimate=estimate(made.stitches, made.steps, made.sized))
    made = replace(made, approaches=(counted, *made.approaches[1:]))
    six = replace(made, sized=replace(made.sized, trade=with_own(made.sized.trade, {"machine.heads": 6}, "shop.toml")))
    told_ = dict(made_of(made))["minutes"]
    figures = re.fullmatch(
        r"1.0 hooping, ([0-9.]+) running: ([0-9,]+) stitches at 750 a minute,(?: ([0-9,]+) of them over 6 mm at 75 % "
        r"of that,)? (\d+) trims? of 7 s, (\d+) thread changes? of 10 s; the machine runs 80 % of the time",
        told_,
    )
    assert figures
    running, stitches, long, trims, changes = (
        float(part.replace(",", "")) if part else 0.0 for part in figures.groups()
    )
    by_hand = ((stitches + long / 3) / 750 + (7 * trims + 10 * changes) / 60) / 0.8
    assert running == pytest.approx(by_hand, abs=0.06)
    assert dict(made_of(six))["minutes"].endswith("80 % of the time, and a piece is one of 6 sewn at once")


def test_the_thread_says_its_stitch_type_and_what_1000_stitches_take() -> None:
    """The published pair of about 5 and 3 m for 1,000 stitches stands beside it in the rules of thumb."""
    made = plan()
    of_these = replace(made.estimate, stitches=4000, thread_m=22.4, bobbin_m=10.8)
    made = replace(made, approaches=(replace(made.laid, estimate=of_these), *made.approaches[1:]))
    said = dict(made_of(made))["thread"]
    assert "ISO 4915, type 301" in said
    assert "5.6 and 2.7 m for 1,000 stitches" in said  # 22.4 and 10.8 m of 4,000


def test_a_price_says_which_rates_it_is_made_of() -> None:
    made = plan()
    own = with_own(made.sized.trade, {"price.thousand": 1.5, "price.piece": 2.0, "price.least": 9.0}, "shop.toml")
    laid = replace(made.laid, estimate=replace(made.laid.estimate, price=12.5))
    priced = replace(made, sized=replace(made.sized, trade=own), approaches=(laid, *made.approaches[1:]))
    assert "price" not in dict(made_of(made))
    assert dict(made_of(priced))["price"] == "12.50: 2.00 a piece + 1.50 per 1,000 stitches, at least 9.00"
