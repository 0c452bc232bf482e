"""What each approach keeps of the detail, and whether leaving a part out ever gains: on whole artworks.

    python tests/benchmarks/sewout_kept.py ART... [--width 76.2] [--most 40]

For each artwork: `detail_kept` of the four approaches, then the recommended plan once more without each of its steps
(evenly spread, at most `--most` of them). Held: no plan with a step left out scores higher; exit 1 if one does.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np

from plans.sewout import detail_kept
from plans.values import Move, Plan, Step, Stitches

ROUNDING = 1e-9


def without(stitches: Stitches, steps: tuple[Step, ...], left_out: int) -> tuple[Stitches, tuple[Step, ...]]:
    """The same plan with one step not sewn."""
    rows = np.flatnonzero(stitches.step != left_out)
    step = stitches.step[rows]
    move = stitches.move[rows].copy()
    move[:1] = Move.JUMP
    fewer = Stitches(stitches.xy[rows], move, stitches.lay[rows], np.where(step > left_out, step - 1, step))
    return fewer, steps[:left_out] + steps[left_out + 1 :]


def gains(plan: Plan, most: int) -> tuple[int, list[tuple[int, float]]]:
    """How many steps were left out in turn, and (number from 1, gain) of those whose loss scored higher."""
    whole = detail_kept(plan.stitches, plan.steps, plan.sized)
    tried = np.unique(np.linspace(0, len(plan.steps) - 1, min(most, len(plan.steps))).round().astype(int))
    found = []
    for number in tried.tolist():
        more = detail_kept(*without(plan.stitches, plan.steps, number), plan.sized) - whole
        if more > ROUNDING:
            found.append((number + 1, more))
    return len(tried), found


def main() -> None:
    """Print a line for each artwork."""
    from analyse import read_artwork, trace
    from plans import Job, make_plan

    options = argparse.ArgumentParser()
    options.add_argument("art", nargs="+")
    options.add_argument("--width", type=float, default=76.2)
    options.add_argument("--most", type=int, default=40)
    given = options.parse_args()
    broken = 0
    for art in given.art:
        plan = make_plan(trace(read_artwork(art)).at(width_mm=given.width), Job())
        kept = {laid.approach: laid.detail_kept for laid in plan.approaches}
        tried, found = gains(plan, given.most)
        broken += len(found)
        shares = ", ".join(f"{name} {share:.0%}" for name, share in sorted(kept.items()))
        told = f"; gains {', '.join(f'{more:.4f} without step {number}' for number, more in found)}" if found else ""
        print(f"{Path(art).name}: {shares}; {tried} steps left out in turn, {len(found)} gain{told}", flush=True)
    print(f"never higher with a part left out: {'held' if not broken else 'NOT held'}")
    raise SystemExit(1 if broken else 0)


if __name__ == "__main__":
    main()
