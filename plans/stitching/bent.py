"""Which fills want rows that turn with them? Long ones that bend: their way along is the guide."""

from __future__ import annotations

import numpy as np
from shapely import LineString, MultiPolygon, Polygon

from analyse.values import Part
from plans.stitching.curves import along
from plans.stitching.guides import guide_along, laid_out, widest_stretch
from plans.stitching.sides import spine_from_shape

LONG = 4.0  # so many times as long as wide, or rows at one angle do as well
TURNED_DEG = 60.0  # so far its way turns from end to end: the light on rows at one angle would read as a break
EVEN = 1.6  # its widest place is no wider than so many times its usual width
SPREAD_MOST = 1.5  # rows spread no further than this on the outer side: closer there they would crowd within
ENDS = 0.1  # so much of the way at either end is left out: what a cut across the end says there is no heading


def guide_for(part: Part) -> LineString | None:
    """The way along a fill that its rows should turn with; None where rows at one angle serve as well.

    The part is one area without holes, four times as long as wide and evenly so, turns by 60 degrees and more, and
    bends gently enough to be laid out straight. `Sewing.guide` takes its coordinates; angle_deg counts from its run.
    """
    return guide_of(part.outline_mm) if part.kind == "fill" else None


def guide_of(shape: Polygon | MultiPolygon) -> LineString | None:
    """`guide_for` by the shape alone."""
    if not isinstance(shape, Polygon) or shape.interiors:
        return None
    spine = spine_from_shape(shape)
    way = along(spine.line)
    inner = (way > ENDS * way[-1]) & (way < (1 - ENDS) * way[-1])
    if inner.sum() < 3:
        return None
    width = spine.line[inner, 2]
    usual = float(np.median(width))
    if way[-1] < LONG * usual or width.max() > EVEN * usual or _turned_deg(spine.line[inner, :2]) < TURNED_DEG:
        return None
    guide = guide_along(spine.line[inner, :2])
    flat = laid_out(shape, guide)
    if flat is None or widest_stretch(flat, guide) > SPREAD_MOST:
        return None
    return LineString(spine.line[inner, :2])


def _turned_deg(line: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> float:
    """Degrees between the headings that lie furthest apart along a way."""
    few = line[np.linspace(0, len(line) - 1, min(len(line), 24)).astype(np.int64)]
    steps = np.diff(few, axis=0)
    heading = np.degrees(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])))
    return float(heading.max() - heading.min())
