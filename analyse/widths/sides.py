"""How a column's stitches lie: the two sides of a stroke, point across from point, out to its ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from analyse.values import Floats
from analyse.widths.centreline import Branch, Side
from analyse.widths.rings import Rings
from analyse.widths.samples import Ints

STEP_PER_WIDTH = 0.12  # sides are given this densely along the run, in widths
FINEST_STEP_PX = 0.5
HOP = 3.0  # a side that would go this much further along its ring than straight across has hopped
CORNER_DEG = 45.0  # a turn this sharp, over a baseline of CORNER_REACH widths, ends a side
CORNER_REACH = 0.12
LEAST_END = 0.35  # corners further apart than this, in widths, make a blunt end; nearer ones a pointed one
SLICES = 24  # stitch lines across a compact shape, at least


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A spine in px: line (N, 3) x, y, width; left, right (N, 2)."""

    line: Floats
    left: Floats
    right: Floats
    closed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A run before it is evened: axis rows with the sides' places on the rings."""

    axis: Floats
    left: Side
    right: Side
    closed: bool


def track_of(branches: Sequence[Branch], rings: Rings, *, closed: bool | None = None) -> Track:
    """Branches that follow each other, as one."""
    left, right = (_joined(sides, rings) for sides in ([b.left for b in branches], [b.right for b in branches]))
    whole = branches[0].closed if closed is None else closed
    return Track(np.vstack([b.axis for b in branches]), left, right, whole)


def _joined(sides: Sequence[Side], rings: Rings) -> Side:
    """Sides in a row, their ways counted on where they stay on one ring."""
    ways = [sides[0].way]
    for before, after in pairwise(sides):
        ring, turn = int(after.ring[0]), 0.0
        if ring == int(before.ring[-1]):
            length = float(rings.length[ring])
            turn = np.round((ways[-1][-1] - after.way[0]) / length) * length
        ways.append(after.way + turn)
    return Side(np.concatenate([side.ring for side in sides]), np.concatenate(ways))


def run_of(track: Track, rings: Rings, free: tuple[bool, bool], cuts: Floats) -> Run:
    """A run with sides on the outline, carried on to its free ends, at even steps.

    cuts: (C, 2) points where cuts end: the sides of an end made by a cut end there.
    """
    if free[0] and not track.closed:
        track = _turned(_capped(_turned(track), rings, cuts))
    if free[1] and not track.closed:
        track = _capped(track, rings, cuts)
    return _evened(track, rings)


def _turned(track: Track) -> Track:
    return Track(track.axis[::-1], track.right.turned(), track.left.turned(), track.closed)


