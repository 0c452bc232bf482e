"""Where needle points end up: the thread pulls its ends in, crowded lines push out, separate things drift."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.trade import Cloth, Trade
from analyse.values import Floats, SizedDrawing
from plans.density.deposit import Grid, cut_up, deposit, grid_over, sewn_rows, stitch_lengths
from plans.sewout.chance import scattered
from plans.sewout.heaps import ASTRAY_MM, over_at
from plans.sewout.heaps import CELL_MM as HEAP_CELL_MM
from plans.values import Lay, Move, Step, Stitches

LINE_PULL = 0.3
"""A lone line draws the cloth in by this share of what a field of thread does."""
LOOSE_MM = 0.03
"""No machine and no cloth is exact: needle points stray by so much, the same ones every time."""
REMAP_MOST = 30_000
"""Points OpenCV looks up in one call: it takes rasters of fewer than 32,768 rows."""
PUSH_CELL_MM = 0.4
PUSH_REACH_MM = 1.0
"""The push acts where a field ends: its cover is compared this far on either side of a stitch."""


def pull_mm(lengths_mm: Floats, cloth: Cloth, trade: Trade) -> Floats:
    """What the cloth gives at each end of a stitch of that length: from its narrow to its full figure."""
    grows = [float(trade.value(row)) for row in ("pull.grows_from", "pull.full_from")]
    return np.interp(lengths_mm, grows, [cloth.pull_narrow_mm, cloth.pull_mm])


def pulls(stitches: Stitches, rows: NDArray[np.int64], strength: Floats, cloth: Cloth, trade: Trade) -> Floats:
    """(N, 2) shift of every needle point: towards its stitches, weighed by their length; along a row they cancel."""
    run = stitches.xy[rows] - stitches.xy[rows - 1]
    length = stitch_lengths(stitches, rows)
    draw = run * (pull_mm(length, cloth, trade) * strength)[:, None]
    shift, weight = np.zeros_like(stitches.xy), np.full(len(stitches.xy), 1e-9)
    shift[rows - 1] += draw
    shift[rows] -= draw
    weight[rows - 1] += length
    weight[rows] += length
    return np.asarray(shift / weight[:, None])


def crowding(grid: Grid, field: Floats, xy: Floats, across: Floats) -> Floats:
    """Cover behind less cover ahead of each point, `across` its stitch: 1 at a field's far edge, 0 inside it."""

    def look(points: Floats) -> Floats:
        at = ((points - grid.origin_mm) / grid.cell_mm - 0.5).astype(np.float32)
        pieces = np.array_split(at, len(at) // REMAP_MOST + 1)
        seen = [cv2.remap(field.astype(np.float32), p[:, None, 0], p[:, None, 1], cv2.INTER_LINEAR) for p in pieces]
        return np.concatenate(seen)[:, 0].astype(np.float64)

    return look(xy - across * PUSH_REACH_MM) - look(xy + across * PUSH_REACH_MM)


def pushes(stitches: Stitches, rows: NDArray[np.int64], push_mm: float, full_mm: float) -> Floats:
    """(N, 2) shift of the points of these stitches outward across them, where their field ends."""
    shift = np.zeros_like(stitches.xy)
    if not len(rows):
        return shift
    grid = grid_over(stitches.xy, PUSH_CELL_MM)
    pieces = cut_up(stitches, rows, PUSH_CELL_MM)
    cover = deposit(grid, pieces.xy, pieces.length) / grid.cell_mm**2 / full_mm
    field = np.minimum(cv2.boxFilter(cover, -1, (3, 3)), 1.0)
    run = stitches.xy[rows] - stitches.xy[rows - 1]
    length = np.maximum(stitch_lengths(stitches, rows), 1e-9)
    across = np.column_stack([-run[:, 1], run[:, 0]]) / length[:, None]
    moved = across * (push_mm * crowding(grid, field, (stitches.xy[rows] + stitches.xy[rows - 1]) / 2, across))[:, None]
    shift[rows] += moved / 2
    shift[rows - 1] += moved / 2
    return shift


def astray(stitches: Stitches, rows: NDArray[np.int64], hard_mm: float, window_mm: float) -> Floats:
    """(N, 2) shift of needle points that thread piled up beneath holds no longer, each its own way."""
    pieces = cut_up(stitches, rows, HEAP_CELL_MM)
    heap = over_at(stitches.xy, pieces.xy, pieces.length, hard_mm, window_mm)
    if not heap.any():
        return np.zeros_like(stitches.xy)
    each = stitches.xy + stitches.step[:, None]
    return np.asarray(ASTRAY_MM * heap[:, None] * np.column_stack([scattered(each, 5), scattered(each, 6)]))


def drifts(stitches: Stitches, drift_mm: float) -> Floats:
    """(N, 2) shift by when a point is sewn: what is sewn first and last end up `drift_mm` apart, neighbours hardly."""
    turn = np.linspace(0.0, np.pi, max(len(stitches.xy), 1)) + np.pi / 6
    return np.column_stack([np.cos(turn), np.sin(turn)]) * (drift_mm / 2)


def settled(stitches: Stitches, steps: tuple[Step, ...], sized: SizedDrawing, drift_mm: float = 0.0) -> Floats:
    """(N, 2) where every needle point lies on the finished piece, mm."""
    cloth = sized.trade.cloth(sized.cloth)
    rows = sewn_rows(stitches)
    if not len(rows):
        return stitches.xy
    kinds = np.array([step.sewing.kind for step in steps])[stitches.step]
    field = (kinds != "running") & (stitches.lay == Lay.TOP) & (stitches.move == Move.SEW)
    xy = stitches.xy + pulls(stitches, rows, np.where(field[rows], 1.0, LINE_PULL), cloth, sized.trade)
    full = float(sized.trade.value("density.full_layer"))
    for kind in ("fill", "column"):
        of_kind = rows[field[rows] & (kinds[rows] == kind)]
        xy = xy + pushes(stitches, of_kind, cloth.push_mm, full)
    xy = xy + LOOSE_MM * np.column_stack([scattered(stitches.xy, 3), scattered(stitches.xy, 4)])
    window = float(sized.trade.value("density.window"))
    in_order = float(sized.trade.value("density.in_order"))
    xy = xy + astray(stitches, rows, full * max(in_order, cloth.hard_layers), window)
    return xy + drifts(stitches, drift_mm) if drift_mm else xy
