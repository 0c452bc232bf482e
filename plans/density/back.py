"""The back of the cloth: where ties, cut ends and short stitches gather into a lump."""

from __future__ import annotations

import numpy as np

from analyse.values import Floats, SizedDrawing
from plans.density.deposit import Grid, deposit, sewn_rows, stitch_lengths
from plans.density.patches import peaks_over
from plans.density.window import over_window
from plans.values import HardPatch, Lay, Move, Step, Stitches

NAMES = {"tie": "tie stitches", "trim": "cut ends", "short": "short stitches"}


def listed(things: list[str]) -> str:
    """`a, b and c`."""
    return " and ".join([", ".join(things[:-1]), things[-1]] if len(things) > 1 else things)


def knots_at(stitches: Stitches, steps: tuple[Step, ...], short_mm: float) -> dict[str, Floats]:
    """Where ties, trims and other short stitches lie: (N, 2) mm each. A fill's turns lie flat and do not count."""
    rows = sewn_rows(stitches)
    fill = np.array([step.sewing.kind == "fill" for step in steps], np.bool_)[stitches.step[rows]]
    tie = stitches.lay[rows] == Lay.TIE
    short = ~tie & ~fill & (stitch_lengths(stitches, rows) < short_mm)
    cut = np.flatnonzero(stitches.move == Move.TRIM)
    ends = np.concatenate([cut - 1, cut])
    return {"tie": stitches.xy[rows[tie]], "trim": stitches.xy[ends], "short": stitches.xy[rows[short]]}


def back_lumps(grid: Grid, stitches: Stitches, steps: tuple[Step, ...], sized: SizedDrawing) -> tuple[HardPatch, ...]:
    """Lumps on the back, worst first."""
    trade = sized.trade
    most, window = float(trade.value("density.back_knots")), float(trade.value("density.window"))
    found = knots_at(stitches, steps, float(trade.value("tie.length")))
    spread = {name: deposit(grid, xy, np.ones(len(xy))) for name, xy in found.items()}
    number = {
        name: over_window(knots, window, grid.cell_mm) * (window / grid.cell_mm) ** 2 for name, knots in spread.items()
    }
    total = number["tie"] + number["trim"] + number["short"]
    patches = []
    reach = round(float(trade.value("density.apart")) / grid.cell_mm)
    for cell in peaks_over(total, most, reach):
        found_there = [(name, round(float(number[name][cell]))) for name in NAMES]
        because = f"{listed([f'{count} {NAMES[name]}' for name, count in found_there if count])} gather on the back"
        cure = "start and end these parts a few mm apart, or travel hidden instead of trimming"
        patches.append(HardPatch(grid.centre_mm(*cell), float(total[cell]), because, cure, "knots", most))
    return tuple(patches)
