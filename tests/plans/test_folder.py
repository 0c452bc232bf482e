"""The plan folder is written whole or not at all, whatever fails, and a practitioner's own file is never lost."""

from __future__ import annotations

import hashlib
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
from plans.folder import DECISIONS, OURS, SUGGESTIONS, check_folder, place_files, write_plan
from tests.plan_fixture import plan

ROOT = Path(__file__).parents[2]
FILES = {
    "report.html",
    "sheet.pdf",
    "plan.json",
    "layers.svg",
    "to-draw-over.png",
    "stitches.csv",
    "sewout.png",
    DECISIONS,
}


def generation(number: int) -> dict[str, bytes]:
    """A small plan folder whose files all say the same number."""
    document = json.dumps({"schema": "scantling.plan/1", "number": number}).encode()
    return {"plan.json": document, **{f: str(number).encode() for f in ("report.html", "sheet.pdf", "stitches.csv")}}


def numbers(folder: Path) -> set[int]:
    told = {
        int(path.read_bytes()) for path in folder.iterdir() if path.name not in {"plan.json", DECISIONS, SUGGESTIONS}
    }
    return told | {json.loads((folder / "plan.json").read_bytes())["number"]}


def place(folder: Path, number: int, given: bytes | None = None) -> None:
    place_files(generation(number), folder, given, b"# suggested\n")


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_plan(plan(), tmp_path_factory.mktemp("out") / "badge-plan")


def test_the_folder_holds_the_files_of_the_contract(written: Path) -> None:
    assert {path.name for path in written.iterdir()} == FILES
    assert FILES <= OURS
    assert all(path.stat().st_size > 100 for path in written.iterdir())


def test_nothing_is_left_beside_the_folder(written: Path) -> None:
    assert [path.name for path in written.parent.iterdir()] == ["badge-plan"]


def test_a_second_run_writes_the_same_bytes(written: Path, tmp_path: Path) -> None:
    again = write_plan(plan(), tmp_path / "other-plan")
    for path in written.iterdir():
        assert path.read_bytes() == (again / path.name).read_bytes(), path.name


def test_a_plan_of_ours_is_replaced_whole(tmp_path: Path) -> None:
    out = tmp_path / "out"
    place(out, 1)
    (out / "customer.html").write_text("1")  # a file of ours that the next plan does not write
    place(out, 2)
    assert numbers(out) == {2}
    assert not (out / "customer.html").exists()


@pytest.mark.parametrize("guest", ["notes.txt", "crest.png", "sub/plan.json"])
def test_a_folder_with_foreign_files_is_refused_and_kept(tmp_path: Path, guest: str) -> None:
    out = tmp_path / "out"
    place(out, 1)
    (out / guest).parent.mkdir(exist_ok=True)
    (out / guest).write_text("mine")
    with pytest.raises(OutputError) as refused:
        check_folder(out)
    assert guest.partition("/")[0] in str(refused.value)
    assert (out / guest).read_text() == "mine"
    assert refused.value.exit_code == 5


def test_a_folder_that_only_looks_like_a_plan_is_refused(tmp_path: Path) -> None:
    (tmp_path / "report.html").write_text("someone else's report")
    with pytest.raises(OutputError):
        check_folder(tmp_path)
    (tmp_path / "plan.json").write_text('{"schema": "other.plan/1"}')
    with pytest.raises(OutputError):
        check_folder(tmp_path)


@pytest.mark.parametrize("where", ["/proc/nobody/plan", "/dev/null", "/dev/null/plan", "x" * 300])
def test_a_place_that_cannot_be_written_is_refused_before_any_work(where: str) -> None:
    with pytest.raises(OutputError) as refused:
        check_folder(Path(where).absolute())
    assert refused.value.do


def test_an_empty_folder_and_one_that_is_not_there_are_taken(tmp_path: Path) -> None:
    check_folder(tmp_path)
    place(tmp_path / "a" / "b" / "out", 1)
    assert numbers(tmp_path / "a" / "b" / "out") == {1}


def test_a_link_to_a_folder_is_followed_and_stays_a_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real", tmp_path / "link"
    place(real, 1)
    link.symlink_to(real)
    place(writing.resolved(link), 2)
    assert link.is_symlink()
    assert numbers(real) == {2}


def test_decisions_are_carried_over_byte_for_byte_and_new_ones_stand_beside(tmp_path: Path) -> None:
    own = b"[job]\r\nwidth = 80 # mine\xc3\xa9\r\n"
    place(tmp_path / "out", 1)
    assert (tmp_path / "out" / DECISIONS).read_bytes() == b"# suggested\n"
    (tmp_path / "out" / DECISIONS).write_bytes(own)
    place(tmp_path / "out", 2, given=b"# another file")
    assert (tmp_path / "out" / DECISIONS).read_bytes() == own
    assert (tmp_path / "out" / SUGGESTIONS).read_bytes() == b"# suggested\n"


def test_a_decisions_file_given_goes_into_a_new_folder_as_it_is(tmp_path: Path) -> None:
    place(tmp_path / "out", 1, given=b"# given")
    assert (tmp_path / "out" / DECISIONS).read_bytes() == b"# given"


def test_decisions_changed_while_we_wrote_are_not_lost(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    place(out, 1)
    real = exchanging.put_in_place

    def slow(staged: Path, target: Path) -> Path | None:
        (target / DECISIONS).write_bytes(b"# saved in that moment")
        return real(staged, target)

    monkeypatch.setattr(writing, "put_in_place", slow)
    place(out, 2)
    assert (out / DECISIONS).read_bytes() == b"# saved in that moment"
    assert numbers(out) == {2}


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


def test_a_name_that_is_no_text_is_written_as_an_escape(tmp_path: Path) -> None:
    made = write_plan(plan("crest-\udc80.png"), tmp_path / "out")
    assert json.loads((made / "plan.json").read_bytes())["artwork"]["file"] == "crest-\udc80.png"
    assert rb"crest-\udc80.png" in (made / "report.html").read_bytes()


SIGNED = """
import hashlib, sys
from pathlib import Path
sys.path.insert(0, {root!r})
from plans.folder import write_plan
from tests.plan_fixture import plan
folder = write_plan(plan(), "out")
for path in sorted(folder.iterdir()):
    print(path.name, hashlib.sha256(path.read_bytes()).hexdigest())
"""


def test_another_process_seed_zone_language_and_folder_write_the_same_bytes(written: Path, tmp_path: Path) -> None:
    elsewhere = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Asia/Kolkata", "LC_ALL": "C", "OMP_NUM_THREADS": "2"}
    code = SIGNED.format(root=str(ROOT))
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, env=elsewhere, capture_output=True, text=True, check=True
    )
    ours = [f"{path.name} {hashlib.sha256(path.read_bytes()).hexdigest()}" for path in sorted(written.iterdir())]
    assert done.stdout.split("\n")[:-1] == ours
