"""The house with one line a module, from the modules' own first lines.

python tests/house.py        writes the section of DEVELOPERS.md anew
"""

from __future__ import annotations

import ast
from pathlib import Path

ROOT = Path(__file__).parents[1]
GUIDE = ROOT / "DEVELOPERS.md"
START, END = "<!-- house: python tests/house.py -->\n", "<!-- end of house -->\n"


def lines() -> str:
    """A Markdown table a package, each module with the question it answers."""
    found = []
    for package in ("analyse", "plans"):
        modules = sorted((ROOT / package).rglob("*.py"))
        rows = [f"| `{path.relative_to(ROOT)}` | {first_line(path)} |" for path in modules]
        found += [f"\n### {package}\n", "| module | what it answers |", "|---|---|", *rows]
    return "\n".join(found) + "\n"


def first_line(path: Path) -> str:
    """The first line of a module's docstring."""
    return (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").partition("\n")[0]


def section(text: str) -> str:
    """What the guide says between the marks."""
    return text.partition(START)[2].partition(END)[0]


if __name__ == "__main__":
    guide = GUIDE.read_text(encoding="utf-8")
    GUIDE.write_text(guide.replace(START + section(guide) + END, START + lines() + END), encoding="utf-8")
