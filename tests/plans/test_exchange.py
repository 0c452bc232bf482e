"""Whatever fails and whenever a run is killed, one whole plan is left and nothing beside it."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from analyse.errors import OutputError
from plans import exchange as exchanging
from plans import folder as writing
from plans.folder import DECISIONS
from tests.plans.folders import numbers, place

ROOT = Path(__file__).parents[2]


def no_exchange(one: Path, other: Path) -> bool:
    return False


@pytest.fixture(params=["exchange", "two renames"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    if request.param == "two renames":
        monkeypatch.setattr(exchanging, "exchange", no_exchange)
    return str(request.param)


def test_files_that_came_while_we_wrote_bring_the_old_folder_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    out = tmp_path / "out"
    place(out, 1)
    real = exchanging.put_in_place

    def slow(staged: Path, target: Path) -> Path | None:
        (target / "letter.txt").write_text("mine")
        return real(staged, target)

    monkeypatch.setattr(writing, "put_in_place", slow)
    with pytest.raises(OutputError):
        place(out, 2)
    assert (out / "letter.txt").read_text() == "mine"
    assert json.loads((out / "plan.json").read_bytes())["number"] == 1
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


class FailAt:
    """Lets the system's calls pass, but the n-th of them fails."""

    def __init__(self, number: int) -> None:
        self.left = number

    def around(self, call: Callable[..., object]) -> Callable[..., object]:
        def counted(*args: object, **kwargs: object) -> object:
            self.left -= 1
            if self.left == 0:
                raise OSError(28, "No space left on device")
            return call(*args, **kwargs)

        return counted


@pytest.mark.parametrize("before", [0, 1], ids=["new folder", "over a plan"])
def test_every_call_that_fails_leaves_one_whole_plan_and_no_litter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, before: int, way: str
) -> None:
    calls = {"fsync": os.fsync, "rename": os.rename, "mkdir": os.mkdir, "open": os.open}
    failed = 0
    for number in range(1, 60):
        base = tmp_path / str(number)
        base.mkdir()
        if before:
            place(base / "out", 1)
            (base / "out" / DECISIONS).write_bytes(b"# mine")
        fail = FailAt(number)
        with monkeypatch.context() as patch:
            for name, call in calls.items():
                patch.setattr(os, name, fail.around(call))
            raised = _raised(lambda base=base: place(base / "out", 2))
        if raised:
            failed += 1
            assert "No space left" in str(raised)
        left = {path.name for path in base.iterdir()}
        assert left <= {"out"}, (number, left)
        if left:
            assert numbers(base / "out") in ({1}, {2}), number
        assert before == 0 or (base / "out" / DECISIONS).read_bytes() == b"# mine"
        if fail.left > 0:
            break
    assert failed >= 8
    assert numbers(base / "out") == {2}


def _raised(act: Callable[[], None]) -> Exception | None:
    try:
        act()
    except OutputError as error:
        return error
    return None


def test_a_folder_that_was_moved_aside_by_a_killed_run_comes_back(tmp_path: Path) -> None:
    out = tmp_path / "out"
    place(out, 1)
    out.rename(tmp_path / ".out.scantling-old-abc")
    exchanging.recover(out)
    assert numbers(out) == {1}


def test_what_a_killed_run_left_is_swept_and_what_a_living_one_holds_is_not(tmp_path: Path) -> None:
    dead = tmp_path / ".out.scantling-new-dead"
    dead.mkdir()
    with exchanging.staging(tmp_path / "out") as living:
        assert not dead.exists()
        exchanging.recover(tmp_path / "out")
        assert living.exists()


KILLED = """
import sys
from pathlib import Path
sys.path.insert(0, {root!r})
from plans import exchange, folder
if {fallback}:
    exchange.exchange = folder.exchange = lambda one, other: False
print("ready", flush=True)
for number in range(2, 100000):
    files = dict.fromkeys(("report.html", "sheet.pdf", "stitches.csv"), str(number).encode())
    files["plan.json"] = ('{{"schema": "scantling.plan/1", "number": %d}}' % number).encode()
    folder.place_files(files, Path({out!r}), None, b"# suggested")
"""


@pytest.fixture
def killing(tmp_path: Path) -> Callable[[bool], Path]:
    def run(fallback: bool) -> Path:
        out = tmp_path / "out"
        code = KILLED.format(root=str(ROOT), out=str(out), fallback=fallback)
        child = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
        assert child.stdout
        child.stdout.readline()
        time.sleep(random.Random(len(list(tmp_path.iterdir()))).uniform(0.0, 0.12))
        child.send_signal(signal.SIGKILL)
        child.wait()
        child.stdout.close()
        return out

    return run


@pytest.mark.parametrize("fallback", [False, True], ids=["exchange", "two renames"])
def test_a_run_killed_at_any_moment_leaves_one_whole_plan(
    killing: Callable[[bool], Path], fallback: bool, tmp_path: Path
) -> None:
    place(tmp_path / "out", 1)
    (tmp_path / "out" / DECISIONS).write_bytes(b"# mine")
    for _ in range(4):
        out = killing(fallback)
        if not fallback:
            assert len(numbers(out)) == 1  # with two renames there is a moment between them, mended by the next run
        exchanging.recover(out)
        assert len(numbers(out)) == 1
        assert (out / DECISIONS).read_bytes() == b"# mine"
