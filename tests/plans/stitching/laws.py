"""What holds of every laid fill, column and line: measured from its needle points alone."""

from __future__ import annotations

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from analyse.trade import Trade
from plans.stitching.compensation import held_back
from plans.stitching.dot import is_dot
from plans.stitching.ground import fill_parts
from plans.stitching.rows import frame_of
from plans.values import Lay, Move, Sewing, Trail
from tests.plans.stitching.spines import outline

PX_PER_MM = 30.0
EVEN_MM = 1e-6
OUTSIDE_MM = 0.02  # what the polygons that stand for a round compensation are off
COVER, BEYOND = 0.98, 0.01
BARE_MM, BARE_SHARE = 0.6, 0.05  # for each way: the last of it, to where a row begins, has no row after it to hide it


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

    def numbered(
        self, begins: NDArray[np.float64], ends: NDArray[np.float64], numbers: NDArray[np.int64], strand_mm: float
    ) -> NDArray[np.int32]:
        """At each pixel the number of the last strand over it, 0 where none is."""
        picture = np.zeros(self.size, np.int32)
        for corners, number in zip(self._corners(begins, ends, strand_mm), numbers.tolist(), strict=True):
            cv2.fillConvexPoly(picture, corners, number, cv2.LINE_8, 8)
        return picture

    def at(self, picture: NDArray[np.int32], places: NDArray[np.float64]) -> NDArray[np.int32]:
        """The picture's values at places on the cloth."""
        px = np.floor((places - self.low) * PX_PER_MM).astype(int)
        px = np.clip(px, 0, np.array(self.size)[::-1] - 1)
        return np.asarray(picture[px[:, 1], px[:, 0]])

    def _corners(self, begins: NDArray[np.float64], ends: NDArray[np.float64], strand_mm: float) -> NDArray[np.int32]:
        run = ends - begins
        run = run / np.maximum(np.hypot(*run.T), 1e-9)[:, None]
        half = np.column_stack([-run[:, 1], run[:, 0]]) * strand_mm / 2
        return self._px(np.stack([begins + half, ends + half, ends - half, begins - half], axis=1))

    def strands(self, begins: NDArray[np.float64], ends: NDArray[np.float64], strand_mm: float) -> NDArray[np.bool_]:
        """The pixels under strands from needle point to needle point, cut off square at both."""
        picture = np.zeros(self.size, np.uint8)
        for corners in self._corners(begins, ends, strand_mm):
            cv2.fillConvexPoly(picture, corners, 1, cv2.LINE_8, 8)
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


def bare_travel(trail: Trail, shape: Polygon | MultiPolygon, strand_mm: float) -> float:
    """Length of travel, mm, that no later stitch of the top runs over (its strand drawn)."""
    travel = np.flatnonzero(trail.move[1:] == Move.TRAVEL)
    if not len(travel):
        return 0.0
    canvas = Canvas(shape)
    top = np.flatnonzero((trail.move[1:] < Move.JUMP) & (trail.lay[1:] == Lay.TOP))
    last = canvas.numbered(trail.xy[top], trail.xy[top + 1], top + 1, strand_mm)
    steps = np.hypot(*(trail.xy[travel + 1] - trail.xy[travel]).T)
    counts = np.maximum(np.ceil(steps * PX_PER_MM / 2).astype(int), 1)
    which = np.repeat(np.arange(len(travel)), counts)
    share = (np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts) + 0.5) / counts[which]
    places = trail.xy[travel][which] + share[:, None] * (trail.xy[travel + 1] - trail.xy[travel])[which]
    bare = canvas.at(last, places) <= (travel + 1)[which]
    return float((bare * (steps / counts)[which]).sum())


def broken(sewing: Sewing, trail: Trail, trade: Trade, outside_most_mm: float = OUTSIDE_MM) -> list[str]:
    """The laws that a trail laid for a sewing at full cover breaks, each with what was measured.

    outside_most_mm: how far beyond its compensated part a needle point may lie: no further than its runs are off.
    """
    grown = _told(sewing).buffer(sewing.pull_mm + sewing.widen_mm, quad_segs=32)
    found = _length_faults(sewing, trail, trade)
    outside = 0.0 if is_dot(sewing.shape, trade) else outside_mm(trail, grown)
    found += [f"outside {outside:.3f}"] if outside > outside_most_mm else []
    pieces = len(shapely.get_parts(sewing.shape))
    if sewing.kind != "running" and jumps(trail) > pieces - 1:
        found.append(f"jump {jumps(trail)}")
    least = np.pi / 4 * trade.value("dot.smallest") ** 2  # what is smaller than the smallest dot covers nothing
    if sewing.kind == "fill" and not is_dot(sewing.shape, trade) and sewing.shape.area >= least:
        found += _cover_faults(sewing, trail, trade)
    return found


