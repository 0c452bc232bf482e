"""Where parts meet: every piece of every outline, with what lies on its other side."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.values import Floats, SizedDrawing, lock

CLOTH = -1
LONGEST_PIECE_MM = 0.3
"""An outline is read in pieces of this length at most: half the finest column."""
CELLS = 2400
"""Cells along the design's long side: a little finer than the canonical picture."""
LEAST_CELL_MM = 0.025
MARGIN_CELLS = 8
REACH_CELLS = 1.6
"""How far outside an outline its neighbour is looked for: past the half cell that drawing bleeds."""
GAP_REACH_MM = 2.5
"""Gaps wider than this close under no compensation and are not measured."""


@dataclass(frozen=True, slots=True, eq=False)
class PartMap:
    """Which part lies where: cells (H, W) of part index, CLOTH where nothing is sewn."""

    cells: NDArray[np.int16]
    cell_mm: float
    origin_mm: tuple[float, float]

    def at(self, xy: Floats) -> NDArray[np.int16]:
        """The part at each of (N, 2) points in mm; CLOTH outside."""
        column, row = np.floor((xy - self.origin_mm) / self.cell_mm).astype(np.int64).T
        height, width = self.cells.shape
        inside = (row >= 0) & (row < height) & (column >= 0) & (column < width)
        found = np.full(len(xy), CLOTH, np.int16)
        found[inside] = self.cells[row[inside], column[inside]]
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Seams:
    """All outlines in pieces. (N,) part and other (CLOTH: none); (N, 2) middle and outward normal; (N,) length, mm."""

    part: NDArray[np.int32]
    other: NDArray[np.int32]
    middle: Floats
    normal: Floats
    length: Floats
    count: int

    def __post_init__(self) -> None:
        lock(self, "part", "other", "middle", "normal", "length")

    def shared(self) -> Floats:
        """(count, count + 1) mm of outline of each part that lies against each other one; last column: cloth."""
        table = np.zeros((self.count, self.count + 1))
        np.add.at(table, (self.part, self.other), self.length)
        return table


def map_parts(sized: SizedDrawing) -> PartMap:
    """Draw every part that is sewn, large ones first. Accuracy: half a cell, see CELLS."""
    cell_mm = max(max(sized.size_mm) / CELLS, LEAST_CELL_MM)
    origin_mm = (-MARGIN_CELLS * cell_mm, -MARGIN_CELLS * cell_mm)
    width, height = (int(np.ceil(side / cell_mm)) + 2 * MARGIN_CELLS for side in sized.size_mm)
    cells = np.full((height, width), CLOTH, np.int16)
    sewn = [index for index, part in enumerate(sized.parts) if part.kind != "drop"]
    for index in sorted(sewn, key=lambda i: (-sized.parts[i].outline_mm.area, i)):
        rings = shapely.get_rings(shapely.get_parts(sized.parts[index].outline_mm))
        drawn = [
            np.round((shapely.get_coordinates(ring) - origin_mm) / cell_mm * 16 - 8).astype(np.int32) for ring in rings
        ]
        cv2.fillPoly(cells, drawn, index, lineType=cv2.LINE_8, shift=4)
    return PartMap(cells, cell_mm, origin_mm)


def find_seams(sized: SizedDrawing, parts_map: PartMap) -> Seams:
    """The outlines of all sewn parts, cut into short pieces, each with its neighbour."""
    part, start, end = _segments(sized)
    part, start, end = _cut_short(part, start, end)
    run = end - start
    length = np.hypot(run[:, 0], run[:, 1])
    kept = length > 1e-9
    part, run, length, middle = part[kept], run[kept], length[kept], ((start + end) / 2)[kept]
    normal = np.column_stack([run[:, 1], -run[:, 0]]) / length[:, None]
    other = _outside(parts_map, part, middle, normal)
    return Seams(part, other, middle, normal, length, len(sized.parts))


def _segments(sized: SizedDrawing) -> tuple[NDArray[np.int32], Floats, Floats]:
    sewn = [index for index, part in enumerate(sized.parts) if part.kind != "drop"]
    outlines = shapely.orient_polygons([sized.parts[index].outline_mm for index in sewn])
    pieces, owner = shapely.get_parts(outlines, return_index=True)
    rings, piece = shapely.get_rings(pieces, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    within = ring[1:] == ring[:-1]
    part = np.asarray(sewn, np.int32)[owner[piece[ring[:-1][within]]]]
    return part, points[:-1][within], points[1:][within]


def _cut_short(part: NDArray[np.int32], start: Floats, end: Floats) -> tuple[NDArray[np.int32], Floats, Floats]:
    run = end - start
    times = np.maximum(np.ceil(np.hypot(run[:, 0], run[:, 1]) / LONGEST_PIECE_MM), 1).astype(np.int64)
    owner = np.repeat(np.arange(len(part)), times)
    nth = np.arange(len(owner)) - np.repeat(np.cumsum(times) - times, times)
    step = (run / times[:, None])[owner]
    first = start[owner] + step * nth[:, None]
    return part[owner], first, first + step


def _outside(parts_map: PartMap, part: NDArray[np.int32], middle: Floats, normal: Floats) -> NDArray[np.int32]:
    """The part just outside each piece; a second look further out where the first met the part itself."""
    found = parts_map.at(middle + normal * (REACH_CELLS * parts_map.cell_mm)).astype(np.int32)
    own = found == part
    found[own] = parts_map.at((middle + normal * (2 * REACH_CELLS * parts_map.cell_mm))[own])
    found[found == part] = CLOTH
    return found


def gaps(parts_map: PartMap, seams: Seams, body_of: NDArray[np.int64]) -> Floats:
    """(N,) mm of what lies open beside each piece of outline, straight outward to the next thing sewn; inf if far.

    body_of: for each part the body it is a piece of, or -1, with one more entry for the cloth. Open is the cloth, and
    a body that the next thing lies on as well; inf where another part lies beside the piece.
    """
    beside = body_of[seams.other]
    gap = np.full(len(seams.other), np.inf)
    open_still = np.flatnonzero(((seams.other == CLOTH) | (beside >= 0)) & (body_of[seams.part] != beside))
    step_mm = 2 * parts_map.cell_mm
    for reach_mm in np.arange(2 * step_mm, GAP_REACH_MM + step_mm, step_mm):
        there = parts_map.at(seams.middle[open_still] + seams.normal[open_still] * reach_mm)
        met = body_of[there] != beside[open_still]
        gap[open_still[met & (there != CLOTH)]] = reach_mm
        open_still = open_still[~met]
    return gap
