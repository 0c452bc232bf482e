"""What a shape is like, alone and among its neighbours: figures that no size, place or turn of a drawing changes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.centreline import Branch
from analyse.widths.measuring import Shape
from analyse.widths.profile import percentiles_px, run_length_px

Ints = NDArray[np.int64]

TURNS = 18  # directions in which extents are taken: the longest is right to 0.4 %
NEIGHBOURS = 4
CHUNK = 512  # shapes whose distances to all others are held at once
FAR = 3.0  # centres farther apart than this many of the shape's longest ways are no neighbours
LEAST = 1e-6
OWN = (
    "way / across", "stem / across", "widest / stem", "evenness", "heavy / stem", "fills hull", "outline / hull",
    "slender", "holes", "holes / area", "ends", "junctions", "straight", "one way", "square", "compact",
    "hull fills box", "longest run / across", "turning", "turning one way",
)  # fmt: skip
AMONG = (
    "near", "alike", "sizes differ", "stems differ", "nearest", "aligned", "differ", "in a row", "apart evenly",
    "inked alike", "share of design", "one of many", "feet agree", "level", "opening", "held in", "crowd alike",
    "fill hull alike", "holes near", "junctions near", "ends near", "room", "rooms alike",
)  # fmt: skip
NAMES = OWN + AMONG


def traits(shapes: Sequence[Shape], hulls: NDArray[np.object_], colours: Ints, extent_px: float) -> tuple[Floats, Ints]:
    """(N, len(NAMES)) of these shapes, all of one drawing. hulls (convex), colours: (N,); extent_px: its longer side.

    The first len(OWN) columns are of the shape alone, the others of its nearest neighbours of the same colour. Beside
    them which those are, (N, NEIGHBOURS), -1 for none.
    """
    if not len(shapes):
        return np.empty((0, len(NAMES))), np.empty((0, NEIGHBOURS), dtype=np.int64)
    reach = _extents(hulls)
    own, across, lean = _own(shapes, hulls, reach)
    among, near = _among(shapes, own, across, lean, colours, extent_px, reach)
    return np.hstack([own, among]), near


def _own(
    shapes: Sequence[Shape], hulls: NDArray[np.object_], reach: tuple[Floats, Floats]
) -> tuple[Floats, Floats, Floats]:
    """Traits of each shape alone; its longest way across, px; twice the angle its runs lean to, as a vector."""
    outlines = np.array([shape.whole.filled for shape in shapes], dtype=object)
    extent = reach[1] - reach[0]
    across, narrow = np.maximum(extent.max(axis=1), LEAST), extent.min(axis=1)
    low, stem, heavy = np.array([percentiles_px(shape.whole) for shape in shapes]).T
    widest = np.array([float(shape.pole[2]) for shape in shapes])
    way = np.array([run_length_px(shape.whole) for shape in shapes])
    area, length = shapely.area(outlines), shapely.length(outlines)
    hull_area = np.maximum(shapely.area(hulls), LEAST)
    holes = shapely.get_num_interior_rings(outlines)
    full = shapely.area(shapely.polygons(shapely.get_exterior_ring(outlines)))
    ends, junctions, straight, longest, two, four, turning = _runs(shapes)
    one_way = np.hypot(two[:, 0], two[:, 1])
    rows = [
        _log(way / across), _log(stem / across), _log(widest / stem), low / np.maximum(heavy, LEAST),
        _log(heavy / stem), area / hull_area, _log(length / shapely.length(hulls)), _log(narrow / across),
        np.minimum(holes, 4) / 2.0, 1.0 - area / np.maximum(full, LEAST), np.minimum(ends, 8) / 4.0,
        np.minimum(junctions, 6) / 3.0, straight, one_way, np.hypot(four[:, 0], four[:, 1]),
        _log(area / length**2), hull_area / (across * np.maximum(narrow, LEAST)),
        longest / across, turning[:, 0], turning[:, 1],
    ]  # fmt: skip
    return np.column_stack(rows), across, two


def _log(ratio: Floats) -> Floats:
    return np.log(np.clip(ratio, 1e-3, 1e3))


def _extents(hulls: NDArray[np.object_]) -> tuple[Floats, Floats]:
    """From where to where each hull reaches in TURNS directions, (N, TURNS) twice."""
    points, index = shapely.get_coordinates(hulls, return_index=True)
    starts = np.searchsorted(index, np.arange(len(hulls)))
    turn = np.linspace(0.0, np.pi, TURNS, endpoint=False)
    along = points @ np.array([np.cos(turn), np.sin(turn)])
    return np.minimum.reduceat(along, starts), np.maximum.reduceat(along, starts)


def _runs(shapes: Sequence[Shape]) -> tuple[Floats, Floats, Floats, Floats, Floats, Floats, Floats]:
    """Of each shape's axis: free ends, junctions, chords by lengths, longest chord, doubled and fourfold directions.

    And by how much its runs turn on their way, all in all and all one way, (N, 2), in half turns: a ring once round.
    """
    count = len(shapes)
    branches = [(n, branch) for n, shape in enumerate(shapes) for branch in shape.branches if len(branch.axis) > 1]
    if not branches:
        none = np.zeros(count)
        return none, none, np.ones(count), none, *np.zeros((3, count, 2))
    owner = np.array([n for n, _ in branches])
    sizes = np.array([len(branch.axis) for _, branch in branches])
    axis = np.concatenate([branch.axis[:, :2] for _, branch in branches])
    last = np.cumsum(sizes) - 1
    step = np.delete(np.diff(axis, axis=0), last[:-1], axis=0)
    of = np.repeat(owner, sizes - 1)
    length = np.hypot(step[:, 0], step[:, 1])
    whole = np.maximum(np.bincount(of, length, count), LEAST)
    chord = np.hypot(*(axis[last] - axis[last - sizes + 1]).T)
    longest = np.zeros(count)
    np.maximum.at(longest, owner, chord)
    straight = np.where(np.bincount(owner, minlength=count) > 0, np.bincount(owner, chord, count) / whole, 1.0)
    turn = np.arctan2(step[:, 1], step[:, 0])
    folds = []
    for fold in (2, 4):
        x, y = length * np.cos(fold * turn), length * np.sin(fold * turn)
        folds.append(np.column_stack([np.bincount(of, x, count), np.bincount(of, y, count)]) / whole[:, None])
    turning = _turning(axis, sizes, length)
    turning[[branch.closed for _, branch in branches]] = 2.0
    weighed = np.bincount(np.repeat(np.arange(len(sizes)), sizes - 1), length)[:, None] * turning
    turned = np.column_stack([np.bincount(owner, each, count) for each in weighed.T]) / whole[:, None]
    return *_nodes(branches, count), straight, longest, folds[0], folds[1], turned


def _turning(axis: Floats, sizes: Ints, length: Floats) -> Floats:
    """How much lines turn from quarter to quarter of their way, without and with the sense, (B, 2), in half turns."""
    line = np.repeat(np.arange(len(sizes)), sizes)
    along = np.zeros(len(axis))
    first = np.cumsum(sizes) - sizes
    along[np.delete(np.arange(len(axis)), first)] = length
    along = np.cumsum(along)
    along -= along[first][line]
    share = line + along / np.maximum(along[first + sizes - 1], LEAST)[line] * 0.999
    asked = np.arange(len(sizes))[:, None] + np.linspace(0.0, 0.999, 5)
    x, y = (np.diff(np.interp(asked, share, own), axis=1) for own in axis.T)
    turn = np.diff(np.arctan2(y, x), axis=1)
    turn = (turn + np.pi) % (2.0 * np.pi) - np.pi
    return np.column_stack([np.abs(turn).sum(axis=1), np.abs(turn.sum(axis=1))]) / np.pi


def _nodes(branches: Sequence[tuple[int, Branch]], count: int) -> tuple[Floats, Floats]:
    """Of each shape's axis: free ends and junctions."""
    nodes = np.array([(n, node) for n, branch in branches if not branch.closed for node in branch.ends])
    if not len(nodes):
        return np.zeros(count), np.zeros(count)
    places, meets = np.unique(nodes[:, 0] * (nodes[:, 1].max() + 1) + nodes[:, 1], return_counts=True)
    owner = places // (nodes[:, 1].max() + 1)
    ends, junctions = np.bincount(owner, meets == 1, count), np.bincount(owner, meets > 2, count)
    return np.asarray(ends), np.asarray(junctions)