def _told(sewing: Sewing) -> Polygon | MultiPolygon:
    """A part as its outline and its runs tell it: a traced run's sides lie near the outline, not on it."""
    runs = [outline(spine) for spine in sewing.spines] if sewing.kind == "column" else []
    lines = [
        shapely.LineString(spine.line[:, :2]).buffer(OUTSIDE_MM) for spine in sewing.spines if sewing.kind == "running"
    ]
    return shapely.union_all([shapely.make_valid(sewing.shape), *runs, *lines])


def _length_faults(sewing: Sewing, trail: Trail, trade: Trade) -> list[str]:
    found = []
    for lay in Lay:
        steps = steps_mm(trail, lay)
        least = trade.value("tie.shortest" if lay == Lay.TIE else "stitch.never_under")
        if steps.min(initial=np.inf) < least - EVEN_MM:
            found.append(f"short {lay.name.lower()} {steps.min():.3f}")
        most = _longest(sewing, lay, trade)
        if steps.max(initial=0.0) > most + EVEN_MM:
            found.append(f"long {lay.name.lower()} {steps.max():.3f}")
    return found


def _longest(sewing: Sewing, lay: Lay, trade: Trade) -> float:
    """The longest stitch the trade lets a kind have."""
    run, row = float(trade.value("running.longest")), float(trade.range("fill.stitch")[1])
    if lay == Lay.TOP:
        return {"fill": row, "column": sewing.stitch_mm or float(trade.value("kind.split_over")), "running": run}[
            sewing.kind
        ]
    zigzag = any(layer.kind == "zigzag" for layer in sewing.underlay)
    return float(trade.value("kind.split_over")) if lay == Lay.UNDERLAY and zigzag else row


def _cover_faults(sewing: Sewing, trail: Trail, trade: Trade) -> list[str]:
    flat = float(trade.value("thread.strand_flat", thread="40"))
    shape, angle = sewing.shape, sewing.angle_deg or 0.0
    found: list[str] = []
    covered = cover_of(trail, aimed(shape, angle, sewing.push_mm), flat)
    found += [f"cover {covered:.4f}"] if covered < COVER else []
    if sewing.pull_mm:
        beyond = beyond_of(trail, shape, shape.buffer(sewing.pull_mm, join_style="mitre"), flat)
        found += [f"beyond {beyond:.4f}"] if beyond > BEYOND else []
    bare, most = bare_travel(trail, shape, flat), bare_at_most(trail)
    return found + ([f"bare travel {bare:.2f}, at most {most:.2f}"] if bare > most else [])


def bare_at_most(trail: Trail) -> float:
    """Travel, mm, that may lie bare where ways begin and end."""
    ways = int(np.diff(trail.move == Move.TRAVEL, prepend=False).sum() + 1) // 2
    return BARE_MM * ways + BARE_SHARE * float(steps_mm(trail, Lay.TRAVEL).sum())


def aimed(shape: Polygon | MultiPolygon, angle_deg: float, push_mm: float) -> Polygon | MultiPolygon:
    """What a fill's rows are to cover: the shape without what push brings by itself.

    A ring that touches itself in a point is told apart first: drawing it in would seem to cut it there.
    """
    parts = [held_back(part, frame_of(part, angle_deg, None), push_mm).shape for part in fill_parts(shape)]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def cover_of(trail: Trail, shape: Polygon | MultiPolygon, strand_mm: float) -> float:
    """Share of a shape under the strands."""
    canvas = Canvas(shape)
    inside = canvas.filled(shape)
    return float((canvas.strands(*sewn(trail), strand_mm) & inside).sum() / inside.sum())


def beyond_of(
    trail: Trail, part: Polygon | MultiPolygon, compensated: Polygon | MultiPolygon, strand_mm: float
) -> float:
    """Area of the strands outside the compensated part, as a share of the part."""
    canvas = Canvas(compensated)
    drawn = canvas.strands(*sewn(trail), strand_mm) & ~canvas.filled(compensated)
    return float(drawn.sum() / PX_PER_MM**2 / part.area)
