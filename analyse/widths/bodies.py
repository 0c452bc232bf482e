"""What a region is as a body: with what lies on top of it (letters, fur, scales, spots) not cut out of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from analyse.values import Floats
from analyse.widths.profile import by_length, percentiles
from analyse.widths.samples import Ints

Objects = NDArray[np.object_]

DETAIL = 0.25  # a hole thinner than this share of the body's width is detail lying on it, not an opening in it;
LAID_ON = 0.5  # one of another colour than what surrounds the body is, if thinner than this: no counter
MANY = 4  # so many holes of like size are no counters of a letter: they are a pattern on the body,
FEW, ALIKE = 3, 1.2  # or so many, if all are as large but for this factor and something of another colour lies in each,
SOLID = 0.55  # if it still shows over this share of its area; a net of strokes shows over less
THINNER = 0.8  # of the body's width where it is seen: no wider is what lies on it, measured all over and beside it,
BESIDE = 1.3  # no farther from it than so many times that width
LARGER = 2.0  # an opening is thicker than the pattern's holes by this factor
EVEN = 0.1  # of its middle width: so near to it a stroke is as wide as the others,
NET = 0.8  # and what is so over this share of its way is a net; a pattern's ground is wide here, narrow there


def body_of(
    outline: Polygon,
    disc_px: float,
    laid_on: Callable[[Objects], tuple[NDArray[np.bool_], Floats]],
    axes: Sequence[Floats] = (),
) -> Polygon:
    """The outline without the holes that are detail on it.

    disc_px: how wide the outline's own largest disc is. laid_on: which holes hold something of another colour than
    surrounds the outline; how wide what lies in each is, 0 where nothing does. axes: its branches' x, y, width.
    """
    if not outline.interiors:
        return outline
    holes = shapely.polygons(list(outline.interiors))
    thickness = 4.0 * shapely.area(holes) / np.maximum(shapely.length(holes), 1e-9)  # a disc's width, twice a stroke's
    stroke = _stroke_px(axes)
    if stroke > 0.0:
        openings = np.flatnonzero(thickness >= DETAIL * stroke)
        return outline if len(openings) == len(holes) else _with_holes(outline, openings)
    return _beneath_pattern(outline, holes, thickness, disc_px, laid_on(holes))


def _beneath_pattern(
    outline: Polygon, holes: Objects, thickness: Floats, disc_px: float, laid_on: tuple[NDArray[np.bool_], Floats]
) -> Polygon:
    """The outline without those of its holes that are a pattern on it. laid_on: what `body_of` is told of the holes."""
    area, (covered, width) = shapely.area(holes), laid_on
    order = np.argsort(-thickness, kind="stable")
    # which of the holes, thickest first, could be openings: so many that the rest leaves most of the body to be seen,
    left = np.cumsum(area[order][::-1])[::-1]
    solid = outline.area >= SOLID * (outline.area + left)
    # and is thinner than the body where that is seen: what an outline runs round is wider than the outline
    laid = np.where(width > 0.0, width, thickness)[order]
    solid &= np.maximum.accumulate(laid[::-1])[::-1] <= THINNER * disc_px
    alike = covered.all() and float(area.max()) <= ALIKE * float(area.min())
    kept = _openings_of_pattern(thickness[order], solid, FEW if alike else MANY)
    if kept is not None:
        return _with_holes(outline, order[:kept])
    kept = _openings(outline, order, thickness[order], solid, disc_px, covered[order])
    if kept == len(order):
        return outline
    body = _with_holes(outline, order[:kept])
    share = LAID_ON if covered[order[kept:]].all() else DETAIL
    narrow = [
        hole
        for hole, across in zip(order[kept:].tolist(), laid[kept:].tolist(), strict=True)
        if not _wide_there(body, holes[hole], thickness[hole] / share)
        or not _wide_there(outline, holes[hole], across / THINNER, BESIDE)
    ]
    return _with_holes(outline, np.append(order[:kept], narrow).astype(np.int64)) if narrow else body


def _stroke_px(axes: Sequence[Floats]) -> float:
    """Width of the strokes a net is made of; 0 for what is no net of even strokes."""
    axes = [axis for axis in axes if len(axis) > 1]
    if not axes:
        return 0.0
    width, length = by_length(axes)
    middle = percentiles(width, length)[1]
    even = np.abs(width - middle) <= EVEN * middle
    return middle if float(length[even].sum()) >= NET * float(length.sum()) else 0.0


def _with_holes(outline: Polygon, holes: Ints) -> Polygon:
    return Polygon(outline.exterior, [outline.interiors[i] for i in holes.tolist()])


def _openings_of_pattern(thickness: Floats, solid: NDArray[np.bool_], many: int) -> int | None:
    """How many of the holes, thickest first, are openings where the rest are a pattern; None where they are none.

    many: so many make a pattern.
    """
    for kept in range(len(thickness) - many + 1):
        if solid[kept] and (kept == 0 or thickness[kept - 1] >= LARGER * thickness[kept]):
            return kept
    return None


def _openings(
    outline: Polygon,
    order: Ints,
    thickness: Floats,
    solid: NDArray[np.bool_],
    disc_px: float,
    covered: NDArray[np.bool_],
) -> int:
    """How many of the holes, thickest first, are openings and not detail."""
    widest = _widest(outline)
    for kept in range(len(order)):
        share = LAID_ON if covered[kept:].all() else DETAIL
        least = thickness[kept] / share
        if not solid[kept] or least > widest:
            continue
        if least <= disc_px:
            return kept
        widest = _width(_with_holes(outline, order[:kept]))  # with a hole more it is no wider
        if least <= widest:
            return kept
    return len(order)


def _wide_there(body: Polygon, hole: Polygon, least: float, reach: float = 1.0) -> bool:
    """Whether the body is so wide where the hole is, no farther from it than `reach` times that, not only elsewhere."""
    near = max(shapely.get_parts(body.intersection(hole.buffer(reach * least))), key=lambda part: part.area)
    return _width(near) >= least


def _widest(outline: Polygon) -> float:
    """No disc in the outline, its holes filled, is wider than this."""
    left, top, right, bottom = outline.bounds
    return float(min(right - left, bottom - top, 2.0 * np.sqrt(Polygon(outline.exterior).area / np.pi)))


def _width(body: Polygon) -> float:
    """Width of its largest disc, to a percent."""
    tolerance = max(0.01 * float(np.sqrt(body.area)), 1e-3)
    return 2.0 * float(shapely.maximum_inscribed_circle(body, tolerance=tolerance).length)
