"""The README cannot drift: its commands run, what they print is what it shows, its pictures are shipped."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from analyse.trade import default_trade
from plans.decisions import parse_decisions
from plans.settings import read_shop

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SCANTLING = [sys.executable, "-m", "plans"]


def sessions() -> list[tuple[str, str]]:
    """Every `$ scantling ...` of the README with the output it shows (up to the next prompt)."""
    found = []
    for block in re.findall(r"```console\n(.*?)```", README, re.DOTALL):
        for shown in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, output = shown.partition("\n")
            found.append((command, output))
    return found


def run(command: str, folder: Path) -> subprocess.CompletedProcess[str]:
    words = shlex.split(command)
    assert words[0] == "scantling", command
    (folder / "images").symlink_to(ROOT / "images")
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "100"}
    return subprocess.run(
        [*SCANTLING, *words[1:]], cwd=folder, env=environment, capture_output=True, text=True, check=False
    )


def test_the_readme_shows_commands() -> None:
    assert len(sessions()) >= 3


@pytest.mark.parametrize(("command", "shown"), sessions(), ids=[command for command, _ in sessions()])
def test_what_the_readme_shows_is_what_the_command_prints(command: str, shown: str, tmp_path: Path) -> None:
    done = run(command, tmp_path)
    assert done.returncode == 0, done.stderr
    assert [line for line in shown.splitlines() if line.strip() and line != "..."], f"{command} shows no output"
    for line in filter(None, shown.splitlines()):
        if line != "...":
            assert line in done.stdout.splitlines(), f"{line!r} is not in\n{done.stdout}"


def test_every_option_is_explained() -> None:
    done = subprocess.run([*SCANTLING, "plan", "--help"], cwd=ROOT, capture_output=True, text=True, check=True)
    options = set(re.findall(r"--[a-z][a-z-]+", done.stdout))
    assert len(options) > 10
    assert {option for option in options if f"`{option}" not in README} == set()


def test_every_command_is_explained() -> None:
    done = subprocess.run([*SCANTLING, "--help"], cwd=ROOT, capture_output=True, text=True, check=True)
    commands = re.findall(r"^  ([a-z]+)  ", done.stdout.partition("Commands:")[2], re.MULTILINE)
    assert "plan" in commands
    assert {name for name in commands if f"`scantling {name}" not in README} == set()


def test_every_picture_is_shipped() -> None:
    pictures = re.findall(r"!\[[^\]]*\]\(([^)]+)\)|<img[^>]+src=\"([^\"]+)\"", README)
    names = [a or b for a, b in pictures]
    assert names
    assert [name for name in names if not (ROOT / name).is_file()] == []


def test_the_two_commands_are_there_to_paste() -> None:
    for script in (".start/plan", ".start/check"):
        assert f"sh {script}" in README
        assert (ROOT / script).is_file()


def test_the_files_it_shows_are_taken_as_they_stand(tmp_path: Path) -> None:
    decided, own = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)
    found = parse_decisions(decided.encode(), "README.md", default_trade())
    assert found.turned
    assert found.kept == ()
    shop = tmp_path / "shop.toml"
    shop.write_text(own, encoding="utf-8")
    read = read_shop(shop, default_trade())
    assert len(read.trade.own) >= 5
    assert read.doubts == ()
