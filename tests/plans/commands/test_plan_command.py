"""`scantling plan` parses, calls and prints; its options decide before the decisions, those before the shop's file."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import analyse
import plans
from analyse.values import Artwork, Drawing
from plans.__main__ import main
from plans.job import Job
from tests.badge import drawing
from tests.plan_fixture import plan

Run = Callable[..., int]


class Calls:
    """What the command handed on."""

    def __init__(self) -> None:
        self.read: dict[str, Any] = {}
        self.traced: dict[str, Any] = {}
        self.sized: dict[str, Any] = {}
        self.job = Job()
        self.px_per_mm: float | None = None


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Calls:
    seen = Calls()

    def read(source: str, **given: Any) -> Artwork:
        seen.read = {"source": source, **given}
        return replace(drawing().artwork, name=Path(source).name, px_per_mm=seen.px_per_mm)

    def trace(artwork: Artwork, **given: Any) -> Drawing:
        seen.traced = given
        return replace(drawing(), artwork=artwork, px_per_mm=artwork.px_per_mm)

    def at(self: Drawing, **given: Any) -> Any:
        seen.sized = given
        return replace(plan().sized, drawing=self)

    def make(sized: Any, job: Job, _lay_all: Any) -> Any:
        seen.job = job
        return plan(sized=sized, job=job)

    def write(made: Any, folder: Path, **given: Any) -> Path:
        folder.mkdir(exist_ok=True)
        (folder / "decisions.toml").write_bytes(given["decisions"] or b"")
        return folder

    monkeypatch.setattr(analyse, "read_artwork", read, raising=False)
    monkeypatch.setattr(analyse, "trace", trace, raising=False)
    monkeypatch.setattr(Drawing, "at", at)
    monkeypatch.setattr(plans, "make_plan", make, raising=False)
    monkeypatch.setattr("plans.abreast.cores", lambda: 1)
    monkeypatch.setattr("plans.folder.write_plan", write)
    monkeypatch.chdir(tmp_path)
    return seen


def test_what_is_printed_first_is_the_verdict_and_then_what_a_person_wants(
    calls: Calls, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", "art/crest.png", "--width", "3in", "--on", "left chest"]) == 0
    printed = capsys.readouterr()
    lines = printed.out.splitlines()
    assert lines[0].startswith("sews with changes, 76.2 × 60.0 mm")
    assert "registration 0.40 mm, needs 0.60 mm: lost; holds from 120.0 mm wide" in lines[1]
    for figure in (
        "3,259 stitches",
        "3 colours",
        "2 trims",
        "6.4 minutes",
        "base and detail",
        "814 stitches fewer (20 %)",
    ):
        assert figure in printed.out
    assert lines[-1] == "report crest-plan/report.html"
    assert printed.err == ""  # no progress where nobody watches


def test_a_bare_artwork_is_planned(calls: Calls, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["crest.png", "--width", "80"]) == 0
    assert main(["--width", "80", "crest.svg", "--quiet"]) == 0
    assert calls.sized["width_mm"] == 80
    assert capsys.readouterr().out.count("report.html") == 1


def test_json_goes_to_standard_output_and_the_folder_is_written_too(
    calls: Calls, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert main(["plan", "crest.png", "--height", "6cm", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["schema"] == "scantling.plan/1"
    assert (tmp_path / "crest-plan").is_dir()


def test_every_option_reaches_the_library(calls: Calls) -> None:
    words = "--width 80 --height 60 --on sleeve --cloth twill --cloth-colour navy --thread 60 --colours 4"
    more = "--approach stacked --page 2 --sheet-size a4 --out elsewhere --limit pixels=2e8 --limit seconds=9"
    corners = ["--corners", "0,0 9,0 9,9 0,9"]
    assert main(["plan", "x.pdf", *words.split(), *more.split(), *corners, "--quiet"]) == 0
    assert calls.read["page"] == 2
    assert calls.read["sheet_size"] == "a4"
    assert calls.read["corners"] == [[0, 0], [9, 0], [9, 9], [0, 9]]
    assert (calls.read["limits"].pixels, calls.read["limits"].seconds) == (200_000_000, 9)
    assert calls.traced == {"max_colours": 4, "turned": ()}
    sized = {key: calls.sized[key] for key in ("width_mm", "height_mm", "thread", "cloth", "cloth_rgb")}
    assert sized == {"width_mm": 80, "height_mm": 60, "thread": "60", "cloth": "twill", "cloth_rgb": (4, 44, 75)}
    assert (calls.job.place, calls.job.approach, calls.job.colours) == ("sleeve", "stacked", 4)


def test_a_place_brings_its_usual_cloth_and_without_either_it_is_twill(calls: Calls) -> None:
    assert main(["plan", "x.png", "--width", "80", "--on", "Cap Front", "--quiet"]) == 0
    assert calls.sized["cloth"] == "cap"
    assert main(["plan", "y.png", "--width", "80", "--quiet"]) == 0
    assert calls.sized["cloth"] == "twill"


def test_the_command_line_goes_before_the_decisions_and_those_before_the_usual(calls: Calls, tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text('[job]\nwidth = 90\nheight = 50\nplace = "sleeve"\ncloth = "fleece"\nthread = "60"\ncolours = 3\n')
    assert main(["plan", "x.png", "--decisions", str(own), "--quiet"]) == 0
    decided = {key: calls.sized[key] for key in ("width_mm", "height_mm", "thread", "cloth")}
    assert decided == {"width_mm": 90, "height_mm": 50, "thread": "60", "cloth": "fleece"}
    assert (calls.traced["max_colours"], calls.job.place) == (3, "sleeve")
    assert (tmp_path / "x-plan/decisions.toml").read_bytes() == own.read_bytes()
    words = ["--width", "70", "--thread", "40", "--on", "cuff", "--quiet"]
    assert main(["plan", "y.png", "--decisions", str(own), *words]) == 0
    asked = {key: calls.sized[key] for key in ("width_mm", "height_mm", "thread", "cloth")}
    assert asked == {"width_mm": 70, "height_mm": None, "thread": "40", "cloth": "fleece"}
    assert (calls.job.width_mm, calls.job.height_mm) == (70, None)
    own.write_text('[job]\nplace = "sleeve"\n# cloth = "pique-knit"\n')
    assert main(["plan", "y.png", "--decisions", str(own), *words]) == 0
    assert calls.sized["cloth"] == "jersey"


def test_decisions_that_wait_for_later_are_told(
    calls: Calls, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    own = tmp_path / "own.toml"
    own.write_text('[job]\nwidth = 90\n[[part]]\nat = [0.5, 0.5]\nkind = "fill"\n[trade]\n')
    assert main(["plan", "x.png", "--decisions", str(own)]) == 0
    told = capsys.readouterr().err.splitlines()
    assert told == [f"decisions: width as in {own}", "decisions: [[part]] kind, [trade]: kept, not yet acted on"]
    assert calls.job.kept == ("[[part]] kind", "[trade]")


def test_decisions_in_the_folder_are_read_without_being_named_and_said(
    calls: Calls, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "x-plan").mkdir()
    (tmp_path / "x-plan/decisions.toml").write_text("[job]\nwidth = 64\n")
    assert main(["plan", "x.png", "--out", "x-plan", "--json"]) == 0
    assert calls.sized["width_mm"] == 64
    assert "decisions: width as in" in capsys.readouterr().err


def test_a_shops_file_is_in_force_and_its_digest_travels(calls: Calls, tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text("[fill]\nspacing = 0.42\n")
    assert main(["plan", "x.png", "--width", "80", "--shop", "shop.toml", "--quiet"]) == 0
    assert calls.sized["trade"].value("fill.spacing") == 0.42
    assert len(calls.job.shop_sha256) == 64


def test_without_a_size_the_true_size_of_the_file_is_used_and_said(
    calls: Calls, capsys: pytest.CaptureFixture[str]
) -> None:
    calls.px_per_mm = 10.0
    assert main(["plan", "x.svg"]) == 0
    assert calls.sized["width_mm"] == pytest.approx(76.2, abs=0.2)  # the wave ends aslant
    assert f"size: the file's own, {calls.sized['width_mm']:.1f} mm wide" in capsys.readouterr().err
    assert main(["plan", "x.svg", "--quiet"]) == 0
    assert capsys.readouterr().err == ""


def test_without_any_size_it_says_so_with_an_example(calls: Calls, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "art/our crest.png"]) == 2
    assert "scantling plan 'art/our crest.png' --width 3in" in capsys.readouterr().err
    assert calls.traced == {}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--width", "0"], "5 to 1000"),
        (["--width", "-3in"], "5 to 1000"),
        (["--width", "5m"], "not a length"),
        (["--width", "5000"], "5 to 1000"),
        (["--width", "nan"], "not a length"),
        (["--width", "inf"], "not a length"),
        (["--height", "3 feet"], "not a length"),
        (["--on", "left chets"], "'left-chest'"),
        (["--cloth", "twil"], "'twill'"),
        (["--cloth-colour", "navi"], "'navy'"),
        (["--cloth-colour", "1,2,300"], "navy"),
        (["--thread", "50"], "40, 60"),
        (["--approach", "stack"], "'stacked'"),
        (["--corners", "1,2 3,4"], "four corners"),
        (["--limit", "pixels"], "NAME=VALUE"),
        (["--limit", "pixel=3"], "'pixels'"),
        (["--shop", "none.toml"], "--shop"),
        (["--decisions", "none.toml"], "--decisions"),
        (["--colours", "0"], "--colours"),
        (["--nonsense"], "No such option"),
    ],
)
def test_a_wrong_word_ends_with_2_and_names_what_would_be_right(
    calls: Calls, capsys: pytest.CaptureFixture[str], words: list[str], told: str
) -> None:
    assert main(["plan", "x.png", "--width", "80", *words]) == 2
    printed = capsys.readouterr()
    assert told in printed.err
    assert printed.out == ""
    assert "Traceback" not in printed.err


def test_a_folder_with_foreign_files_is_refused_before_the_artwork_is_read(
    calls: Calls, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine/letter.txt").write_text("dear")
    assert main(["plan", "x.png", "--width", "80", "--out", "mine"]) == 5
    assert "letter.txt" in capsys.readouterr().err
    assert calls.read == {}


def test_a_name_cannot_command_the_terminal(calls: Calls, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "a\x1b[2Jb.png"]) == 2
    assert "\x1b" not in capsys.readouterr().err


def test_verbose_tells_each_step_and_its_time(calls: Calls, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "x.png", "--width", "80", "--verbose"]) == 0
    steps = [line.split(":")[0] for line in capsys.readouterr().err.splitlines()]
    assert steps[1:] == [
        "reading the artwork", "finding colours and regions", "measuring every part", "laying stitches four ways",
        "writing the folder",
    ]  # fmt: skip


def test_a_bug_is_one_line_and_a_file(
    calls: Calls, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def broken(*args: Any, **kwargs: Any) -> None:
        raise RuntimeError("the bobbin\nis empty")

    monkeypatch.setattr(plans, "make_plan", broken, raising=False)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    assert main(["plan", "x.png", "--width", "80"]) == 1
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "RuntimeError: the bobbin is empty" in told
    assert "Traceback" in Path(told.split("lies in ")[1].rstrip(")\n")).read_text()


def test_an_interruption_ends_with_130(
    calls: Calls, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(*args: Any, **kwargs: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(analyse, "trace", stopped, raising=False)
    assert main(["plan", "x.png", "--width", "80"]) == 130
    assert capsys.readouterr().err.strip() == "scantling: interrupted"


def test_on_a_terminal_the_steps_name_is_shown_and_goes_away(
    calls: Calls, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    assert main(["plan", "x.png", "--width", "80"]) == 0
    told = capsys.readouterr().err
    assert "finding colours and regions …" in told
    assert told.endswith("\r\x1b[K")
    assert main(["plan", "y.png", "--width", "80", "--quiet"]) == 0
    assert capsys.readouterr().err == ""
