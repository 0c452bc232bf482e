"""The budget: each step of a cold plan beside its share, in one table.

    python tests/benchmarks/budget.py [ART ...] [--width 76.2] [--runs 5]

Without ART it times the largest demo artwork. Steps are timed in fresh processes, so imports are paid where they
fall; the median of the runs is printed, with the fastest beside it, and the processor's time: a busy machine
stretches only the clock's. Shares are of the clock, on two cores that are free.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
BUDGET_S = {
    "start and imports": 0.35,
    "read and trace": 0.75,
    "at(): kinds, features": 0.15,
    "lay and compare": 0.55,
    "files": 0.55,
    "all": 2.5,
}


def now() -> tuple[float, float]:
    """Seconds by the clock, and those of the processor: this process and its children."""
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.perf_counter(), time.process_time() + children.ru_utime + children.ru_stime


def one_run(art: str, width_mm: float) -> dict[str, list[float]]:
    """Time the steps of one plan in this process, by the clock and the processor; the process must be fresh."""
    took: dict[str, list[float]] = {}
    begun = now()
    from plans.abreast import SecondHand

    def since(start: tuple[float, float]) -> list[float]:
        return [end - first for end, first in zip(now(), start, strict=True)]

    def timed(name: str, step: Callable[[], Any]) -> Any:
        start = now()
        result = step()
        took[name] = since(start)
        return result

    second = SecondHand()

    def load() -> None:
        for module in (
            "numpy",
            "cv2",
            "shapely",
            "analyse.tracing",
            "analyse.sizing",
            "plans.planning",
            "plans.folder",
        ):
            import_module(module)

    timed("start and imports", load)
    from analyse import read_artwork, trace
    from plans import Job, make_plan, write_plan

    drawing = timed("read and trace", lambda: trace(read_artwork(art)))
    sized = timed("at(): kinds, features", lambda: drawing.at(width_mm=width_mm, cloth="pique-knit"))
    plan = timed("lay and compare", lambda: make_plan(sized, Job(), second.lay_all))
    second.__exit__()
    with tempfile.TemporaryDirectory() as folder:
        timed("files", lambda: write_plan(plan, Path(folder) / "plan"))
    took["all"] = since(begun)
    took["peak MB"] = [resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]
    took["second's MB"] = [resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024]
    took["parts"] = [len(sized.parts)]
    took["stitches"] = [plan.estimate.stitches]
    return took


def table(art: str, width_mm: float, runs: int) -> str:
    """The table of one artwork, medians over fresh processes."""
    command = [sys.executable, __file__, art, "--width", str(width_mm), "--one"]
    as_started = {"OPENBLAS_NUM_THREADS": "1", **os.environ}  # as the command line begins
    taken = [json.loads(subprocess.check_output(command, cwd=ROOT, env=as_started)) for _ in range(runs)]
    head = f"{'step':<24}{'median':>9}{'best':>9}{'share':>9}{'processor':>11}"
    rows = [f"{Path(art).name}, {width_mm:g} mm, {runs} runs, seconds", head]
    for name in taken[0]:
        clock = [run[name][0] for run in taken]
        share = f"{BUDGET_S[name]:.2f}" if name in BUDGET_S else ""
        used = f"{min(run[name][1] for run in taken):.2f}" if len(taken[0][name]) > 1 else ""
        rows.append(f"{name:<24}{statistics.median(clock):>9.2f}{min(clock):>9.2f}{share:>9}{used:>11}")
    return "\n".join(rows)


def main() -> None:
    """Print one table an artwork."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("art", nargs="*")
    parser.add_argument("--width", type=float, default=76.2)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--one", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        print(json.dumps(one_run(asked.art[0], asked.width)))
        return
    largest = max((ROOT / "images").glob("*.[pj][np]g"), key=lambda path: path.stat().st_size)
    for art in asked.art or [str(largest)]:
        print(table(art, asked.width, asked.runs), end="\n\n")


if __name__ == "__main__":
    main()
