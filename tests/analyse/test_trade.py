"""The trade table: every row says its unit and source, is read somewhere, and yields to a shop's own."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from analyse.errors import JobError
from analyse.trade import Cloth, default_trade, with_own

ROOT = Path(__file__).parents[2]
TRADE = default_trade()
TABLES = ("cloth", "place", "caution")
ROWS = sorted(key for key in TRADE.rows if key.split(".")[0] not in TABLES)
NAMED = sorted(key for key in TRADE.rows if key.split(".")[0] in ("cloth", "place"))


def source_code() -> str:
    files = [*(ROOT / "analyse").rglob("*.py"), *(ROOT / "plans").rglob("*.py")]
    return "\n".join(path.read_text(encoding="utf-8") for path in files)


@pytest.mark.parametrize("key", ROWS)
def test_each_row_has_a_unit_and_a_source(key: str) -> None:
    assert TRADE.rows[key]["unit"]
    assert TRADE.rows[key]["source"]


@pytest.mark.parametrize("key", NAMED)
def test_each_cloth_and_place_has_a_source(key: str) -> None:
    assert TRADE.rows[key]["source"]


def test_each_row_is_read_somewhere() -> None:
    code = source_code()
    assert [key for key in ROWS if f'"{key}"' not in code] == []


def test_each_field_of_a_cloth_is_read_somewhere() -> None:
    code = source_code()
    fields = set(Cloth.__dataclass_fields__) - {"name", "source"}
    assert {field for field in fields if not re.search(rf"\.{field}\b", code)} == set()


@pytest.mark.parametrize("key", ROWS)
def test_each_row_yields_to_a_shops_own(key: str) -> None:
    row = TRADE.rows[key]
    own = with_own(TRADE, {key: row.get("value", row.get("bands"))}, "shop.toml")
    by = {row["by"]: next(iter(row["value"])) if "value" in row else 1.2} if "by" in row else {}
    assert own.at(key, **by).source == "the shop's own"


def test_a_shops_own_cloth_field_replaces_the_tables() -> None:
    own = with_own(TRADE, {"cloth.pique-knit.pull_mm": 0.35}, "shop.toml")
    assert own.cloth("pique-knit").pull_mm == 0.35
    assert TRADE.cloth("pique-knit").pull_mm == 0.30


def test_a_wrong_row_names_the_nearest_right_one() -> None:
    with pytest.raises(JobError, match=r"column\.spacing"):
        with_own(TRADE, {"column.spacin": 0.4}, "shop.toml")


@pytest.mark.parametrize("key", ["fill.spacing.unit", "fill.spacing.value", "cloth.twill.source", "cloth.twill"])
def test_what_belongs_to_a_row_is_no_row(key: str) -> None:
    with pytest.raises(JobError, match="not in the trade table"):
        with_own(TRADE, {key: "mm"}, "shop.toml")


def test_a_wrong_cloth_names_the_nearest_right_one() -> None:
    with pytest.raises(JobError, match="did you mean 'pique-knit'"):
        TRADE.cloth("pique")


def test_a_range_holds_its_own_default() -> None:
    ranged = [TRADE.rows[key] for key in ROWS if "range" in TRADE.rows[key]]
    assert ranged
    assert all(row["range"][0] <= row["value"] <= row["range"][1] for row in ranged)


def test_what_passes_goes_with_a_shops_own_value() -> None:
    own = with_own(TRADE, {"fill.stitch": 6.0, "tie.count": 6}, "shop.toml")
    assert TRADE.range("fill.stitch") == (3.0, 5.0)
    assert own.range("fill.stitch") == pytest.approx((4.5, 7.5))
    assert own.range("tie.count") == (6, 8)


def test_no_code_reads_what_passes_past_the_shops_own() -> None:
    assert not re.search(r'rows\[[^\]]*\]\["range"\]', source_code())


def test_full_cover_is_five_millimetres_of_thread_per_square_millimetre() -> None:
    """Geometry: two lines per quoted spacing lay 2 / 0.40 mm of thread on each mm2."""
    assert TRADE.value("density.full_layer") == pytest.approx(2 / TRADE.value("fill.spacing"))


@pytest.mark.parametrize(("thread", "tex"), [("40", 25.0), ("60", 16.7)])
def test_the_strand_is_as_thick_as_peirces_yarn(thread: str, tex: float) -> None:
    """Peirce: d[in] = 1 / (28 sqrt(Ne)), Ne = 590.5 / tex; the handbook form lies within 8 % of the row."""
    peirce_mm = 25.4 / (28 * (590.5 / tex) ** 0.5)
    assert TRADE.value("thread.strand", thread=thread) == pytest.approx(peirce_mm, rel=0.08)
