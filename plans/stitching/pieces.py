"""Into which row-monotone pieces does a fill fall, and which touch? Each is sewn to and fro in one go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plans.stitching.rows import Ints, Rows, ragged_arange

TOP, BOTTOM = 0, 1


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """piece[i]: the piece of span i; members[p]: its spans from its top row to its bottom row.

    links[p][TOP or BOTTOM]: (piece, end) pairs that its end touches.
    """

    rows: Rows
    piece: Ints
    members: tuple[Ints, ...]
    links: tuple[tuple[tuple[tuple[int, int], ...], tuple[tuple[int, int], ...]], ...]

    def end_span(self, piece: int, end: int) -> int:
        """The span at the top or bottom of a piece."""
        return int(self.members[piece][0 if end == TOP else -1])

    def height(self, piece: int) -> float:
        """Way from a piece's top row to its bottom row, mm."""
        return (len(self.members[piece]) - 1) * self.rows.pitch


def cut_pieces(rows: Rows) -> Pieces:
    """The spans chained into pieces: a piece ends where its row splits, joins or stops."""
    upper, lower = touching(rows)
    size = len(rows)
    down, up = np.bincount(upper, minlength=size), np.bincount(lower, minlength=size)
    plain = (down[upper] == 1) & (up[lower] == 1)
    before = np.full(size, -1)
    before[lower[plain]] = upper[plain]
    piece = _numbered(_heads(before))
    order = np.argsort(piece, kind="stable")
    members = tuple(np.split(order, np.cumsum(np.bincount(piece))[:-1])) if size else ()
    return Pieces(rows, piece, members, _links(piece, upper[~plain], lower[~plain], len(members)))


def touching(rows: Rows) -> tuple[Ints, Ints]:
    """Pairs (span, span in the next row) that overlap."""
    if not len(rows):
        return np.empty(0, np.int64), np.empty(0, np.int64)
    least = min(rows.low.min(), 0.0)
    width = (max(rows.high.max(), 0.0) - least) * 2 + 1.0
    low_key, high_key = rows.row * width + (rows.low - least), rows.row * width + (rows.high - least)
    first = np.searchsorted(high_key, low_key + width, side="right")
    behind = np.searchsorted(low_key, high_key + width, side="left")
    counts = np.maximum(behind - first, 0)
    upper = np.repeat(np.arange(len(rows)), counts)
    return upper, first[upper] + ragged_arange(counts)


def _heads(before: NDArray[np.int64]) -> NDArray[np.int64]:
    """First span of every span's chain, by pointer doubling."""
    root = np.where(before < 0, np.arange(len(before)), before)
    while True:
        further = root[root]
        if np.array_equal(further, root):
            return root
        root = further


def _numbered(roots: NDArray[np.int64]) -> Ints:
    return np.unique(roots, return_inverse=True)[1].astype(np.int64)


def _links(
    piece: Ints, upper: Ints, lower: Ints, count: int
) -> tuple[tuple[tuple[tuple[int, int], ...], tuple[tuple[int, int], ...]], ...]:
    table: list[tuple[list[tuple[int, int]], list[tuple[int, int]]]] = [([], []) for _ in range(count)]
    for above, below in zip(piece[upper].tolist(), piece[lower].tolist(), strict=True):
        table[above][BOTTOM].append((below, TOP))
        table[below][TOP].append((above, BOTTOM))
    return tuple((tuple(top), tuple(bottom)) for top, bottom in table)
