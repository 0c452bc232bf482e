"""Between which two sides do a column's stitches reach? Sides made even, widened, held back; or found from a shape."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from analyse.units import angle_of
from analyse.values import Floats, Spine
from plans.stitching.curves import SAMPLE_MM, along, at_way, lengths, slopes
from plans.stitching.guides import guide_along, laid_out
from plans.stitching.pieces import cut_pieces
from plans.stitching.rows import cut_rows, frame_of

EDGE_MM = 0.02  # a side runs on the edge of its shape: so far off it still counts as inside
EVEN_MM = 1e-6  # samples nearer than this are one
END_SAMPLES = 5  # samples over which the run's heading at an end is read
LEAST_WIDTH_MM = 0.05  # below it two side points say nothing about the way across


@dataclass(frozen=True, eq=False)
class Sides:
    """A run's two sides, sampled alike: left[i] lies across from right[i]. A closed run repeats its first sample."""

    left: Floats
    right: Floats
    closed: bool

    @cached_property
    def middle(self) -> Floats:
        """The line half way."""
        return np.asarray((self.left + self.right) / 2)

    @cached_property
    def widths(self) -> Floats:
        """Width at each sample, mm."""
        return np.asarray(np.hypot(*(self.left - self.right).T))

    @cached_property
    def ends(self) -> Floats:
        """(2, 2): the middle of the start and of the end."""
        return np.asarray((self.left[[0, -1]] + self.right[[0, -1]]) / 2)

    def nearer_end(self, place: Floats) -> int:
        """Which end lies nearer to a place: 0 the start, 1 the end."""
        gaps = self.ends - place
        return int((gaps[1] ** 2).sum() < (gaps[0] ** 2).sum() - 1e-9)

    def reversed(self) -> Sides:
        """The same run from its other end."""
        return Sides(self.left[::-1], self.right[::-1], self.closed)

    def begun_at(self, sample: int) -> Sides:
        """A closed run begun at another of its samples."""
        left, right = (np.roll(side[:-1], -sample, axis=0) for side in (self.left, self.right))
        return Sides(np.vstack([left, left[:1]]), np.vstack([right, right[:1]]), self.closed)

    def between(self, start_mm: float, end_mm: float) -> Sides:
        """The stretch between two ways along the middle line."""
        way = along(self.middle)
        wanted = np.concatenate([[start_mm], way[(way > start_mm + EVEN_MM) & (way < end_mm - EVEN_MM)], [end_mm]])
        return Sides(at_way(self.left, way, wanted), at_way(self.right, way, wanted), False)

    def inset(self, inset_mm: float) -> Sides:
        """Both sides drawn in (or out, if negative) across the run, at most to the middle."""
        across, width = _across(self), self.widths
        step = (np.minimum(inset_mm, width / 2))[:, None] * across
        return Sides(self.left - step, self.right + step, self.closed)


def sides_of(spine: Spine) -> Sides:
    """A spine's sides at even steps of its middle line."""
    left, right = spine.left, spine.right
    if spine.closed:
        left, right = np.vstack([left, left[:1]]), np.vstack([right, right[:1]])
    way = along((left + right) / 2)
    keep = np.concatenate([[True], np.diff(way) > 1e-9])
    count = max(int(np.ceil(way[-1] / SAMPLE_MM - 1e-9)), 1)
    wanted = np.linspace(0.0, way[-1], count + 1)
    return Sides(at_way(left[keep], way[keep], wanted), at_way(right[keep], way[keep], wanted), spine.closed)


def held_back(sides: Sides, start_mm: float, end_mm: float) -> Sides:
    """`sides` without the given lengths at its start and end; never less than half of it is left."""
    whole = float(lengths(sides.middle).sum())
    most = whole / 4
    return sides.between(min(start_mm, most), whole - min(end_mm, most))