def way_along(points: Floats) -> Floats:
    """Way from the first point to each, along straight pieces."""
    steps = np.hypot(*np.diff(points[:, :2], axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _capped(track: Track, rings: Rings, cuts: Floats) -> Track:
    """The track with stitch lines from its last disc out to the end of the shape."""
    ring, width = int(track.left.ring[-1]), float(track.axis[-1, 2])
    if ring != int(track.right.ring[-1]):
        return track
    start = float(track.left.way[-1])
    reach = float(np.mod(track.right.way[-1] - start, rings.length[ring]))
    one, two = _ends_of_sides(rings, ring, start, reach, width, cuts)
    step = max(STEP_PER_WIDTH * width, FINEST_STEP_PX)
    share = np.linspace(0.0, 1.0, max(int(np.ceil(max(one, reach - two) / step)), 1) + 1)[1:]
    left_way, right_way = start + share * one, track.right.way[-1] - share * (reach - two)
    left, right = rings.at(ring, left_way), rings.at(ring, right_way)
    across = np.minimum(np.hypot(*(left - right).T), width)
    return Track(
        np.vstack([track.axis, np.column_stack([(left + right) / 2.0, across])]),
        _longer(track.left, ring, left_way),
        _longer(track.right, ring, right_way),
        track.closed,
    )


def _longer(side: Side, ring: int, way: Floats) -> Side:
    return Side(np.append(side.ring, np.full(len(way), ring)), np.append(side.way, way))


def _ends_of_sides(
    rings: Rings, ring: int, start: float, reach: float, width: float, cuts: Floats
) -> tuple[float, float]:
    """How far along the end's outline the left side ends and the right one begins."""
    marks = _marked(rings, ring, start, reach, cuts)
    if len(marks) < 2:
        marks = corners_between(rings, ring, start, reach, width)
    if len(marks) == 0:
        return reach / 2.0, reach / 2.0
    first, last = float(marks[0]), float(marks[-1])
    ends = rings.at(ring, start + np.array([first, last]))
    if np.hypot(*(ends[0] - ends[1])) < LEAST_END * width:
        middle = (first + last) / 2.0
        return middle, middle
    return first, last


def _marked(rings: Rings, ring: int, start: float, reach: float, cuts: Floats) -> Floats:
    """Where cuts end on this piece of outline, as ways from its start."""
    if not len(cuts):
        return np.empty(0)
    ways = np.concatenate([[start], rings.between(ring, start, start + reach), [start + reach]])
    points = rings.at(ring, ways)
    hit = (np.hypot(*(points[:, None] - cuts[None]).transpose(2, 0, 1)) < 1e-6).any(axis=1)
    return np.asarray(ways[hit] - start)


def corners_between(rings: Rings, ring: int, start: float, reach: float, width: float) -> Floats:
    """Ways, from its start, of the sharp outward corners on a stretch of outline, strongest of each bunch."""
    arm = max(CORNER_REACH * width, 1e-3)
    even = np.linspace(0.0, reach, 4 * max(int(reach / arm), 4) + 1)
    way = np.sort(np.concatenate([even, rings.between(ring, start, start + reach) - start]))
    turn = rings.turns(ring, start + way, arm)
    found: list[float] = []
    for k in np.argsort(-turn, kind="stable"):
        if turn[k] < CORNER_DEG:
            break
        if all(abs(way[k] - other) > arm for other in found):
            found.append(float(way[k]))
    return np.array(sorted(found))


def _evened(track: Track, rings: Rings) -> Run:
    """At even steps along the mean of the three lines, so that bends get their share; sides follow the outline."""
    axis = track.axis
    sides = [(side.ring, side.way, side.points(rings)) for side in (track.left, track.right)]
    if track.closed:
        axis = np.vstack([axis, axis[:1]])
        sides = [_closed(rings, *side) for side in sides]
    steps = np.hypot(*np.diff(axis[:, :2], axis=0).T)
    for ring, way, points in sides:
        straight = np.hypot(*np.diff(points, axis=0).T)
        steps = steps + np.where(_follows(ring, way, points, axis[:, 2]), np.abs(np.diff(way)), straight)
    along = np.concatenate([[0.0], np.cumsum(steps / 3.0)])
    step = max(FINEST_STEP_PX, STEP_PER_WIDTH * float(np.median(track.axis[:, 2])))
    at = np.linspace(0.0, along[-1], max(int(np.ceil(along[-1] / step)), 2) + 1)
    at = at[:-1] if track.closed else at
    line = np.column_stack([np.interp(at, along, column) for column in axis.T])
    left, right = (_read(rings, side, axis[:, 2], at, along) for side in sides)
    return Run(line, left, right, track.closed)


def _follows(ring: Ints, way: Floats, points: Floats, width: Floats) -> NDArray[np.bool_]:
    """Where a side goes along its ring from one row to the next: at a pinch it hops from leg to leg instead."""
    straight = np.hypot(*np.diff(points, axis=0).T)
    near = np.abs(np.diff(way)) <= HOP * straight + np.maximum(width[1:], width[:-1])
    return np.asarray((ring[1:] == ring[:-1]) & near)


def _closed(rings: Rings, ring: Ints, way: Floats, points: Floats) -> tuple[Ints, Floats, Floats]:
    """The side with its first row again at the end, one turn of the ring further."""
    length = rings.length[int(ring[0])]
    turn = np.round((way[-1] - way[0]) / length) * length if abs(way[-1] - way[0]) > length / 2.0 else 0.0
    return np.append(ring, ring[:1]), np.append(way, way[0] + turn), np.vstack([points, points[:1]])


def _read(rings: Rings, side: tuple[Ints, Floats, Floats], width: Floats, at: Floats, along: Floats) -> Floats:
    """Side points at the ways `at`: on the outline where the side stays on one ring, straight across else."""
    ring, way, points = side
    row = np.clip(np.searchsorted(along, at, side="right") - 1, 0, len(along) - 2)
    share = (at - along[row]) / np.maximum(along[row + 1] - along[row], 1e-12)
    read = points[row] + (points[row + 1] - points[row]) * share[:, None]
    follows = _follows(ring, way, points, width)[row]
    for number in np.unique(ring).tolist():
        own = follows & (ring[row] == number)
        read[own] = rings.at(number, way[row[own]] + (way[row[own] + 1] - way[row[own]]) * share[own])
    return np.asarray(read)


def sliced(outline: Polygon) -> Run:
    """A compact shape as one run along its longer way: straight stitch lines across it."""
    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(outline))
    edges = box[1:3] - box[:2]
    ahead = edges[int(np.argmax(np.hypot(*edges.T)))]
    ahead = ahead / max(float(np.hypot(*ahead)), 1e-9)
    aside = np.array([ahead[1], -ahead[0]])
    rim = shapely.get_coordinates(outline.exterior)
    low, high = float((rim @ ahead).min()), float((rim @ ahead).max())
    out = rim @ aside
    count = max(SLICES, int((high - low) / max(FINEST_STEP_PX, STEP_PER_WIDTH * float(np.ptp(out)))))
    turn = (1.0 - np.cos(np.linspace(0.0, np.pi, count + 1))) / 2.0  # closer at the ends, where a disc narrows fast
    at = low + (high - low) * np.clip(turn, 1e-6, 1.0 - 1e-6)
    base = ahead * at[:, None]
    lines = shapely.linestrings(np.stack([base + aside * (out.min() - 1.0), base + aside * (out.max() + 1.0)], axis=1))
    ends = [shapely.get_coordinates(cut) for cut in shapely.intersection(lines, outline) if not cut.is_empty]
    left = np.array([xy[np.argmax(xy @ aside)] for xy in ends])
    right = np.array([xy[np.argmin(xy @ aside)] for xy in ends])
    return Run(np.column_stack([(left + right) / 2.0, np.hypot(*(left - right).T)]), left, right)
