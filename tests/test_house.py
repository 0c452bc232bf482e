"""The house: what stands at the top level, and which way imports run."""

from __future__ import annotations

import ast
import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
RANKS = [
    row
    for row in (ROOT / "tests/ranks.txt").read_text(encoding="utf-8").splitlines()
    if row and not row.startswith("#")
]
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "analyse", "plans", "tests", "images", "LICENSE"}
MODULES = sorted([*(ROOT / "analyse").rglob("*.py"), *(ROOT / "plans").rglob("*.py")])
HEAVY = {"matplotlib", "scipy", "sklearn", "skimage", "pandas", "distributed"}


def module_name(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def rank_row(module: str) -> str:
    matching = [row for row in RANKS if module == row or module.startswith(f"{row}.")]
    assert matching, f"{module} has no rank: give it a row in tests/ranks.txt"
    return max(matching, key=len)


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            base = node.module
            for alias in node.names:
                below = ROOT / Path(*base.split(".")) / alias.name
                is_module = below.is_dir() or below.with_suffix(".py").is_file()
                names.add(f"{base}.{alias.name}" if is_module else base)
    return {name for name in names if name.split(".")[0] in ("analyse", "plans")}


def test_the_top_level_holds_what_it_may() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    top = {line.split("/")[0] for line in listed.splitlines()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL


@pytest.mark.parametrize("path", MODULES, ids=module_name)
def test_a_file_imports_only_from_lower_ranks(path: Path) -> None:
    own = module_name(path)
    own_row = rank_row(own)
    for name in imported(path):
        other_row = rank_row(name)
        if name != own and other_row != own_row:
            assert RANKS.index(other_row) < RANKS.index(own_row), f"{own} imports {name} from above"


@pytest.mark.parametrize("path", MODULES, ids=module_name)
def test_no_module_outgrows_its_name(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 300


def test_importing_the_packages_loads_nothing_heavy() -> None:
    code = "import sys, analyse, plans; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    roots = {name.split(".")[0] for name in loaded.stdout.split()}
    assert not roots & (HEAVY | {"numpy", "cv2", "shapely", "PIL"})


def test_the_guide_names_every_module() -> None:
    spec = importlib.util.spec_from_file_location("house", ROOT / "tests" / "house.py")
    assert spec
    assert spec.loader
    house = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(house)
    assert house.section(house.GUIDE.read_text(encoding="utf-8")) == house.lines(), "run: python tests/house.py"
