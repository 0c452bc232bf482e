"""A shop's own rows take the place of the table's, and a wrong row is told before anything is planned."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from analyse.errors import JobError
from analyse.trade import default_trade
from plans.settings import read_shop

OWN = """
[fill]
spacing = 0.42
[column]
narrowest = { 40 = 1.2, 60 = 0.9 }
[machine]
trim = 12
[cloth.pique-knit]
pull_mm = 0.35
[column.spacing]
"""


def shop(folder: Path, text: str) -> Path:
    path = folder / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_own_rows_are_in_force_and_say_whose_they_are(tmp_path: Path) -> None:
    path = shop(tmp_path, OWN.replace("[column.spacing]\n", ""))
    read = read_shop(path, default_trade())
    assert read.trade.value("fill.spacing") == 0.42
    assert read.trade.value("column.narrowest", thread="60") == 0.9
    assert read.trade.cloth("pique-knit").pull_mm == 0.35
    assert read.trade.cloth("twill").pull_mm == 0.15
    assert read.trade.at("machine.trim").source == "the shop's own"
    assert read.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


def test_the_tables_own_rows_are_a_shop_file_too(tmp_path: Path) -> None:
    text = "[column]\nspacing = [{ under = 2.0, value = 0.5 }, { value = 0.4 }]\n"
    read = read_shop(shop(tmp_path, text), default_trade())
    assert read.trade.value("column.spacing", width_mm=1.9) == 0.5
    assert read.trade.value("column.spacing", width_mm=2.0) == 0.4


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[fill]\nspacig = 0.4", "fill.spacing"),
        ("[fill]\nspacing = 'wide'", "number"),
        ("[fill]\nspacing = nan", "nan"),
        ("[fill]\nspacing = -0.4", "-0.4"),
        ("[fill]\nspacing = true", "number"),
        ("[column]\nnarrowest = 1.0", "40, 60"),
        ("[column]\nnarrowest = { 40 = 1.0 }", "40, 60"),
        ("[column]\nspacing = 0.4", "bands"),
        ("[column]\nspacing = []", "bands"),
        ("[column]\nspacing = [{ under = 2.0, value = 0.5 }]", "last"),
        ("[cloth.twill]\npull = 0.2", "cloth.twill.pull_mm"),
        ("[cloth.twill]\nneedle = 5", "sharp"),
        ("[cloth.velvet]\npull_mm = 0.2", "cloth"),
        ("spacing = 0.4", "spacing"),
        ("[fill]\nstitch = 0", "fill.stitch cannot be 0"),
        ("[machine]\nefficiency = 0", "machine.efficiency cannot be 0"),
        ("[machine]\nheads = 0", "machine.heads cannot be 0"),
        ("[machine]\nspeed = { flat = 0, cap = 600 }", "machine.speed, flat cannot be 0"),
        ("[tie]\ncount = 0", "tie.count cannot be 0"),
        ("[cloth.twill]\nspacing_factor = 0", "cloth.twill.spacing_factor cannot be 0"),
        ("[machine]\nhooping = { flat = -1, cap = 0 }", "machine.hooping, flat cannot be -1"),
        ("[tie]\ncount = 2.5", "whole number such as 3, not 2.5"),
        ("[cloth.twill]\nframe = 'hoop'", "known: cap, flat"),
        ("[cloth.twill]\nground = 'velvet'", "plain"),
        ("[cloth.twill]\nunderlay = 'heavy'", "crossed"),
        ("[cloth.twill]\navoid_deg = [60, 'x']", "list of angles"),
        ("[cloth.cap]\navoid_deg = [nan]", "list of angles"),
        ("[cloth.cap]\navoid_deg = 60", "list of angles"),
        ("[place.sleeve]\ncloth = 'denim'", "pique-knit"),
        ("[column]\nunderlay_small_letters = 'wavy'", "edge-run"),
        ("[column]\nunderlay = [{ value = 'wavy' }]", "edge-run"),
    ],
)
def test_a_wrong_row_is_named_with_what_would_be_right(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(JobError) as wrong:
        read_shop(shop(tmp_path, text), default_trade())
    assert told in str(wrong.value)


def test_all_wrong_rows_are_told_at_once(tmp_path: Path) -> None:
    with pytest.raises(JobError) as wrong:
        read_shop(shop(tmp_path, "[fill]\nspacing = 'a'\nstitch = 'b'\n"), default_trade())
    assert "fill.spacing" in str(wrong.value)
    assert "fill.stitch" in str(wrong.value)


def test_a_file_that_is_not_there_or_no_toml_is_told(tmp_path: Path) -> None:
    with pytest.raises(JobError, match="cannot be read"):
        read_shop(tmp_path / "none.toml", default_trade())
    with pytest.raises(JobError, match="no TOML"):
        read_shop(shop(tmp_path, "[fill"), default_trade())


def test_what_shops_do_have_is_taken(tmp_path: Path) -> None:
    text = """
