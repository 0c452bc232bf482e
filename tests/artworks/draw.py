"""Draws the demo artworks: `python tests/artworks/draw.py [NAME ...]` writes images/NAME.svg."""

from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path

HERE = Path(__file__).parent
IMAGES = HERE.parents[1] / "images"


def main(names: list[str]) -> None:
    sys.path.insert(0, str(HERE))
    drawn = sorted(path.stem for path in (HERE / "drawn").glob("*.py"))
    for stem in names or drawn:
        sheet = import_module(f"drawn.{stem.replace('-', '_')}").draw()
        (IMAGES / f"{stem.replace('_', '-')}.svg").write_text(sheet.svg(), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
