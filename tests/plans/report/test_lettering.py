"""The report shows each line beside its heights; its words too where a reader is installed, and no less without."""

from __future__ import annotations

import stat
from pathlib import Path

import numpy as np
import pytest
from shapely import box

from analyse.sizing import size_drawing
from plans.job import Job
from plans.planning import make_plan
from plans.report.lettering import lettering as rows_of
from plans.report.words_read import read_words
from plans.values import Plan
from tests.drawings import drawing_of
from tests.lettered import along, lettering, round_ring

CAP = 80.0
PAGE = np.full((60, 200), 255, np.uint8)


@pytest.fixture(scope="module")
def plan() -> Plan:
    shapes = [
        *lettering("HARBOUR", CAP, round_ring(500, 900, 800), spacing=0.1),
        *lettering("Light Sons", 0.5 * CAP, along(500, 260)),
    ]
    return make_plan(size_drawing(drawing_of(*shapes, box(0, 300, 1000, 340)), width_mm=70), Job())


def reader(folder: Path, script: str) -> None:
    path = folder / "tesseract"
    path.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)


def table(*rows: tuple[int, float, str]) -> str:
    head = "page_num\\tconf\\ttext\\n"
    return "printf '" + head + "".join(f"{page}\\t{sure}\\t{word}\\n" for page, sure, word in rows) + "'"


def test_every_line_is_shown_with_its_heights(plan: Plan, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    arc, mixed = rows_of(plan)
    scale = plan.sized.mm_per_px
    assert (arc["layout"], arc["letters"], arc["capitals"]) == ("arc", "7 letters", f"{CAP * scale:.1f} mm")
    assert arc["small"] == ""
    assert float(mixed["small"].split()[0]) == pytest.approx(0.5 * CAP * 0.75 * scale, abs=0.06)
    assert arc["words"] == mixed["words"] == ""
    assert arc["picture"].count("<path") == 3
    assert mixed["picture"].count("<path") == 4


def test_words_are_shown_where_a_reader_is_installed(
    plan: Plan, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    reader(tmp_path, table((1, 96.0, "HARBOUR"), (2, 91.0, "Light"), (2, 20.0, "S0n5")))
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    assert [row["words"] for row in rows_of(plan)] == ["HARBOUR", "Light"]


@pytest.mark.parametrize(
    "script", ["exit 1", "printf 'no table at all'", "printf '\\377\\376'", table((7, 90.0, "x"), (1, 99.0, "---"))]
)
def test_a_reader_that_fails_leaves_the_words_out(script: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    reader(tmp_path, script)
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    assert read_words([PAGE, PAGE]) == ["", ""]


def test_a_reader_that_hangs_is_ended(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    reader(tmp_path, "exec sleep 30")
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    monkeypatch.setattr("plans.report.words_read.SECONDS", 0.2)
    assert read_words([PAGE]) == [""]


def test_a_plan_without_lettering_has_no_lines() -> None:
    made = make_plan(size_drawing(drawing_of(box(0, 0, 100, 60)), width_mm=50), Job())
    assert rows_of(made) == []


@pytest.mark.parametrize(("name", "cap_mm"), [("plain", 4.0), ("plain", 7.0), ("bold", 12.0), ("bold", 45.0)])
def test_letters_of_a_line_share_kind_angle_and_treatment(name: str, cap_mm: float) -> None:
    """Common practice, no source: the same angle is kept by the letters of one line."""
    art = drawing_of(*lettering("HUT TIN", CAP, along(400, 260), name=name, spacing=0.1), box(0, 300, 800, 340))
    sized = size_drawing(art, width_mm=800 * cap_mm / CAP)
    steps = [
        step.sewing for step in make_plan(sized, Job()).steps
        if sized.parts[step.sewing.part].role_hint == "letter"
    ]  # fmt: skip
    assert len(steps) >= 6
    assert len({sewing.kind for sewing in steps}) == 1
    assert len({sewing.angle_deg for sewing in steps if sewing.kind == "fill"}) <= 1
    assert len({tuple(under.kind for under in sewing.underlay) for sewing in steps}) == 1
    assert len({sewing.passes for sewing in steps}) == 1
    assert len({sewing.thread for sewing in steps}) == 1
    assert {round(sewing.pull_mm, 6) for sewing in steps} == {round(steps[0].pull_mm, 6)} or steps[0].kind == "column"
