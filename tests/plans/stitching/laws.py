"""What holds of every laid fill, column and line: measured from its needle points alone."""

from __future__ import annotations

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from plans.values import Lay, Move, Trail

PX_PER_MM = 30.0


def steps_mm(trail: Trail, *lays: Lay) -> NDArray[np.float64]:
    """Lengths of the sewn and travelled stitches of the given lays (all, if none is given)."""
    length = np.hypot(*np.diff(trail.xy, axis=0).T)
    kept = trail.move[1:] < Move.JUMP
    if lays:
        kept &= np.isin(trail.lay[1:], lays)
    return length[kept]


def jumps(trail: Trail) -> int:
    """Jumps and trims after the first needle point."""
    return int((trail.move[1:] >= Move.JUMP).sum())


def outside_mm(trail: Trail, shape: Polygon | MultiPolygon) -> float:
    """How far the furthest needle point lies outside `shape`."""
    return float(shapely.distance(shape, shapely.points(trail.xy)).max())


class Canvas:
    """A raster round a shape on which strands are drawn as they are laid."""

    def __init__(self, shape: Polygon | MultiPolygon) -> None:
        low_x, low_y, high_x, high_y = shape.buffer(2.0).bounds
        self.low = np.array([low_x, low_y])
        self.size = (int((high_y - low_y) * PX_PER_MM) + 1, int((high_x - low_x) * PX_PER_MM) + 1)

    def _px(self, xy: NDArray[np.float64]) -> NDArray[np.int32]:
        return np.round(((xy - self.low) * PX_PER_MM - 0.5) * 256).astype(np.int32)

    def filled(self, shape: Polygon | MultiPolygon) -> NDArray[np.bool_]:
        """The pixels of a shape."""
        picture = np.zeros(self.size, np.uint8)
        rings = [ring for part in shapely.get_parts(shape) for ring in (part.exterior, *part.interiors)]
        cv2.fillPoly(picture, [self._px(shapely.get_coordinates(ring)) for ring in rings], 1, cv2.LINE_8, 8)
        return picture > 0

    def strands(self, begins: NDArray[np.float64], ends: NDArray[np.float64], strand_mm: float) -> NDArray[np.bool_]:
        """The pixels under strands from needle point to needle point, cut off square at both."""
        picture = np.zeros(self.size, np.uint8)
        run = ends - begins
        length = np.hypot(*run.T)
        keep = length > 0
        begins, ends, run = begins[keep], ends[keep], run[keep] / length[keep, None]
        half = np.column_stack([-run[:, 1], run[:, 0]]) * strand_mm / 2
        for corners in np.stack([begins + half, ends + half, ends - half, begins - half], axis=1):
            cv2.fillConvexPoly(picture, self._px(corners), 1, cv2.LINE_8, 8)
        return picture > 0


def sewn(trail: Trail, *lays: Lay) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Begins and ends of the stitches of the given lays."""
    kept = (trail.move[1:] < Move.JUMP) & np.isin(trail.lay[1:], lays or tuple(Lay))
    return trail.xy[:-1][kept], trail.xy[1:][kept]


def cover(trail: Trail, part: Polygon, aimed: Polygon | MultiPolygon, strand_mm: float) -> tuple[float, float]:
    """Share of `part` that is covered, and what lies outside `aimed` as a share of the part."""
    canvas = Canvas(part)
    drawn = canvas.strands(*sewn(trail), strand_mm)
    inside, area = canvas.filled(part), canvas.filled(aimed)
    return float((drawn & inside).sum() / inside.sum()), float((drawn & ~area).sum() / inside.sum())


def bare_travel(trail: Trail, shape: Polygon, strand_mm: float) -> float:
    """Length of travel, mm, that no later stitch of the top runs over (its strand drawn)."""
    travel = np.flatnonzero(trail.move[1:] == Move.TRAVEL)
    canvas, bare = Canvas(shape), 0.0
    groups = np.split(travel, np.flatnonzero(np.diff(travel) > 1) + 1) if len(travel) else []
    for group in groups:
        later = Trail(trail.xy[group[-1] + 1 :], trail.move[group[-1] + 1 :], trail.lay[group[-1] + 1 :])
        over = canvas.strands(*sewn(later, Lay.TOP), strand_mm)
        line = canvas.strands(trail.xy[group], trail.xy[group + 1], 0.05)
        length = float(np.hypot(*(trail.xy[group + 1] - trail.xy[group]).T).sum())
        bare += length * float((line & ~over).sum() / max(line.sum(), 1))
    return bare
