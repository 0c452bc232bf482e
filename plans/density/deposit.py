"""How much thread, and how many needle points, come down where: stitches on a grid, by length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from plans.values import Move, Stitches

# A cell of a quarter of a millimetre holds one line of a full fill and a bit: fine enough to show a column's edge,
# and eight of them make the judging window. A piece is short against the two cells it is spread over.
CELL_MM = 0.25
PIECE_MM = 0.16
MARGIN_CELLS = 8


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Square cells: origin_mm is the top left corner, shape (rows, columns)."""

    origin_mm: tuple[float, float]
    shape: tuple[int, int]
    cell_mm: float = CELL_MM

    def cell_of(self, xy: Floats) -> NDArray[np.int64]:
        """Flat index of the cell that holds each of (N, 2) points inside the grid."""
        column, row = (((xy[:, axis] - self.origin_mm[axis]) / self.cell_mm).astype(np.int64) for axis in (0, 1))
        return np.asarray(row * self.shape[1] + column)

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

    def on(self, cells: NDArray[np.bool_], grid: Grid) -> Pieces:
        """Those whose middle lies on one of the marked cells of a grid, (H, W)."""
        kept = np.flatnonzero(cells.ravel()[grid.cell_of(self.xy)])
        return Pieces(self.xy[kept], self.length[kept], self.row[kept])

    def near(self, at_mm: tuple[float, float], reach_mm: float) -> Pieces:
        """Those within a square about a place."""
        away = np.abs(self.xy - np.asarray(at_mm))
        inside = np.flatnonzero((away[:, 1] <= reach_mm) & (away[:, 0] <= reach_mm))
        return Pieces(self.xy[inside], self.length[inside], self.row[inside])


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
    axes = (xy[:, 0], xy[:, 1])  # one at a time: numpy is slow along rows of two
    low = np.floor(np.array([axis.min() for axis in axes]) / cell_mm) - MARGIN_CELLS if len(xy) else np.zeros(2)
    high = np.ceil(np.array([axis.max() for axis in axes]) / cell_mm) + MARGIN_CELLS if len(xy) else np.ones(2)
    columns, rows = (high - low).astype(int)
    return Grid((float(low[0] * cell_mm), float(low[1] * cell_mm)), (int(rows), int(columns)), cell_mm)


def cut(start: Floats, end: Floats, piece_mm: float) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Lines in pieces of at most `piece_mm`: middles (N, 2), lengths (N,), and the line each belongs to (N,)."""
    run = end - start
    lengths = np.hypot(run[:, 0], run[:, 1])
    counts = np.maximum(np.ceil(lengths / piece_mm), 1).astype(np.int64)
    owner = np.repeat(np.arange(len(start)), counts)
    share = np.arange(0.5, len(owner))
    share -= (np.cumsum(counts) - counts).take(owner)
    share /= counts.take(owner)
    xy = np.empty((2, len(owner)))  # each axis by itself in memory, which all that follows is quicker on
    for axis in (0, 1):
        np.multiply(share, run[:, axis].take(owner), out=xy[axis])
        xy[axis] += start[:, axis].take(owner)
    return xy.T, (lengths / counts).take(owner), owner


def cut_up(stitches: Stitches, rows: NDArray[np.int64], piece_mm: float = PIECE_MM) -> Pieces:
    """The stitches that end at `rows` in pieces of at most `piece_mm`."""
    middle, length, owner = cut(stitches.xy[rows - 1], stitches.xy[rows], piece_mm)
    return Pieces(middle, length, rows[owner])


def deposit(grid: Grid, xy: Floats, weight: Floats) -> Floats:
    """Weights spread over the four cells nearest each point, in proportion; the sum is kept. (H, W)."""
    rows, columns = grid.shape
    x, y = ((xy[:, axis] - grid.origin_mm[axis]) / grid.cell_mm - 0.5 for axis in (0, 1))
    column, row = np.floor(x).astype(np.int64), np.floor(y).astype(np.int64)
    x -= column
    y -= row
    row *= columns
    row += column
    low = weight * y
    total = np.zeros(rows * columns)
    for step, part in ((0, weight - low), (columns, low)):
        far = part * x
        total += np.bincount(row + step, part - far, rows * columns)
        total += np.bincount(row + (step + 1), far, rows * columns)
    return total.reshape(rows, columns)
