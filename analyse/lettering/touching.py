"""Letters that touch a border: one region with it, and cut free where its long even run goes on beneath them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiLineString, Polygon

from analyse.values import Drawing
from analyse.widths.axes import axes_apart
from analyse.widths.cuts import uncut
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import percentiles_px
from analyse.widths.strokes import stroke_of
from analyse.widths.tracks import Track

BRANCHES = 10  # of the axis of a border with letters on it, at least
FREE = 2  # and free ends: the strands of a net have none
LONG = 0.5  # a border's runs are at least this share of the longest,
SHORTER = 0.4  # and what stands on it has none over this share of it
SPANS = 0.5  # the longest is at least this share of the region's longest way across
SLENDER = 8.0  # and so many widths long
WIDER = 1.1  # a border is cut away this much wider than its run is on the middle
PLAIN = 0.05  # of its width: its run is thinned out to this
MENDED = 0.15  # of the thin strokes' width: pieces no farther apart than twice this are one
LEAST_PX = 7.0  # across; a smaller piece is a rest of the border's edge,
THIN = 0.02  # as is one whose area is less than this share of the square of its longest way
CRUMB = 0.25  # nor is one that is so small beside the larger ones
COMPACT = 0.35  # of the region across: a larger piece is no letter
OTHERS, WITHIN, UNLIKE = 2, 5.0, 1.5  # a letter has so many others of its colour within so many of its longest ways, no
# more unlike it in size than by this factor
FEW, MOST = 4, 40  # so few pieces are looked at in any case; more, if
AS_TALL, SHARE, LEVEL = 0.08, 0.4, 4  # so large a share of the tall ones, and so many, are of one height to this share


@dataclass(frozen=True, slots=True, eq=False)
class Touching:
    """Pieces of regions that may be letters: their shapes, and the region each is part of."""

    shapes: tuple[Shape, ...]
    regions: tuple[int, ...]


_KEPT: WeakKeyDictionary[Drawing, Touching] = WeakKeyDictionary()


def touching(drawing: Drawing, measures: Measures) -> Touching:
    """What stands on the border-like regions of a drawing. Worked out once for it."""
    if drawing not in _KEPT:
        standing = [_standing(shape) for shape in measures.regions]
        regions = np.array([i for i, pieces in enumerate(standing) for _ in pieces], dtype=np.int64)
        pieces = np.array([piece for pieces in standing for piece in pieces], dtype=object)
        among = _among_others(pieces, regions, drawing) if len(pieces) else regions > 0
        _KEPT[drawing] = Touching(_measured(pieces[among].tolist()), tuple(regions[among].tolist()))
    return _KEPT[drawing]


def _among_others(pieces: NDArray[np.object_], of: NDArray[np.int64], drawing: Drawing) -> NDArray[np.bool_]:
    """Which pieces have others about them, on the border or free, as letters have."""
    colours = np.array([region.colour for region in drawing.regions], dtype=np.int64)
    every = np.array([*pieces, *(region.outline for region in drawing.regions)], dtype=object)
    colour, box = np.append(colours[of], colours), shapely.bounds(every)
    centre, across = (box[:, :2] + box[:, 2:]) / 2.0, np.hypot(*(box[:, 2:] - box[:, :2]).T)
    count = len(pieces)
    apart = np.hypot(*(centre[:count, None] - centre[None]).transpose(2, 0, 1))
    alike = np.abs(np.log(across[:count, None] / np.maximum(across, 1e-9))) <= np.log(UNLIKE)
    near = alike & (apart <= WITHIN * across[:count, None]) & (colour[:count, None] == colour[None])
    return np.asarray(near.sum(axis=1) > OTHERS)


def _standing(shape: Shape) -> list[Polygon]:
    """A border's letters without it; none where the region is no border with things on it."""
    long = _border(shape)
    if not long:
        return []
    runs = [LineString(track.axis[:, :2]).simplify(PLAIN * _width(track)) for track in long]
    strips = [
        run.buffer(WIDER * _width(track) / 2.0, quad_segs=4, cap_style="square")
        for run, track in zip(runs, long, strict=True)
    ]
    rest = shapely.get_parts(shape.outline.difference(shapely.union_all(strips)))
    box = shapely.bounds(rest)
    across = np.hypot(box[:, 2] - box[:, 0], box[:, 3] - box[:, 1])
    left, top, right, bottom = shape.outline.bounds
    kept = (across >= LEAST_PX) & (across <= COMPACT * np.hypot(right - left, bottom - top))
    kept &= shapely.area(rest) >= THIN * across**2
    kept &= across >= CRUMB * np.quantile(across[kept], 0.9) if kept.any() else False
    pieces = rest[kept]
    if len(pieces) > FEW and not (len(pieces) <= MOST and _level(pieces, MultiLineString(runs))):
        return []
    return _mended(pieces, shape) if len(pieces) else []


def _mended(pieces: NDArray[np.object_], shape: Shape) -> list[Polygon]:
    """Pieces that all but touch are of one letter whose foot lies in the border, such as an N."""
    near = MENDED * percentiles_px(shape.whole)[0]
    one, two = shapely.STRtree(pieces).query(pieces, predicate="dwithin", distance=near)
    bridges = shapely.buffer(shapely.shortest_line(pieces[one], pieces[two])[one < two], near)
    return list(shapely.get_parts(shapely.union_all([*pieces, *bridges]))) if len(bridges) else pieces.tolist()


def _level(pieces: NDArray[np.object_], runs: MultiLineString) -> bool:
    """Whether many of the pieces rise to one height over the border, as letters do."""
    hulls = shapely.convex_hull(pieces)
    points, of = shapely.get_coordinates(hulls, return_index=True)
    ways = shapely.get_coordinates(shapely.shortest_line(shapely.centroid(hulls), runs)).reshape(-1, 2, 2)
    up = ways[:, 0] - ways[:, 1]
    up /= np.maximum(np.hypot(up[:, 0], up[:, 1]), 1e-9)[:, None]
    level, starts = (points * up[of]).sum(axis=1), np.searchsorted(of, np.arange(len(pieces)))
    tall = np.maximum.reduceat(level, starts) - np.minimum.reduceat(level, starts)
    tall = tall[tall >= tall.max() / 2.0]
    alike = np.abs(np.log(tall[:, None] / tall)) <= AS_TALL
    return bool(alike.sum(axis=1).max() >= max(SHARE * len(tall), LEVEL))


def _border(shape: Shape) -> list[Track]:
    """Its long even runs, if what stands on them has none like them."""
    if len(shape.branches) < BRANCHES or np.sum(shape.free) < FREE:
        return []
    length = np.array([float(track.along[-1]) for track in shape.lines])
    longest = float(length.max(initial=0.0))
    left, top, right, bottom = shape.outline.bounds
    long = length >= LONG * longest
    if longest < SPANS * np.hypot(right - left, bottom - top) or (length[~long] > SHORTER * longest).any():
        return []
    found = [track for track, keep in zip(shape.lines, long.tolist(), strict=True) if keep]
    return found if all(track.along[-1] >= SLENDER * _width(track) for track in found) else []


def _width(track: Track) -> float:
    """Its median width, by length."""
    return float(np.median(track.axis[:, 2]))


def _measured(outlines: Sequence[Polygon]) -> tuple[Shape, ...]:
    if not outlines:
        return ()
    axes = axes_apart(outlines)
    return tuple(
        Shape(outline, tuple(axes.branches[k]), (), stroke_of(axes, k, uncut(outline)), axes.rings)
        for k, outline in enumerate(axes.outlines)
    )