def _among(
    shapes: Sequence[Shape], own: Floats, across: Floats, lean: Floats, colours: Ints, extent_px: float,
    reach: tuple[Floats, Floats],
) -> tuple[Floats, Ints]:  # fmt: skip
    """Traits of each shape among its nearest neighbours of its colour. reach: of each hull in TURNS directions."""
    boxes = shapely.bounds(np.array([shape.outline for shape in shapes], dtype=object))
    centre = (boxes[:, :2] + boxes[:, 2:]) / 2.0
    near, apart = _nearest(centre, colours)
    found = (near >= 0) & (apart <= FAR * across[:, None])
    own_stem, size = own[:, 1] + np.log(across), np.log(across)
    other = np.where(found, near, 0)
    sizes, stems = np.abs(size[other] - size[:, None]), np.abs(own_stem[other] - own_stem[:, None])
    alike = found & (sizes < np.log(2.0)) & (stems < np.log(1.5))
    aligned = (lean[other] * lean[:, None]).sum(axis=2)
    scaled = own[:, [0, 1, 5, 7, 8]]
    differ = np.abs(scaled[other] - scaled[:, None]).sum(axis=2)
    toward = (centre[other] - centre[:, None]) / np.maximum(apart, LEAST)[:, :, None]
    crowd = np.bincount(colours - colours.min())[colours - colours.min()]
    ink = own[:, 15]
    step = apart / across[:, None]
    foot, level, room = _levels(toward, found, other, centre, reach, across)
    closest = np.sort(np.where(found, room, FAR), axis=1)
    holes, junctions, ends = own[:, 8], own[:, 11], own[:, 10]
    rows = [
        found.mean(axis=1), alike.mean(axis=1), _mean(sizes, found, 1.0), _mean(stems, found, 1.0),
        np.where(found[:, 0], step[:, 0], FAR), _mean(aligned, found, 0.0), _mean(differ, found, 2.0),
        _opposite(toward, found), _evenly(step, found), _mean(np.abs(ink[other] - ink[:, None]), found, 1.0),
        _log(across / extent_px), np.log1p(crowd) / 3.0, foot, level, (colours < 0).astype(float),
        _held(boxes, across), _crowd(own, across, colours),
        _mean(np.abs(own[:, 5][other] - own[:, 5][:, None]), found, 1.0),
        _mean(holes[other], found, 0.0), _mean(junctions[other], found, 0.0), _mean(ends[other], found, 0.0),
        np.clip(closest[:, 0], -1.0, FAR), np.minimum(closest[:, 1] - closest[:, 0], 1.0),
    ]  # fmt: skip
    return np.column_stack(rows), np.where(found, near, -1)


