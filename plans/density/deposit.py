"""How much thread, and how many needle points, come down where: stitches on a grid, by length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from plans.values import Move, Stitches

# A cell of a quarter of a millimetre holds one line of a full fill and a bit: fine enough to show a column's edge,
# and eight of them make the judging window. Three samples a cell keep the deposit smooth along a stitch.
CELL_MM = 0.25
SAMPLES_A_CELL = 3
MARGIN_CELLS = 8


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Square cells: origin_mm is the top left corner, shape (rows, columns)."""

    origin_mm: tuple[float, float]
    shape: tuple[int, int]
    cell_mm: float = CELL_MM

    def centre_mm(self, row: float, column: float) -> tuple[float, float]:
        """The middle of a cell."""
        return (
            self.origin_mm[0] + (float(column) + 0.5) * self.cell_mm,
            self.origin_mm[1] + (float(row) + 0.5) * self.cell_mm,
        )


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Sewn stitches cut into short pieces: middle xy (N, 2), length (N,), and the row of the stitch (N,)."""

    xy: Floats
    length: Floats
    row: NDArray[np.int64]


def sewn_rows(stitches: Stitches) -> NDArray[np.int64]:
    """Rows that end a sewn stitch (sewn or travelled, with a row before it)."""
    sewn = (stitches.move == Move.SEW) | (stitches.move == Move.TRAVEL)
    sewn[:1] = False
    return np.flatnonzero(sewn)


def stitch_lengths(stitches: Stitches, rows: NDArray[np.int64]) -> Floats:
    """Length in mm of the stitches that end at `rows`."""
    step = stitches.xy[rows] - stitches.xy[rows - 1]
    return np.asarray(np.hypot(step[:, 0], step[:, 1]), dtype=np.float64)


def grid_over(xy: Floats, cell_mm: float = CELL_MM) -> Grid:
    """A grid that holds all points with a margin, its lines on whole cells so that plans can be compared."""
    low = np.floor(xy.min(axis=0) / cell_mm) - MARGIN_CELLS if len(xy) else np.zeros(2)
    high = np.ceil(xy.max(axis=0) / cell_mm) + MARGIN_CELLS if len(xy) else np.ones(2)
    columns, rows = (high - low).astype(int)
    return Grid((float(low[0] * cell_mm), float(low[1] * cell_mm)), (int(rows), int(columns)), cell_mm)


def cut(start: Floats, end: Floats, piece_mm: float) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Lines in pieces of at most `piece_mm`: middles (N, 2), lengths (N,), and the line each belongs to (N,)."""
    run = end - start
    lengths = np.hypot(run[:, 0], run[:, 1])
    counts = np.maximum(np.ceil(lengths / piece_mm), 1).astype(np.int64)
    owner = np.repeat(np.arange(len(start)), counts)
    within = np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = ((within + 0.5) / counts[owner])[:, None]
    return start[owner] + share * run[owner], (lengths / counts)[owner], owner


def cut_up(stitches: Stitches, rows: NDArray[np.int64], piece_mm: float = CELL_MM / SAMPLES_A_CELL) -> Pieces:
    """The stitches that end at `rows` in pieces of at most `piece_mm`."""
    middle, length, owner = cut(stitches.xy[rows - 1], stitches.xy[rows], piece_mm)
    return Pieces(middle, length, rows[owner])


def deposit(grid: Grid, xy: Floats, weight: Floats) -> Floats:
    """Weights spread over the four cells nearest each point, in proportion; the sum is kept. (H, W)."""
    at = (xy - np.array(grid.origin_mm)) / grid.cell_mm - 0.5
    corner = np.floor(at).astype(np.int64)
    part = at - corner
    rows, columns = grid.shape
    total = np.zeros(rows * columns)
    for right in (0, 1):
        for below in (0, 1):
            share = (part[:, 0] if right else 1 - part[:, 0]) * (part[:, 1] if below else 1 - part[:, 1])
            cell = (corner[:, 1] + below) * columns + corner[:, 0] + right
            total += np.bincount(cell, weight * share, rows * columns)
    return total.reshape(rows, columns)
