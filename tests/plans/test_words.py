"""Figures as a practitioner reads them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analyse import read_artwork, trace
from analyse.values import Detail, Feature
from plans import words
from plans.job import Job
from plans.values import HardPatch, Underlay
from tests.badge import features
from tests.plan_fixture import plan


@pytest.mark.parametrize(
    ("spacing_mm", "text"),
    [
        (0.4, "0.40 (lines 0.20 apart)"),
        (0.45, "0.45 (lines 0.225 apart)"),
        (0.425, "0.425 (lines 0.213 apart)"),
        (0.0, ""),
    ],
)
def test_spacing_says_both_what_the_trade_quotes_and_line_to_line(spacing_mm: float, text: str) -> None:
    assert words.spacing(spacing_mm) == text


def test_an_underlay_tells_inset_spacing_and_angle() -> None:
    lays = (Underlay("edge-run", 0.6), Underlay("zigzag", 0.6, 2.0), Underlay("rows", 0.0, 2.5, 110.0))
    assert words.underlay(lays) == (
        "edge run inset 0.6; zigzag inset 0.6, 2.00 line to line; open rows, 2.50 line to line at 110°"
    )
    assert words.underlay(()) == "none"


def test_a_detail_that_no_width_helps_says_so() -> None:
    assert words.detail_line(features()[3]) == (
        "close colours, colour difference 48.0, needs 10.0: holds; no width helps"
    )
    lettering = replace(features()[0], kind="lettering", words="CLUB")
    assert words.detail_line(lettering).startswith("lettering “CLUB” 0.40 mm")
    shading = replace(features()[3], kind="shading", needs=5.0, state="lost")
    assert "needs at most 5.0: " in words.detail_line(shading)


@pytest.mark.parametrize(
    ("size_mm", "text"),
    [
        ((100.0, 90.0), ""),
        ((120.0, 60.0), "larger than usual for left chest: up to 100 mm wide; 100.0 mm wide would fit"),
        ((120.0, 95.0), "larger than usual for left chest: up to 100 mm wide and 90 mm tall; 100.0 mm wide would fit"),
    ],
)
def test_a_size_beyond_its_place_is_told(size_mm: tuple[float, float], text: str) -> None:
    made = plan()
    sized = replace(made.sized, size_mm=size_mm)
    assert words.out_of_place(replace(made, sized=sized)) == text
    assert words.out_of_place(replace(made, sized=sized, job=Job())) == ""


def test_what_no_cap_takes_is_too_tall_and_not_just_larger_than_usual() -> None:
    """Common practice, no source: a structured cap's front takes 57 mm and its frame no more."""
    made = plan()
    sized = replace(made.sized, size_mm=(80.0, 60.0))
    told = words.out_of_place(replace(made, sized=sized, job=Job(place="cap-front")))
    assert told == "too tall for structured cap, front: up to 57 mm tall; 76.0 mm wide would fit"


def test_approaches_that_come_out_alike_are_told_together() -> None:
    made = plan()
    alike = replace(made.laid, approach="stacked")
    dearer = replace(made.laid, approach="line-work", estimate=replace(made.estimate, stitches=6518, minutes=8.9))
    twins = replace(made, approaches=(made.laid, alike, replace(alike, approach="side-by-side"), dearer))
    assert words.savings(twins) == [
        "the same stitches as stacked, side by side",
        "3,259 stitches fewer (50 %), 2.5 min less than line work",
    ]


@pytest.mark.parametrize(
    ("stitches", "told"), [(1500, "50 %"), (3400, "3.4 times as many"), (23370, "23 times as many")]
)
def test_many_times_as_many_are_told_in_times(stitches: int, told: str) -> None:
    made = plan()
    ours = replace(made.estimate, stitches=stitches)
    other = replace(made.laid, approach="line-work", estimate=replace(made.estimate, stitches=1000))
    (saving,) = words.savings(replace(made, approaches=(replace(made.laid, estimate=ours), other)))
    assert f"more ({told})" in saving