def carried_on(sides: Sides, shape: Polygon | MultiPolygon, most_mm: tuple[float, float]) -> Sides:
    """`sides` with its open start and end carried straight on as far as `shape` goes on there, at most `most_mm`.

    Each side goes on until it leaves the shape and then waits for the other, so that a slanting end is closed.
    """
    if sides.closed or len(sides.left) < 2:
        return sides
    far, back = Sides(sides.left[::-1], sides.right[::-1], closed=False), min(len(sides.left) - 1, END_SAMPLES)
    ahead = [one.middle[-1] - one.middle[-1 - back] for one in (far, sides)]
    ahead = [way / max(float(np.hypot(*way)), 1e-9) for way in ahead]
    ways = [np.asarray(np.arange(1, int(most / SAMPLE_MM) + 1)[:, None] * SAMPLE_MM) for most in most_mm]
    begins = [(one.left[-1], one.right[-1]) for one in (far, sides)]
    places = [side + ways[end] * ahead[end] for end in (0, 1) for side in begins[end]]
    inside = shapely.dwithin(shape, shapely.points(np.concatenate(places)), EDGE_MM)
    reach = [_first_out(one) for one in np.split(inside, np.cumsum([len(one) for one in places])[:-1])]
    added = [_added(begins[end], ways[end], ahead[end], reach[2 * end : 2 * end + 2], shape) for end in (0, 1)]
    left, right = (
        np.concatenate([added[0][i][::-1], side, added[1][i]]) for i, side in ((0, sides.left), (1, sides.right))
    )
    return Sides(left, right, closed=False)


def _added(
    begins: tuple[Floats, Floats], ways: Floats, ahead: Floats, reach: list[int], shape: Polygon | MultiPolygon
) -> list[Floats]:
    """Both sides' further samples; no further than the line half way stays in the shape where one of them waits."""
    steps = ways[: max(reach)]
    on = [begin + np.minimum(steps, count * SAMPLE_MM) * ahead for begin, count in zip(begins, reach, strict=True)]
    if min(reach) == max(reach):
        return on
    most = _first_out(shapely.dwithin(shape, shapely.points((on[0] + on[1]) / 2), EDGE_MM))
    return [side[:most] for side in on]


def _first_out(inside: NDArray[np.bool_]) -> int:
    """How many places, from the first on, lie inside."""
    return len(inside) if inside.all() else int(np.argmin(inside))


def _across(sides: Sides) -> Floats:
    """Unit step from right to left at each sample; across the middle line where the sides meet."""
    across, width = sides.left - sides.right, sides.widths
    if width.min() > LEAST_WIDTH_MM:
        return np.asarray(across / width[:, None])
    run = slopes(sides.middle) if len(sides.left) > 1 else np.array([[1.0, 0.0]])
    run = run / np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-9)[:, None]
    normal = np.column_stack([run[:, 1], -run[:, 0]])
    facing = np.sign((across * normal).sum(axis=1).sum()) or 1.0
    return np.where((width > LEAST_WIDTH_MM)[:, None], across / np.maximum(width, 1e-9)[:, None], normal * facing)


def spine_from_shape(shape: Polygon) -> Spine:
    """A spine for a shape that came without one: round its hole if it has just one, else along its long way.

    A bent shape is cut across its long axis, laid out along the line half way, and cut again.
    """
    if len(shape.interiors) == 1:
        return _ring_spine(shape)
    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))
    step = max(box[1] - box[0], box[2] - box[1], key=lambda side: float(np.hypot(*side)))
    left, right = _cut_across(shape, angle_of(*step) + 90.0)
    guide = guide_along((left + right) / 2)
    flat = laid_out(shape, guide) if len(left) > 1 else None
    if isinstance(flat, Polygon):
        left, right = (guide.bent(side) for side in _cut_across(flat, 90.0))
    return _spine(left, right, closed=False)


def _cut_across(shape: Polygon, angle_deg: float) -> tuple[Floats, Floats]:
    """Both ends of the longest run of cuts through a shape at an angle."""
    frame = frame_of(shape, angle_deg, None)
    pieces = cut_pieces(cut_rows(shape, frame, SAMPLE_MM))
    spans, rows = max(pieces.members, key=len), pieces.rows
    left = frame.outward(np.column_stack([rows.low[spans], rows.v_of(spans)]))
    return left, frame.outward(np.column_stack([rows.high[spans], rows.v_of(spans)]))


def _ring_spine(shape: Polygon) -> Spine:
    outer = shapely.get_coordinates(shapely.segmentize(shape.exterior, SAMPLE_MM))[:-1]
    hole = shape.interiors[0]
    way = shapely.line_locate_point(hole, shapely.points(outer))
    return _spine(outer, shapely.get_coordinates(shapely.line_interpolate_point(hole, way)), closed=True)


def _spine(left: Floats, right: Floats, *, closed: bool) -> Spine:
    line = np.column_stack([(left + right) / 2, np.hypot(*(left - right).T)])
    return Spine(line, left, right, closed)
