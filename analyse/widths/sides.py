"""How a column's stitches lie: the two sides of a stroke, point across from point, out to its ends."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, Polygon

from analyse.values import Floats
from analyse.widths.centreline import Branch

STEP_PER_WIDTH = 0.2  # sides are given this densely along the run, in widths
FINEST_STEP_PX = 0.5
CORNER_DEG = 40.0  # a turn this sharp within a width ends a side


def resampled(points: Floats, at: Floats, along: Floats) -> Floats:
    """Rows of `points`, known at `along`, read at the ways `at` by straight pieces."""
    return np.column_stack([np.interp(at, along, column) for column in points.T])


def way_along(points: Floats) -> Floats:
    """Way from the first point to each, along straight pieces."""
    steps = np.hypot(*np.diff(points[:, :2], axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])


def evened(axis: Floats, left: Floats, right: Floats, *, closed: bool = False) -> tuple[Floats, Floats, Floats]:
    """The same run at even steps along the mean of its three lines, so that bends get their share."""
    rows = np.hstack([axis, left, right])
    if closed:
        rows = np.vstack([rows, rows[:1]])
    along = (way_along(rows[:, :2]) + way_along(rows[:, 3:5]) + way_along(rows[:, 5:7])) / 3.0
    step = max(FINEST_STEP_PX, STEP_PER_WIDTH * float(np.median(axis[:, 2])))
    count = max(int(np.ceil(along[-1] / step)), 2)
    at = np.linspace(0.0, along[-1], count + 1)[: count if closed else count + 1]
    rows = resampled(rows, at, along)
    return rows[:, :3], rows[:, 3:5], rows[:, 5:7]


def with_ends(branch: Branch, outline: Polygon, ends: tuple[bool, bool]) -> tuple[Floats, Floats, Floats]:
    """The branch with its sides carried on to the outline at the ends that are free."""
    axis, left, right = branch.axis, branch.left, branch.right
    if ends[0]:
        head = _cap(axis[::-1], right[0], left[0], outline)
        axis, left, right = (
            np.vstack([head[0][::-1], axis]),
            np.vstack([head[2][::-1], left]),
            np.vstack([head[1][::-1], right]),
        )
    if ends[1]:
        tail = _cap(branch.axis, branch.left[-1], branch.right[-1], outline)
        axis, left, right = np.vstack([axis, tail[0]]), np.vstack([left, tail[1]]), np.vstack([right, tail[2]])
    return axis, left, right


def _cap(axis: Floats, left: Floats, right: Floats, outline: Polygon) -> tuple[Floats, Floats, Floats]:
    """Stitch lines from the axis' last disc out to the end of the shape; `left`, `right` are its touching points."""
    arc = _arc_between(left, right, outline)
    ahead = _heading(axis)
    first, second = _ends_of_sides(arc, ahead, float(axis[-1, 2]))
    one, two = _monotone(arc[: first + 1], ahead), _monotone(arc[second:][::-1], ahead)
    count = max(int(np.ceil(max(way_along(one)[-1], way_along(two)[-1]) / FINEST_STEP_PX / 2.0)), 1)
    share = np.arange(1, count + 1) / count
    sides = [_by_reach(side, ahead, share) for side in (one, two)]
    middle = (sides[0] + sides[1]) / 2.0
    width = np.hypot(*(sides[0] - sides[1]).T)
    return np.column_stack([middle, np.minimum(width, axis[-1, 2])]), sides[0], sides[1]


def _arc_between(left: Floats, right: Floats, outline: Polygon) -> Floats:
    """The outline's shorter way from left to right, both included."""
    rings = [outline.exterior, *outline.interiors]
    ring = rings[int(np.argmin([shapely.distance(r, shapely.Point(*left)) for r in rings]))]
    start, end = ring.project(shapely.Point(*left)), ring.project(shapely.Point(*right))
    forward = (end - start) % ring.length
    coords = shapely.get_coordinates(ring)
    if forward > ring.length / 2.0:
        coords, start, forward = coords[::-1], ring.length - start, ring.length - forward
    along = way_along(coords)
    twice = np.concatenate([along, along[1:] + along[-1]])
    inner = (twice > start + 1e-9) & (twice < start + forward - 1e-9)
    return np.vstack([left, np.vstack([coords, coords[1:]])[inner], right])