def test_a_share_that_is_there_is_not_nothing() -> None:
    assert [words.share(value) for value in (0.0, 0.001, 0.006, 1.0)] == ["0 %", "under 1 %", "1 %", "100 %"]
    assert [words.share(value) for value in (0.99, 0.998, 1 - 1e-12)] == ["99 %", "over 99 %", "100 %"]


def test_texts_are_told_once_with_how_often() -> None:
    assert words.listed(["a dot", "shading", "a dot"]) == "a dot (2 times), shading"


def test_what_a_terminal_would_obey_is_shown_instead() -> None:
    assert words.printable("a\x1b[2J\u202eb é 日 \udc80") == "a\\x1b[2J\\u202eb é 日 \\udc80"


def test_a_hard_patch_tells_its_measure_with_its_unit() -> None:
    layers, points = HardPatch((0.0, 0.0), 2.6, ""), HardPatch((0.0, 0.0), 6.4, "", unit="points")
    assert (words.hardness(layers), words.hardness(points)) == ("2.6 layers", "6.4 needle points per mm²")
    assert words.hard_patches((layers,)) == "1 hard patch"
    assert words.hard_patches((layers, points)) == "2 hard patches, 1 of them by needle points"
    assert words.hard_patches((points, points)) == "2 hard patches, all by needle points"


def test_a_thread_on_cloth_of_its_colour_says_how_to_name_the_cloth() -> None:
    close = Feature("colour-step", (1.0, 1.0), 3.0, 10.0, "dE00", None, "lost", on_cloth=True)
    assert words.detail_line(close).endswith(
        "no width helps: leave it to the cloth (decisions.toml), or name another cloth with --cloth-colour"
    )
    assert words.detail_line(replace(close, on_cloth=False)).endswith("no width helps")


def test_what_is_lost_by_size_is_told_from_what_hangs_on_colour() -> None:
    made = plan()
    assert words.lost(replace(made, lost=0.29)) == "29 % of the look does not come through at this size"
    close = Feature("colour-step", (1.0, 1.0), 3.0, 10.0, "dE00", None, "lost", weight=0.52, cure="another cloth")
    white = replace(made, sized=replace(made.sized, detail=Detail((close,))))
    assert words.lost(white) == "all of the look comes through at this size, 52 % hangs on thread or cloth"
    assert words.recoloured(replace(made.sized, detail=Detail((replace(close, cure=""),)))) == 0.0


def test_a_drawing_in_the_colour_of_its_cloth_has_that_detail() -> None:
    bar = '<rect x="9" y="9" width="40" height="20" fill="#fff"/>'
    art = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40">{bar}</svg>'.encode()
    sized = trace(read_artwork(art)).at(width_mm=40, cloth_rgb=(255, 255, 255))
    assert any(feature.on_cloth for feature in sized.detail.features)


def test_a_columns_stitch_is_as_long_as_it_is_sewn_wide_and_never_over_its_split() -> None:
    column = next(step.sewing for step in plan().steps if step.sewing.kind == "column" and step.sewing.spines)
    drawn = float(np.median(np.concatenate([spine.line[:, 2] for spine in column.spines])))
    sewn = drawn + 2 * (column.pull_mm + column.widen_mm)
    assert words.stitch_mm(column) == pytest.approx(min(sewn, column.stitch_mm))
    assert words.stitch_mm(replace(column, stitch_mm=sewn / 2)) == pytest.approx(sewn / 2)
    assert words.stitch_mm(replace(column, kind="fill", stitch_mm=4.0)) == 4.0


def test_what_holds_whatever_the_width_holds_from_every_width() -> None:
    close = Feature("colour-step", (1.0, 1.0), 12.0, 10.0, "dE00", None, "holds")
    assert words.holds_from(close) == "every width"
    assert words.holds_from(replace(close, state="lost")) == "at no width"
