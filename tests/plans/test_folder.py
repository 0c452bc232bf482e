"""The plan folder is written whole or not at all, whatever fails, and a practitioner's own file is never lost."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from analyse.errors import OutputError
from plans import exchange as exchanging
from plans import folder as writing
from plans.folder import DECISIONS, OURS, SUGGESTIONS, check_folder, write_plan
from tests.plan_fixture import plan
from tests.plans.folders import numbers, place

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