def _heading(axis: Floats) -> Floats:
    along = way_along(axis)
    back = np.interp(max(along[-1] - axis[-1, 2] / 2.0, 0.0), along, np.arange(len(along)))
    start = resampled(axis[:, :2], np.array([back]), np.arange(len(along), dtype=np.float64))[0]
    step = axis[-1, :2] - start
    size = float(np.hypot(*step))
    return np.asarray(step / size) if size > 1e-9 else np.array([1.0, 0.0])


def _ends_of_sides(arc: Floats, ahead: Floats, width: float) -> tuple[int, int]:
    """Indices on the arc where the left side ends and the right side begins: corners, or the tip of a round end."""
    line = LineString(arc)
    smooth = shapely.get_coordinates(shapely.simplify(line, 0.06 * width))
    reach = smooth @ ahead
    if len(smooth) > 3:
        steps = np.diff(smooth, axis=0)
        turn = np.degrees(
            np.abs(
                np.arctan2(
                    steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0], (steps[:-1] * steps[1:]).sum(axis=1)
                )
            )
        )
        corners = 1 + np.flatnonzero(turn > CORNER_DEG)
        if len(corners) == 2 and np.hypot(*(smooth[corners[0]] - smooth[corners[1]])) > 0.5 * width:
            at = [int(np.argmin(np.hypot(*(arc - smooth[c]).T))) for c in corners]
            return at[0], at[1]
    tip = int(np.argmin(np.hypot(*(arc - smooth[int(reach.argmax())]).T)))
    return tip, tip


def _monotone(side: Floats, ahead: Floats) -> Floats:
    """The side without the places where it turns back."""
    reach = side @ ahead
    best = np.maximum.accumulate(reach)
    keep = reach >= best - 1e-9
    return np.asarray(side[keep])


def _by_reach(side: Floats, ahead: Floats, share: Floats) -> Floats:
    reach = side @ ahead
    if len(side) < 2 or reach[-1] - reach[0] < 1e-9:
        return np.repeat(side[-1:], len(share), axis=0)
    return resampled(side, reach[0] + share * (reach[-1] - reach[0]), reach)


def sliced(outline: Polygon) -> tuple[Floats, Floats, Floats]:
    """A compact shape as one run along its longer way: straight stitch lines across it."""
    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(outline))
    edges = box[1:3] - box[:2]
    ahead = edges[int(np.argmax(np.hypot(*edges.T)))]
    ahead = ahead / max(float(np.hypot(*ahead)), 1e-9)
    aside = np.array([ahead[1], -ahead[0]])
    rim = shapely.get_coordinates(outline.exterior)
    low, high = (rim @ ahead).min(), (rim @ ahead).max()
    reach = (rim @ aside).max() - (rim @ aside).min() + 2.0
    at = np.linspace(low, high, max(int((high - low) / max(FINEST_STEP_PX, 0.05 * reach)), 8) + 1)
    at[0], at[-1] = low + 1e-6 * (high - low), high - 1e-6 * (high - low)
    middle = float((rim @ aside).mean())
    lines = [LineString([ahead * a + aside * (middle - reach), ahead * a + aside * (middle + reach)]) for a in at]
    cuts = shapely.intersection(np.array(lines, dtype=object), outline)
    ends = [shapely.get_coordinates(cut) for cut in cuts if not cut.is_empty]
    left = np.array([xy[np.argmax(xy @ aside)] for xy in ends])
    right = np.array([xy[np.argmin(xy @ aside)] for xy in ends])
    width = np.hypot(*(left - right).T)
    return np.column_stack([(left + right) / 2.0, width]), left, right
