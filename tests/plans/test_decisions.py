"""A decisions file is read as a practitioner writes it, and every fault in it is told at once."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest

from analyse.errors import JobError
from analyse.trade import default_trade
from analyse.values import Turned
from plans.decisions import Decisions, parse_decisions
from plans.job import Job
from plans.suggesting import as_toml
from tests.plan_fixture import plan

TRADE = default_trade()


def read(text: str | bytes) -> Decisions:
    return parse_decisions(text.encode() if isinstance(text, str) else text, "decisions.toml", TRADE)


def test_the_job_is_read_back_as_it_was_written() -> None:
    made = replace(plan(), job=Job(place="left-chest", approach="stacked", colours=4))
    decided = parse_decisions(as_toml(made).encode(), "decisions.toml", TRADE)
    assert (decided.width_mm, decided.place) == (76.2, "left-chest")
    assert (decided.thread, decided.colours, decided.approach) == ("40", 4, "stacked")


def test_what_was_not_asked_stands_as_a_comment_and_decides_nothing() -> None:
    made = plan()
    text = as_toml(replace(made, sized=replace(made.sized, cloth_rgb=(255, 255, 255))))
    assert set(tomllib.loads(text)["job"]) == {"width", "place", "thread"}
    assert "# approach" in text
    assert "# colours" in text


@pytest.mark.parametrize(("written", "mm"), [('"3in"', 76.2), ("80", 80.0), ("76.2", 76.2), ('"7,6 cm"', 76.0)])
def test_a_size_is_a_length_or_a_bare_number_of_mm(written: str, mm: float) -> None:
    assert parse_decisions(f"[job]\nheight = {written}".encode(), "", TRADE).height_mm == pytest.approx(mm)


def test_all_faults_are_told_at_once_each_with_its_line() -> None:
    text = '[job]\nwidth = 2000\nplace = "left chets"\ncloth = 3\nthread = "50"\ncolours = 0\nstyle = "x"\n[jobs]\n'
    with pytest.raises(JobError) as wrong:
        read(text)
    told = wrong.value.do
    assert wrong.value.exit_code == 2
    for line, word in (
        (2, "2000"),
        (3, "left-chest"),
        (4, "quotes"),
        (5, "40"),
        (6, "colours"),
        (7, "style"),
        (8, "jobs"),
    ):
        assert f"line {line}: " in told
        assert word in told
    assert wrong.value.what.startswith("7 ")


@pytest.mark.parametrize("content", [b"width = ", b"\xff\xfe", b"[job", b"a = 1" * 300_000])
def test_a_file_that_is_no_decisions_is_refused_in_one_sentence(content: bytes) -> None:
    with pytest.raises(JobError) as wrong:
        read(content)
    assert wrong.value.where == "decisions.toml"


def test_the_practitioners_other_tables_are_let_be() -> None:
    decided = read('[[part]]\nat = [0.5, 0.5]\nkind = "fill"\n[[thread]]\n[trade]\n[[proposal]]\n')
    assert decided.kept == ("[[part]] kind", "[[thread]]", "[trade]", "[[proposal]]")
    assert decided == parse_decisions(decided.content, "", TRADE)


def test_the_cloth_a_place_brings_stands_as_a_comment_and_any_other_decides() -> None:
    made = plan()
    own = replace(made, sized=replace(made.sized, cloth="fleece"))
    assert '\n# cloth = "pique-knit"' in as_toml(made)
    assert tomllib.loads(as_toml(own))["job"]["cloth"] == "fleece"
    anywhere = replace(made, sized=replace(made.sized, cloth="twill"), job=Job())
    assert "cloth" not in tomllib.loads(as_toml(anywhere))["job"]


def test_a_size_is_written_as_it_was_asked() -> None:
    made = plan()
    both = tomllib.loads(as_toml(replace(made, job=Job(width_mm=82.5518, height_mm=60))))["job"]
    assert (both["width"], both["height"]) == (82.5518, 60)
    tall = tomllib.loads(as_toml(replace(made, job=Job(height_mm=57.25))))["job"]
    assert "width" not in tall
    assert tall["height"] == 57.25


def test_the_colour_of_the_cloth_is_decided_like_the_cloth() -> None:
    made = plan()
    navy = replace(made, sized=replace(made.sized, cloth_rgb=(31, 42, 68)))
    assert read(as_toml(navy)).cloth_rgb == (31, 42, 68)
    assert read('[job]\ncloth_colour = "27,42,74"').cloth_rgb == (27, 42, 74)
    assert "\n# cloth_colour" in as_toml(replace(made, sized=replace(made.sized, cloth_rgb=(255, 255, 255))))
    with pytest.raises(JobError) as wrong:
        read('[job]\ncloth_colour = "navey"')
    assert "'navy'" in wrong.value.do


@pytest.mark.parametrize(("written", "meant"), [("on", "place"), ("size", "width"), ("cloth_color", "cloth_colour")])
def test_a_word_of_the_command_line_is_told_what_it_is_called_here(written: str, meant: str) -> None:
    with pytest.raises(JobError) as wrong:
        read(f'[job]\n{written} = "x"')
    assert f"write {meant};" in wrong.value.do


def test_a_piece_is_turned_round_by_its_place() -> None:
    text = "[[part]]\nat = [0.25, 0.5]\nbackground = true\n[[part]]\nat = [1, 0]\nbackground = false\nkeep = true\n"
    decided = read(text)
    assert decided.turned == (Turned((0.25, 0.5), background=True), Turned((1.0, 0.0), background=False))
    assert decided.kept == ("[[part]] keep",)


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("background = true", "at is a place"),
        ("at = [0.5, 1.5]\nbackground = true", "at is a place"),
        ("at = [0.5]", "at is a place"),
        ('at = [0.5, 0.5]\nbackground = "yes"', "background is true"),
        ("at = [0.5, 0.5]\nbackgroud = true", "'background'"),
    ],
)
def test_a_part_that_cannot_be_found_or_read_is_told_which_it_is(written: str, told: str) -> None:
    with pytest.raises(JobError) as wrong:
        read(f"[[part]]\nat = [0.1, 0.1]\n[[part]]\n{written}")
    assert "[[part]] 2: " in wrong.value.do
    assert told in wrong.value.do