[price]
piece = 0
[machine]
hooping = { flat = 45.5, cap = 80 }
[column]
underlay_small_letters = "none"
[place.left-chest]
width_mm = 101.6
[cloth.cap]
backing = "tear-away, two sheets"
needle = "extra sharp"
avoid_deg = [0, 22.5]
"""
    trade = read_shop(shop(tmp_path, text), default_trade()).trade
    assert trade.value("machine.hooping", frame="flat") == 45.5
    assert trade.cloth("cap").avoid_deg == (0, 22.5)
    assert trade.place("left-chest").width_mm == 101.6


@pytest.mark.parametrize(
    "row", ["[fill.spacing]\nunit = 'mm'", "[cloth.twill]\nsource = 'ours'", "[fill.stitch]\nsource = 1"]
)
def test_a_rows_unit_and_source_are_no_rows(tmp_path: Path, row: str) -> None:
    with pytest.raises(JobError):
        read_shop(shop(tmp_path, row), default_trade())


def test_an_unknown_row_is_told_the_nearest_alone(tmp_path: Path) -> None:
    with pytest.raises(JobError) as wrong:
        read_shop(shop(tmp_path, "[fill]\nspacig = 0.4\n[zzz]\nq = 1\n"), default_trade())
    assert "fill.spacig: did you mean 'fill.spacing'?" in wrong.value.do
    assert "known" not in wrong.value.do
    assert "scantling trade" in wrong.value.do


def test_an_honest_nought_is_taken(tmp_path: Path) -> None:
    """Common practice, no source: a firm cloth does not pull, and a shop may count no waste."""
    text = """
[thread]
waste = 0
[machine]
trim = 0.0
hooping = { flat = 0, cap = 0 }
[cloth.twill]
push_mm = 0
pull_mm = 0.0
pull_narrow_mm = 0
"""
    trade = read_shop(shop(tmp_path, text), default_trade()).trade
    assert trade.value("thread.waste") == 0
    assert trade.value("machine.hooping", frame="cap") == 0
    assert trade.cloth("twill").push_mm == 0
    assert trade.cloth("twill").pull_mm == 0


def test_a_length_that_may_be_another_unit_is_taken_and_asked_about(tmp_path: Path) -> None:
    """Common practice, no source: spacing quoted line to line is half of the same spacing across two lines."""
    text = "[fill]\nspacing = 5\n[column]\nspacing = [{ under = 2.0, value = 0.2 }, { value = 0.4 }]\n"
    read = read_shop(shop(tmp_path, text + "[cloth.twill]\npull_mm = 1.5\n"), default_trade())
    assert read.trade.value("fill.spacing") == 5
    assert [doubt.split(" is ")[0] for doubt in read.doubts] == [
        "fill.spacing",
        "column.spacing, band 1",
        "cloth.twill.pull_mm",
    ]


def test_a_shops_ordinary_values_are_not_asked_about(tmp_path: Path) -> None:
    text = "[fill]\nspacing = 0.45\n[price]\nminute = 9\n[machine]\ntrim = 20\n[cloth.twill]\npull_mm = 0\n"
    assert read_shop(shop(tmp_path, text), default_trade()).doubts == ()


def test_a_bare_name_is_told_every_table_that_has_it(tmp_path: Path) -> None:
    with pytest.raises(JobError) as wrong:
        read_shop(shop(tmp_path, "spacing = 0.4\n"), default_trade())
    assert "'column.spacing' or 'fill.spacing'" in wrong.value.do
