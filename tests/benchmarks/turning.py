"""Whether turning an artwork changes how a part is sewn that is sure of its kind, on every demo artwork.

Each is turned, read anew and sized alike; a part is looked for where it was turned to. Printed for each artwork and
angle: how many of the sure parts changed, and which; and which share of parts and of the sewn area is sure.
Run: .venv/bin/python tests/benchmarks/turning.py [NAME.svg ...]
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from analyse.sizing import size_drawing
from tests.analyse.kinds.test_doubt import IMAGES, SURE, WIDTH_MM, changed_by_turning, drawn

ANGLES_DEG = (17.0, 45.0)


def shares(name: str) -> tuple[float, float]:
    """Shares of the sewn parts and of their area that are sure of their kind."""
    sewn = [part for part in size_drawing(drawn(name), width_mm=WIDTH_MM).parts if part.kind != "drop"]
    sure = [part for part in sewn if part.certainty >= SURE]
    return len(sure) / len(sewn), sum(p.outline_mm.area for p in sure) / sum(p.outline_mm.area for p in sewn)


def main(names: list[str]) -> None:
    total = wrong = 0
    for name in names or sorted(path.name for path in IMAGES.glob("*.svg")):
        parts, area = shares(name)
        print(f"{name}: sure {parts:.0%} of the parts, {area:.0%} of the area", flush=True)
        for angle_deg in ANGLES_DEG:
            sure, changed = changed_by_turning(name, angle_deg)
            total, wrong = total + sure, wrong + len(changed)
            print(f"  {angle_deg:.0f} deg: {len(changed)} of {sure} changed", *changed, flush=True)
    print(f"all: {wrong} of {total} changed, {wrong / max(total, 1):.2%}")


if __name__ == "__main__":
    main(sys.argv[1:])
