"""What lies at one place of a laid plan: every step's share of the thread and the needle points there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plans.density.deposit import CELL_MM, Pieces
from plans.values import Lay, Stitches

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Share:
    """What one step brings to a place by one lay: full layers over the window, and its needle points for each mm2."""

    step: int
    lay: Lay
    layers: float
    points: float

    def of(self, unit: str) -> float:
        """In the unit that is judged: `layers` or `points`."""
        return self.layers if unit == "layers" else self.points


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """Shares in sewing order; lies: step by its top stitching -> the cells of the window it lies on.

    at_mm: the middle of the window.
    """

    at_mm: Point
    shares: tuple[Share, ...]
    lies: dict[int, NDArray[np.bool_]]

    def top(self) -> list[Share]:
        """The shares of top stitching."""
        return [share for share in self.shares if share.lay == Lay.TOP]

    def heaped(self, steps: Iterable[int]) -> float:
        """How many of these steps lie on each other, where any lies: 1 where they stand side by side."""
        on = np.array([self.lies[step] for step in steps if step in self.lies])
        return float(np.count_nonzero(on)) / max(int(np.count_nonzero(on.any(axis=0))), 1) if len(on) else 1.0

    def beneath(self, lower: int, upper: int) -> float:
        """Share of the upper step's top stitching, here, that lies on the lower one's."""
        below, above = self.lies[lower], self.lies[upper]
        return float(np.count_nonzero(below & above)) / max(int(np.count_nonzero(above)), 1)


def spot_at(pieces: Pieces, stitches: Stitches, at_mm: Point, window_mm: float, full_mm: float) -> Spot:
    """What lies within the judging window about a place."""
    near = pieces.near(at_mm, window_mm / 2)
    key = _keys(stitches, near.row)
    area = window_mm**2
    layers = np.bincount(key, near.length) / (area * full_mm)
    hit = np.unique(near.row)
    inside = hit[(np.abs(stitches.xy[hit] - np.asarray(at_mm)) <= window_mm / 2).all(axis=1)]
    points = np.bincount(_keys(stitches, inside), minlength=len(layers)) / area
    shares = tuple(
        Share(one // len(Lay), Lay(one % len(Lay)), float(layers[one]), float(points[one]))
        for one in np.flatnonzero(layers).tolist()
    )
    return Spot(at_mm, shares, _lies(near, stitches, at_mm, window_mm))


def _keys(stitches: Stitches, rows: NDArray[np.int64]) -> NDArray[np.int64]:
    """Step and lay of rows in one number."""
    return stitches.step[rows].astype(np.int64) * len(Lay) + stitches.lay[rows]


def _lies(near: Pieces, stitches: Stitches, at_mm: Point, window_mm: float) -> dict[int, NDArray[np.bool_]]:
    side = max(1, round(window_mm / CELL_MM))
    top = stitches.lay[near.row] == Lay.TOP
    at = np.clip((near.xy[top] - np.asarray(at_mm) + window_mm / 2) / window_mm * side, 0, side - 1e-6).astype(np.int64)
    cell, owner = at[:, 1] * side + at[:, 0], stitches.step[near.row[top]]
    found: dict[int, NDArray[np.bool_]] = {}
    for step in np.unique(owner).tolist():
        found[step] = np.zeros(side * side, np.bool_)
        found[step][cell[owner == step]] = True
    return found