def _levels(
    toward: Floats, found: NDArray[np.bool_], other: Ints, centre: Floats, reach: tuple[Floats, Floats], across: Floats
) -> tuple[Floats, Floats, Floats]:
    """How nearly feet or heads, and both, agree with the neighbours', across the way to them, in longest ways.

    And how much room there is between them along that way, (N, NEIGHBOURS).
    """
    way = np.round(np.arctan2(toward[:, :, 1], toward[:, :, 0]) / np.pi * TURNS).astype(int)
    turn = (way + TURNS // 2) % TURNS
    angle = np.linspace(0.0, np.pi, TURNS, endpoint=False)
    at = centre @ np.array([np.cos(angle), np.sin(angle)])
    low, high = reach[0] - at, reach[1] - at
    here = np.arange(len(centre))[:, None]
    foot = np.abs(low[other, turn] - low[here, turn]) / across[:, None]
    head = np.abs(high[other, turn] - high[here, turn]) / across[:, None]
    one, two = reach[0], reach[1]
    ahead = way % TURNS
    room = np.maximum(one[other, ahead] - two[here, ahead], one[here, ahead] - two[other, ahead]) / across[:, None]
    return (
        _mean(np.minimum(np.minimum(foot, head), 1.0), found, 1.0),
        _mean(np.minimum(np.maximum(foot, head), 1.0), found, 1.0),
        room,
    )


def _held(boxes: Floats, across: Floats) -> Floats:
    """How much larger the smallest shape whose box holds this one's is, as a logarithm; FAR for none."""
    size = np.log(across)
    least = np.full(len(boxes), FAR)
    for start in range(0, len(boxes), CHUNK):
        own = boxes[start : start + CHUNK, None]
        held = (own[:, :, :2] > boxes[None, :, :2]).all(axis=2) & (own[:, :, 2:] < boxes[None, :, 2:]).all(axis=2)
        larger = size[None] - size[start : start + CHUNK, None]
        least[start : start + CHUNK] = np.minimum(np.where(held, larger, FAR).min(axis=1), FAR)
    return least


def _crowd(own: Floats, across: Floats, colours: Ints) -> Floats:
    """Which share of the shapes of its colour, itself left out, are much like it."""
    told = np.column_stack([np.log(across), own[:, 0], own[:, 1] + np.log(across), own[:, 5]]) / [0.2, 0.15, 0.2, 0.1]
    share = np.zeros(len(told))
    for colour in np.unique(colours).tolist():
        group = np.flatnonzero(colours == colour)
        for start in range(0, len(group) if len(group) > 1 else 0, CHUNK):
            some = group[start : start + CHUNK]
            alike = (np.abs(told[some, None] - told[None, group]) < 1.0).all(axis=2).sum(axis=1) - 1
            share[some] = alike / (len(group) - 1)
    return share


def _nearest(centre: Floats, colours: Ints) -> tuple[Ints, Floats]:
    """The nearest few of the same colour, (N, NEIGHBOURS), -1 for none, and how far their centres are."""
    near = np.full((len(centre), NEIGHBOURS), -1, dtype=np.int64)
    apart = np.full((len(centre), NEIGHBOURS), 1e9)
    for colour in np.unique(colours).tolist():
        group = np.flatnonzero(colours == colour)
        most = min(NEIGHBOURS, len(group) - 1)
        for start in range(0, len(group) if most > 0 else 0, CHUNK):
            some = group[start : start + CHUNK]
            far = np.hypot(*(centre[group][None] - centre[some][:, None]).transpose(2, 0, 1))
            far[np.arange(len(some)), np.arange(start, start + len(some))] = np.inf
            order = np.argsort(far, axis=1, kind="stable")[:, :most]
            near[some, :most] = group[order]
            apart[some, :most] = np.take_along_axis(far, order, axis=1)
    return near, apart


def _mean(values: Floats, found: NDArray[np.bool_], none: float) -> Floats:
    count = found.sum(axis=1)
    return np.where(count > 0, np.where(found, values, 0.0).sum(axis=1) / np.maximum(count, 1), none)


def _opposite(toward: Floats, found: NDArray[np.bool_]) -> Floats:
    """1 where two neighbours lie on opposite sides, as letters of a line do; -1 where all lie on one."""
    cosine = np.einsum("nki,nli->nkl", toward, toward)
    both = found[:, :, None] & found[:, None]
    return np.asarray(-np.where(both, cosine, 1.0).min(axis=(1, 2)))


def _evenly(step: Floats, found: NDArray[np.bool_]) -> Floats:
    """How alike the distances of the two nearest are: 1 for marks set by rule."""
    two = found[:, 1]
    return np.asarray(np.where(two, step[:, 0] / np.maximum(step[:, 1], LEAST), 0.0))
