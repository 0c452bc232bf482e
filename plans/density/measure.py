"""Density of a laid plan: full layers and needle points on a grid, judged over the trade's window."""

from __future__ import annotations

import numpy as np

from analyse.trade import Trade
from analyse.values import SizedDrawing
from plans.density.back import back_lumps
from plans.density.cures import stitch_counts
from plans.density.deposit import cut_up, deposit, grid_over, sewn_rows
from plans.density.parallel import sinking
from plans.density.patches import Ground, hard_patches
from plans.density.window import over_window
from plans.values import Density, Step, Stitches


def full_layer_mm(trade: Trade, thread: str) -> float:
    """Thread in mm that covers one mm2 once: the 40-weight row, scaled by the strand."""
    strand = float(trade.value("thread.strand", thread=thread)) / float(trade.value("thread.strand", thread="40"))
    return float(trade.value("density.full_layer")) / strand


def measure_density(stitches: Stitches, steps: tuple[Step, ...], sized: SizedDrawing) -> Density:
    """Full layers and needle points per mm2 of everything sewn, underlay, ties and travel included.

    The sum of `layers` x cell area x full layer is the thread laid, exactly. Loose jumps are not counted: they are
    snipped. Accuracy away from edges: 3 % of a layer over the judging window.
    """
    rows = sewn_rows(stitches)
    grid = grid_over(stitches.xy)
    pieces = cut_up(stitches, rows)
    area, full = grid.cell_mm**2, full_layer_mm(sized.trade, sized.thread)
    layers = deposit(grid, pieces.xy, pieces.length) / area / full
    points = deposit(grid, stitches.xy[rows], np.ones(len(rows))) / area
    window = float(sized.trade.value("density.window"))
    stacked, pricked = (over_window(values, window, grid.cell_mm) for values in (layers, points))
    sunk = sinking(stitches, steps, sized.trade, full)
    ground = Ground(grid, pieces, stitches, steps, sized, full, window, stitch_counts(stitches, steps))
    return Density(
        layers=layers,
        points=points,
        origin_mm=grid.origin_mm,
        cell_mm=grid.cell_mm,
        stacked_max=float(stacked.max(initial=0.0)),
        needle_points_max=float(pricked.max(initial=0.0)),
        hard_patches=hard_patches(ground, stacked, pricked),
        back=back_lumps(grid, stitches, steps, sized),
        pricked_at_mm=grid.centre_mm(*divmod(int(pricked.argmax()), grid.shape[1])),
        sunk=sunk.spots,
        parallel=sunk.marks,
    )
