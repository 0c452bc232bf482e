"""Speed of laying stitches, and how it grows. Times are the best of three, in CPU seconds.

    python tests/benchmarks/stitching.py [growth] [plan]

growth: one table from 1,000 to 200,000 stitches. plan: 7,000 stitches of all kinds.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import shapely
from shapely import MultiPolygon, Point, Polygon, box

sys.path.insert(0, str(Path(__file__).parents[2]))

from analyse.trade import default_trade
from plans.stitching.joins import tied
from plans.stitching.laying import lay_sewing
from plans.stitching.prepared import forget
from plans.values import Sewing, Trail, Underlay
from tests.plans.stitching.shapes import random_shape
from tests.plans.stitching.spines import arc, band, outline, random_spine

TRADE = default_trade()
UNDER = (Underlay("edge-run", 0.5), Underlay("rows", 0.5, 2.5))
COIL_MM = 20.0


def best_of(times: int, work: Callable[[], Trail]) -> tuple[float, Trail]:
    """Least CPU time of a few runs, and what the last one laid."""
    spent = []
    for _ in range(times):
        forget()
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
    """Time against stitches: a plain square, a plate with many holes and its underlay, and one long coiled column."""
    print(f"{'asked':>8} {'square':>9} {'s':>8} {'us each':>8}   {'sieve':>9} {'s':>8} {'us each':>8}   ", end="")
    print(f"{'column':>9} {'s':>8} {'us each':>8}")
    for asked in (1_000, 2_000, 5_000, 10_000, 20_000, 50_000, 100_000, 200_000):
        side = math.sqrt(asked / 1.5)
        way = np.linspace(0, asked / 5 / COIL_MM, max(int(asked / 2), 50))
        spiral = band(COIL_MM * np.column_stack([np.cos(way), np.sin(way)]), 3.0)
        long = Sewing(0, 0, "column", "body", 0, Point(0, 0).buffer(1), spines=(spiral,), spacing_mm=0.4)
        row = [f"{asked:>8}"]
        for sewing in (fill(box(0, 0, side, side)), fill(sieve(side), underlay=UNDER), long):
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
        forget()
        begun = time.process_time()
        trails = [tied(lay_sewing(sewing, TRADE), TRADE) for sewing in sewings]
        spent, count = min(spent, time.process_time() - begun), sum(len(trail.xy) for trail in trails)
    print(f"{len(sewings)} sewings, {count} stitches: {spent:.3f} s CPU, {spent / count * 7000:.3f} s for 7,000")


if __name__ == "__main__":
    for word in sys.argv[1:] or ["growth", "plan"]:
        {"growth": growth, "plan": plan}[word]()
