"""Why the thread is cut: trims of every demo artwork by their cause, for each approach.

    python tests/benchmarks/trims.py [ART ...] [--width 76.2] [--approach NAME] [--each]

Without ART all demo artworks are laid. A cause is a change of thread, or what lies on either side of the cut with how
far apart it is. --each prints every cut with its place and its two parts.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import shapely

from analyse import read_artwork, trace
from analyse.values import SizedDrawing
from plans import Job
from plans.approaches import APPROACHES
from plans.lay import lay
from plans.layers import survey
from plans.order.cover import closes
from plans.values import LaidPlan, Move, Sewing

ROOT = Path(__file__).parents[2]
DEMOS = sorted(path for path in (ROOT / "images").glob("*.svg"))
CHANGE = "change of thread"
BANDS_MM = (2.0, 5.0, 12.0, 25.0, np.inf)


def cuts(plan: LaidPlan, sized: SizedDrawing) -> Iterator[tuple[int, float, str]]:
    """Row, distance and cause of each trim."""
    stitches = plan.stitches
    for row in np.flatnonzero(stitches.move == Move.TRIM).tolist():
        before, after = (plan.steps[stitches.step[at]].sewing for at in (row - 1, row))
        far = float(np.hypot(*(stitches.xy[row] - stitches.xy[row - 1])))
        yield row, far, _cause(sized, before, after)


def islands(plan: LaidPlan, sized: SizedDrawing) -> int:
    """Groups of shapes that thread must be cut between: of one thread further apart than may show, nothing over them.

    Anything sewn in another thread between two of them, which might hide a way, counts as joining them.
    """
    reach = float(sized.trade.value("travel.trim_over")) / 2
    found = 0
    for thread in {step.sewing.thread for step in plan.steps}:
        own = [step.sewing.shape.buffer(reach) for step in plan.steps if step.sewing.thread == thread]
        over = [
            step.sewing.shape
            for step in plan.steps
            if step.sewing.thread != thread and closes(step.sewing, sized.trade)
        ]
        whole = shapely.get_parts(shapely.union_all([*own, *over]))
        mine = shapely.union_all([shape.representative_point() for shape in own])
        found += int(shapely.intersects(whole, mine).sum())
    return found


def _cause(sized: SizedDrawing, before: Sewing, after: Sewing) -> str:
    if before.thread != after.thread:
        return CHANGE
    first, second = sized.parts[before.part], sized.parts[after.part]
    if before is after:
        return f"inside a {after.kind}"
    if first.region == second.region:
        return f"pieces of one shape, {before.kind} to {after.kind}"
    if first.role_hint == second.role_hint == "letter":
        return "letters of one line" if first.family == second.family else "lines of lettering"
    return f"shapes, {before.kind} to {after.kind}"


def _band(far: float) -> str:
    return next(f"under {limit:g} mm" if np.isfinite(limit) else "further" for limit in BANDS_MM if far < limit)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("arts", nargs="*", type=Path, default=DEMOS)
    asked.add_argument("--width", type=float, default=76.2)
    asked.add_argument("--cloth", default="twill")
    asked.add_argument("--approach", default="")
    asked.add_argument("--each", action="store_true")
    args = asked.parse_args()
    for art in args.arts:
        sized = trace(read_artwork(art)).at(width_mm=args.width, cloth=args.cloth)
        ground = survey(sized, Job())
        for approach in APPROACHES:
            if args.approach in ("", approach.name):
                report(art.name, lay(ground, approach), sized, each=args.each)


def report(name: str, plan: LaidPlan, sized: SizedDrawing, *, each: bool) -> None:
    cost = plan.estimate
    rate = 1000 * cost.trims / max(cost.stitches, 1)
    blocks = cost.colour_changes + 1
    print(f"{name}, {plan.approach}: {cost.trims} trims on {cost.stitches:,} stitches, {rate:.2f} per 1,000;", end=" ")
    print(f"{blocks} colour blocks (no order has under {plan.fewest_changes + 1}), {cost.jumps} jumps")
    found = list(cuts(plan, sized))
    print(f"    what lies apart on bare cloth asks for {islands(plan, sized) - 1} cuts and more")
    told = (cause if cause == CHANGE else f"{cause}, {_band(far)}" for _, far, cause in found)
    for cause, count in Counter(told).most_common():
        print(f"    {count:4d}  {cause}")
    for row, far, cause in found if each else ():
        before, after = (plan.steps[plan.stitches.step[at]].sewing.part for at in (row - 1, row))
        (x0, y0), (x, y) = plan.stitches.xy[row - 1], plan.stitches.xy[row]
        print(f"        {x0:5.1f},{y0:5.1f} > {x:5.1f},{y:5.1f}  {far:5.1f} mm  p{before} > p{after}  {cause}")


if __name__ == "__main__":
    main()
