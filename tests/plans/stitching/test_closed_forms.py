"""Counts and thread of simple shapes against closed forms made elsewhere (tests/published/stitch_closed_forms.csv)."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import ArrayLike
from shapely import Point, box

from analyse.trade import default_trade
from analyse.values import Spine
from plans.stitching.laying import lay_sewing
from plans.values import Sewing, Trail

TABLE = Path(__file__).parents[2] / "published" / "stitch_closed_forms.csv"
TRADE = default_trade()


def rows_of(form: str) -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["form"] == form]


def params(row: dict[str, str]) -> dict[str, float]:
    pairs = (pair.split("=") for pair in row["params"].split(" at ")[0].split(";") if "=" in pair)
    return {name: float(value) for name, value in pairs}


def thread_mm(trail: Trail) -> float:
    return float(np.hypot(*np.diff(trail.xy, axis=0).T).sum())


def measured(trail: Trail, row: dict[str, str]) -> float:
    return thread_mm(trail) if row["quantity"].startswith("thread") else len(trail.xy) - 1.0


def straight(length: float, width: float) -> Spine:
    x = np.array([0.0, length])
    left, right = np.column_stack([x, 0 * x]), np.column_stack([x, 0 * x + width])
    return Spine(np.column_stack([x, 0 * x + width / 2, 0 * x + width]), left, right)


def circle(outer: float, inner: float) -> Spine:
    turn = np.linspace(0, 2 * math.pi, 361)[:-1]
    unit = np.column_stack([np.cos(turn), np.sin(turn)])
    line = np.column_stack([unit * (outer + inner) / 2, np.full(len(turn), outer - inner)])
    return Spine(line, unit * outer, unit * inner, closed=True)


def sewing(kind: str, shape: object, **more: object) -> Sewing:
    return Sewing(0, 0, kind, "body", 0, shape, **more)  # type: ignore[arg-type]


def staggered(rows: ArrayLike, stitch: float) -> float:
    """Stitches of rows so long, counted with their stagger.

    A row begins the turn's inset inside its edge; needle points on a grid that any offset from row to row shifts keep
    the shortest end's length from both its ends: (w - inset - 2 e) / l of them in the mean. One turn joins two rows.
    """
    inset, end = TRADE.value("fill.turn"), TRADE.value("fill.end_shortest")
    width = np.asarray(rows, float)
    return float((1 + np.maximum(width - inset - 2 * end, 0.0) / stitch).sum() + len(width) - 1)


@pytest.mark.parametrize("row", rows_of("rectangle fill"), ids=lambda row: f"{row['case']}-{row['unit']}")
def test_a_rectangle_fills_as_the_closed_form_counts(row: dict[str, str]) -> None:
    p = params(row)
    fill = sewing("fill", box(0, 0, p["w"], p["h"]), angle_deg=0.0, spacing_mm=2 * p["s"], stitch_mm=p["l"])
    trail = lay_sewing(fill, TRADE)
    assert measured(trail, row) == pytest.approx(float(row["value"]), rel=float(row["tolerance"].split()[0]) / 100)
    assert len(trail.xy) - 1 == pytest.approx(staggered([p["w"]] * round(p["h"] / p["s"]), p["l"]), rel=0.03)


@pytest.mark.parametrize("row", rows_of("disc fill"), ids=lambda row: f"{row['case']}-{row['unit']}")
def test_a_disc_fills_as_the_closed_form_counts(row: dict[str, str]) -> None:
    p = params(row)
    fill = sewing("fill", Point(0, 0).buffer(p["r"], 90), angle_deg=0.0, spacing_mm=2 * p["s"], stitch_mm=p["l"])
    trail = lay_sewing(fill, TRADE)
    if row["quantity"] == "thread laid in rows":
        found = float(np.abs(np.diff(trail.xy[:, 0])).sum())  # the slantwise turn carries a row to its edge
    else:
        found = len(trail.xy) - 1.0
        away = (np.arange(round(2 * p["r"] / p["s"])) + 0.5) * p["s"] - p["r"]
        assert found == pytest.approx(staggered(2 * np.sqrt(p["r"] ** 2 - away**2), p["l"]), rel=0.03)
    assert found == pytest.approx(float(row["value"]), rel=float(row["tolerance"].split()[0]) / 100)


@pytest.mark.parametrize(
    "row", [row for row in rows_of("column") if "L=" in row["params"]], ids=lambda row: f"{row['case']}-{row['unit']}"
)
def test_a_column_counts_two_stitches_a_spacing(row: dict[str, str]) -> None:
    p = params(row)
    column = sewing("column", box(0, 0, p["L"], p["w"]), spines=(straight(p["L"], p["w"]),), spacing_mm=p["s"])
    assert measured(lay_sewing(column, TRADE), row) == pytest.approx(float(row["value"]), rel=0.005, abs=0.5)


@pytest.mark.parametrize(("outer", "inner", "count"), [(10.0, 7.0, 286), (6.0, 4.0, 171)])
def test_a_ring_holds_its_outer_edge_at_a_tenth_over_the_spacing(outer: float, inner: float, count: int) -> None:
    # N = max(2 pi (R + r) / s, 4 pi R / 1.1 s), from the trade's rule for bends
    ring = sewing("column", Point(0, 0).buffer(outer), spines=(circle(outer, inner),), spacing_mm=0.4)
    assert len(lay_sewing(ring, TRADE).xy) - 1 == pytest.approx(count, abs=1)


@pytest.mark.parametrize("row", rows_of("straight running line") + rows_of("running line, three passes"))
def test_a_straight_line_takes_its_length_over_the_stitch(row: dict[str, str]) -> None:
    p = params(row)
    passes = 3 if "three" in row["form"] else 1
    line = sewing("running", box(0, 0, p["L"], 1), spines=(straight(p["L"], 0.3),), stitch_mm=p["l"], passes=passes)
    assert len(lay_sewing(line, TRADE).xy) - 1 == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows_of("running line round a circle"), ids=lambda row: row["case"])
def test_a_circle_keeps_stitch_and_chord_error(row: dict[str, str]) -> None:
    p = params(row)
    line = sewing("running", Point(0, 0).buffer(p["r"]), spines=(circle(p["r"] + 0.1, p["r"] - 0.1),), stitch_mm=p["l"])
    assert len(lay_sewing(line, TRADE).xy) - 1 == pytest.approx(float(row["value"]), rel=0.05, abs=1)


def test_a_square_inch_at_the_defaults_counts_what_shops_publish() -> None:
    # tests/published has no row of it: 710 to 1,200 a square inch published (chholderby.com; petiterepublic.com)
    trail = lay_sewing(sewing("fill", box(0, 0, 25.4, 25.4), angle_deg=0.0), TRADE)
    assert 806 <= len(trail.xy) - 1 <= 1050


def test_an_inch_of_column_on_twill_counts_127() -> None:
    # 50 stitches a cm published for narrow columns (chholderby.com)
    twill = TRADE.cloth("twill")
    column = sewing(
        "column", box(0, 0, 25.4, 3), spines=(straight(25.4, 3),), pull_mm=twill.pull_mm, push_mm=twill.push_mm
    )
    assert len(lay_sewing(column, TRADE).xy) - 1 == pytest.approx(127, abs=3)
