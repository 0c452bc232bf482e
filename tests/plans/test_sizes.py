"""What holds at each width, as text: marked, in order, and with what no width helps."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from analyse import read_artwork, trace
from analyse.survival import Gain, Holding, PlaceFit, Survival
from plans.report.curve import survival_curve
from plans.sizes import all_holds, heaviest_gains, shown_to, sizes_text

IMAGES = Path(__file__).parents[2] / "images"
FOUND = Survival(
    details=3,
    holdings=(Holding(40.0, 30.0, 1, 0.5), Holding(76.2, 57.15, 2, 0.8), Holding(100.0, 75.0, 2, 0.8)),
    gains=(
        Gain(30.0, 0.5, "a stroke"),
        Gain(70.0, 0.3, "a gap"),
        Gain(99.0, 0.01, "a dot"),
        Gain(1200.0, 0.1, "a speck"),
    ),
    all_hold_mm=99.0,
    fine_mm=82.5,
    places=(PlaceFit("cap-front", "structured cap, front", 62.0, 0.6, False, "too tall for a structured cap, front"),),
    never=("shading", "shading"),
    useful_mm=0.0,
    nearly_mm=0.0,
)


def test_the_table_marks_the_asked_width_and_draws_the_share() -> None:
    rows = sizes_text("crest.png on twill", FOUND, 76.2).splitlines()
    asked = [row for row in rows if row.startswith(">")]
    assert len(asked) == 1
    assert asked[0].split() == [">", "76.2", "mm", "57.1", "mm", "2", "of", "3", "80", "%", "#" * 24]
    assert "No width helps: shading (2 times)." in rows
    assert rows[-2:] == ["  too tall for a structured cap, front (up to 62 mm wide: 60 % of the look", "    holds)"]


def test_a_terminal_of_80_columns_holds_every_row() -> None:
    long = ", ".join(["12 strokes of moderate bluish green over dark grayish green"] * 4)
    found = replace(FOUND, gains=(Gain(88.0, 0.4, long),), never=(long,))
    assert max(len(row) for row in sizes_text("a" * 70 + " on woven twill", found, 76.2).splitlines()) <= 80


def test_a_figure_keeps_its_unit_beside_it() -> None:
    for more in range(12):
        found = replace(FOUND, gains=(Gain(88.0, 0.4, "a" * (50 + more)),))
        assert not any(re.search(r"(^|\()\s*(%|mm)", row) for row in sizes_text("a", found, 76.2).splitlines())


def test_both_threads_are_told_where_they_differ() -> None:
    assert all_holds(FOUND) == "all that a width can help holds from 99.0 mm; with 60-weight thread from 82.5 mm"
    assert all_holds(replace(FOUND, fine_mm=99.0)) == "all that a width can help holds from 99.0 mm"
    assert all_holds(replace(FOUND, all_hold_mm=0.0, fine_mm=0.0)) == "all that a width can help holds at every width"
    assert "at no width up to 1,000 mm" in all_holds(replace(FOUND, all_hold_mm=1200.0))


def test_what_is_hardly_seen_is_told_apart() -> None:
    told = all_holds(replace(FOUND, nearly_mm=70.0, fine_mm=99.0))
    assert told == "all that a width can help holds from 99.0 mm; all but what is hardly seen from 70.0 mm"


def test_what_has_no_small_detail_is_said_to_sew_at_every_width() -> None:
    text = sizes_text("a", replace(FOUND, details=0, holdings=(Holding(20.0, 20.0, 0, 1.0),), gains=()), None)
    assert "Every detail is drawn large enough to sew at every width." in text
    assert "0 of 0" not in text


def test_gains_are_in_order_of_width_and_within_what_is_sewn() -> None:
    assert [gain.text for gain in heaviest_gains(FOUND)] == ["a stroke", "a gap", "a dot"]
    assert [gain.text for gain in heaviest_gains(FOUND, beyond_mm=70.0)] == ["a dot"]


def test_the_curve_copes_with_one_width_only() -> None:
    alone = replace(FOUND, holdings=FOUND.holdings[:1], gains=())
    assert "<svg" in survival_curve(alone, 40.0)
    assert "76 mm: 80 %" in survival_curve(FOUND, 76.2)


def test_who_named_no_cloth_is_asked_for_it_where_it_matters() -> None:
    white = replace(FOUND, never=("white on cloth of nearly its colour",))
    asks = "White was taken for the cloth: name its colour with --cloth-colour."
    assert asks in sizes_text("a", white, None, cloth_told=False)
    assert asks not in sizes_text("a", white, None)
    assert asks not in sizes_text("a", FOUND, None, cloth_told=False)


def test_a_small_picture_says_up_to_which_width_it_can_be_judged() -> None:
    """300 pixels at the 5 a millimetre that tell a tenth either way are 60 mm; nobody draws again for a twentieth."""
    small = trace(read_artwork(IMAGES / "saltmarsh-crest-small.jpg"))
    said = re.search(r"enough up to (\d+) mm wide", shown_to(small))
    assert said
    assert 45 <= int(said[1]) <= 64
    rows = sizes_text("crest", FOUND, None, shown=shown_to(small)).splitlines()
    assert any(row.startswith("The picture's own pixels show enough") for row in rows)


def test_a_drawing_can_be_judged_at_every_width() -> None:
    assert shown_to(trace(read_artwork(IMAGES / "cairn-hill.svg"))) == ""
