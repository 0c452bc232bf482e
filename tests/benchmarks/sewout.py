"""How long the sew-out, the density, the estimate and the detail kept take on a piece of about 7,000 stitches.

Run: python tests/benchmarks/sewout.py. Each line is the median of fresh processes; CPU time beside the wall's, since a
busy machine stretches only the latter. Budget: 0.6 s for the drawing at 300 dpi, 0.2 s at the report's dpi.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
RUNS = 5


def piece() -> tuple[object, ...]:
    """A three-inch piece: two fills, nine columns over them, lines: stitches, steps, sized."""
    import numpy as np
    from shapely import box

    from analyse.values import Feature
    from plans.values import Lay
    from tests.plans.sewout.pieces import line, rows, sew, sized_of, turned, zigzag

    sewn = [(rows(0, 0, 76, 30), "fill", 0, Lay.TOP), (rows(0, 30, 76, 58), "fill", 1, Lay.TOP)]
    for number in range(9):
        points = turned(zigzag(-20, -1, 40, 2.0), 10.0 * number) + np.array([8 + 7.5 * number, 29])
        sewn.append((points, "column", 2, Lay.TOP))
    sewn += [(line((2, 3 + 5 * k), (74, 5 + 5 * k), 1.5), "running", 2, Lay.TOP) for k in range(10)]
    shapes = [(box(0, 0, 76, 30), 0, "fill"), (box(0, 30, 76, 58), 1, "fill")]
    shapes += [(box(*points.min(axis=0), *points.max(axis=0)), thread, kind) for points, kind, thread, _ in sewn[2:]]
    features = [
        Feature("stroke", (4.0 * n % 76, 1.0 + 0.55 * n), 1.0, 0.2, "mm", 40.0, "holds", weight=0.01, part=2 + n % 19)
        for n in range(100)
    ]
    threads = [(27, 42, 74), (201, 151, 56), (246, 244, 238)]
    return *sew(sewn), sized_of(threads, (76.2, 58.0), shapes=shapes, features=features, cloth="pique-knit")


def measure(what: str) -> None:
    """One thing, once, in this process: prints wall and CPU seconds of the call alone."""
    stitches, steps, sized = piece()
    calls = calls_for(stitches, steps, sized)
    wall, cpu = time.perf_counter(), time.process_time()
    calls[what]()
    print(time.perf_counter() - wall, time.process_time() - cpu, len(stitches.xy))


def calls_for(stitches, steps, sized):  # type: ignore[no-untyped-def]
    """What can be measured, by name."""
    from plans.density import measure_density
    from plans.estimate import estimate
    from plans.sewout import detail_kept, draw_sewout

    return {
        "sew-out, 300 dpi": lambda: draw_sewout(stitches, steps, sized, dpi=300),
        "sew-out, 200 dpi": lambda: draw_sewout(stitches, steps, sized, dpi=200),
        "sew-out, 150 dpi": lambda: draw_sewout(stitches, steps, sized, dpi=150),
        "back, 150 dpi": lambda: draw_sewout(stitches, steps, sized, dpi=150, back=True),
        "density": lambda: measure_density(stitches, steps, sized),
        "estimate": lambda: estimate(stitches, steps, sized),
        "detail kept": lambda: detail_kept(stitches, steps, sized),
    }


def main() -> None:
    """Each call in fresh processes, median."""
    sys.path.insert(0, str(ROOT))
    if len(sys.argv) > 1:
        measure(sys.argv[1])
        return
    for what in calls_for(*piece()):
        rows = [
            [float(value) for value in run.stdout.split()]
            for run in (
                subprocess.run([sys.executable, __file__, what], cwd=ROOT, capture_output=True, text=True, check=True)
                for _ in range(RUNS)
            )
        ]
        wall, cpu, count = (statistics.median(column) for column in zip(*rows, strict=True))
        print(f"{what:20} {wall * 1000:6.0f} ms wall {cpu * 1000:6.0f} ms CPU, {count:.0f} needle points")


if __name__ == "__main__":
    main()
