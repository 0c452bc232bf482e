"""A second process makes the plan sooner and never another one."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from analyse.values import SizedDrawing
from plans import abreast
from plans.abreast import SecondHand
from plans.document import as_json
from plans.job import Job
from plans.planning import make_plan
from tests.drawing_fixture import bold_mark, sized


@pytest.fixture(scope="module")
def mark() -> SizedDrawing:
    return sized(bold_mark())


@pytest.fixture(scope="module")
def alone(mark: SizedDrawing) -> str:
    return as_json(make_plan(mark, Job()))


@pytest.fixture
def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(abreast, "cores", lambda: 2)


def no_more_than_half(monkeypatch: pytest.MonkeyPatch) -> list[slice]:
    """What this process lays itself, noted."""
    noted: list[slice] = []
    lay = abreast._laid
    monkeypatch.setattr(abreast, "_laid", lambda *asked: noted.append(asked[-1]) or lay(*asked))
    return noted


@pytest.mark.usefixtures("two_cores")
def test_two_processes_make_the_plan_that_one_makes(
    mark: SizedDrawing, alone: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    noted = no_more_than_half(monkeypatch)
    with SecondHand() as second:
        assert as_json(make_plan(mark, Job(), second.lay_all)) == alone
    assert noted == [abreast.OURS]


@pytest.mark.usefixtures("two_cores")
def test_a_second_process_that_dies_costs_time_and_nothing_else(
    mark: SizedDrawing, alone: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(abreast, "command", lambda *_: [sys.executable, "-c", "raise SystemExit(1)"])
    noted = no_more_than_half(monkeypatch)
    with SecondHand() as second:
        assert as_json(make_plan(mark, Job(), second.lay_all)) == alone
    assert noted == [abreast.OURS, abreast.THEIRS]


@pytest.mark.usefixtures("two_cores")
def test_where_no_process_can_be_started_this_one_does_it_all(
    mark: SizedDrawing, alone: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(sys, "executable", str(tmp_path / "nothing"))
    with SecondHand() as second:
        assert as_json(make_plan(mark, Job(), second.lay_all)) == alone


def test_one_core_is_not_shared(mark: SizedDrawing, alone: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(abreast, "cores", lambda: 1)
    noted = no_more_than_half(monkeypatch)
    with SecondHand() as second:
        assert as_json(make_plan(mark, Job(), second.lay_all)) == alone
    assert noted == [abreast.OURS, abreast.THEIRS]


@pytest.mark.usefixtures("two_cores")
def test_the_second_process_is_gone_once_it_is_not_needed() -> None:
    with SecondHand() as second:
        process = second._process
        assert process is not None
    assert process.returncode is not None
