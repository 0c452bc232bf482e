"""Density of a laid plan: full layers and needle points on a grid, judged over the trade's window."""

from __future__ import annotations

import cv2
import numpy as np

from analyse.trade import Trade
from analyse.values import Floats, SizedDrawing
from plans.density.deposit import cut_up, deposit, grid_over, sewn_rows
from plans.density.patches import find_patches
from plans.values import Density, Step, Stitches


def full_layer_mm(trade: Trade, thread: str) -> float:
    """Thread in mm that covers one mm2 once: the 40-weight row, scaled by the strand."""
    strand = float(trade.value("thread.strand", thread=thread)) / float(trade.value("thread.strand", thread="40"))
    return float(trade.value("density.full_layer")) / strand


def over_window(values: Floats, window_mm: float, cell_mm: float) -> Floats:
    """Mean over a square window about each cell; cells outside the grid count as bare."""
    side = max(1, round(window_mm / cell_mm))
    return np.asarray(cv2.boxFilter(values, -1, (side, side), borderType=cv2.BORDER_CONSTANT), dtype=np.float64)


def measure_density(stitches: Stitches, steps: tuple[Step, ...], sized: SizedDrawing) -> Density:
    """Full layers and needle points per mm2 of everything sewn, underlay, ties and travel included.

    The sum of `layers` x cell area x full layer is the thread laid, exactly. Loose jumps are not counted: they are
    snipped. Accuracy away from edges: 3 % of a layer over the judging window.
    """
    rows = sewn_rows(stitches)
    grid = grid_over(stitches.xy)
    pieces = cut_up(stitches, rows)
    area = grid.cell_mm**2
    layers = deposit(grid, pieces.xy, pieces.length) / area / full_layer_mm(sized.trade, sized.thread)
    points = deposit(grid, stitches.xy[rows], np.ones(len(rows))) / area
    window = float(sized.trade.value("density.window"))
    stacked, pricked = (over_window(values, window, grid.cell_mm) for values in (layers, points))
    return Density(
        layers=layers,
        points=points,
        origin_mm=grid.origin_mm,
        cell_mm=grid.cell_mm,
        stacked_max=float(stacked.max(initial=0.0)),
        needle_points_max=float(pricked.max(initial=0.0)),
        hard_patches=find_patches(grid, stacked, sized),
    )
