"""What a shape is like, alone and among its neighbours: figures that no size, place or turn of a drawing changes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.values import Floats
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
    "hull fills box",
)  # fmt: skip
AMONG = (
    "near", "alike", "sizes differ", "stems differ", "nearest", "aligned", "differ", "in a row", "apart evenly",
    "inked alike", "share of design", "one of many",
)  # fmt: skip
NAMES = OWN + AMONG


def traits(shapes: Sequence[Shape], colours: Ints, extent_px: float) -> Floats:
    """(N, len(NAMES)) of these shapes, all of one drawing. colours: (N,); extent_px: the design's longer side.

    The first len(OWN) columns are of the shape alone, the others of its nearest neighbours of the same colour.
    """
    if not len(shapes):
        return np.empty((0, len(NAMES)))
    own, across, lean = _own(shapes)
    return np.hstack([own, _among(shapes, own, across, lean, colours, extent_px)])


def _own(shapes: Sequence[Shape]) -> tuple[Floats, Floats, Floats]:
    """Traits of each shape alone; its longest way across, px; twice the angle its runs lean to, as a vector."""
    outlines = np.array([shape.whole.filled for shape in shapes], dtype=object)
    hulls = shapely.convex_hull(outlines)
    across, narrow = _extents(hulls)
    low, stem, heavy = np.array([percentiles_px(shape.whole) for shape in shapes]).T
    widest = np.array([float(shape.pole[2]) for shape in shapes])
    way = np.array([run_length_px(shape.whole) for shape in shapes])
    area, length = shapely.area(outlines), shapely.length(outlines)
    hull_area = np.maximum(shapely.area(hulls), LEAST)
    holes = shapely.get_num_interior_rings(outlines)
    full = shapely.area(shapely.polygons(shapely.get_exterior_ring(outlines)))
    ends, junctions, straight, two, four = _runs(shapes)
    one_way = np.hypot(two[:, 0], two[:, 1])
    rows = [
        _log(way / across), _log(stem / across), _log(widest / stem), low / np.maximum(heavy, LEAST),
        _log(heavy / stem), area / hull_area, _log(length / shapely.length(hulls)), _log(narrow / across),
        np.minimum(holes, 4) / 2.0, 1.0 - area / np.maximum(full, LEAST), np.minimum(ends, 8) / 4.0,
        np.minimum(junctions, 6) / 3.0, straight, one_way, np.hypot(four[:, 0], four[:, 1]),
        _log(area / length**2), hull_area / (across * np.maximum(narrow, LEAST)),
    ]  # fmt: skip
    return np.column_stack(rows), across, two


def _log(ratio: Floats) -> Floats:
    return np.log(np.clip(ratio, 1e-3, 1e3))


def _extents(hulls: NDArray[np.object_]) -> tuple[Floats, Floats]:
    """Longest and shortest way across each hull."""
    points, index = shapely.get_coordinates(hulls, return_index=True)
    starts = np.searchsorted(index, np.arange(len(hulls)))
    turn = np.linspace(0.0, np.pi, TURNS, endpoint=False)
    along = points @ np.array([np.cos(turn), np.sin(turn)])
    reach = np.maximum.reduceat(along, starts) - np.minimum.reduceat(along, starts)
    return np.maximum(reach.max(axis=1), LEAST), reach.min(axis=1)


def _runs(shapes: Sequence[Shape]) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Of each shape's axis: free ends, junctions, chords by lengths, directions as doubled and fourfold vectors."""
    branches = [(n, branch) for n, shape in enumerate(shapes) for branch in shape.branches if len(branch.axis) > 1]
    ends, junctions, count = np.zeros(len(shapes)), np.zeros(len(shapes)), len(shapes)
    for n, shape in enumerate(shapes):
        nodes = [node for branch in shape.branches if not branch.closed for node in branch.ends]
        meets = np.unique(np.array(nodes).reshape(-1, 2), axis=0, return_counts=True)[1] if nodes else np.zeros(0)
        ends[n], junctions[n] = (meets == 1).sum(), (meets > 2).sum()
    if not branches:
        return ends, junctions, np.ones(count), np.zeros((count, 2)), np.zeros((count, 2))
    owner = np.array([n for n, _ in branches])
    sizes = [len(branch.axis) for _, branch in branches]
    axis = np.concatenate([branch.axis[:, :2] for _, branch in branches])
    last = np.cumsum(sizes) - 1
    inside = np.ones(len(axis) - 1, dtype=bool)
    inside[last[:-1]] = False
    step = np.diff(axis, axis=0)[inside]
    of = np.repeat(owner, np.array(sizes) - 1)
    length = np.hypot(step[:, 0], step[:, 1])
    whole = np.maximum(np.bincount(of, length, count), LEAST)
    chord = np.hypot(*(axis[last] - axis[last - np.array(sizes) + 1]).T)
    straight = np.where(np.isin(np.arange(count), of), np.bincount(owner, chord, count) / whole, 1.0)
    turn = np.arctan2(step[:, 1], step[:, 0])
    folds = []
    for fold in (2, 4):
        x, y = length * np.cos(fold * turn), length * np.sin(fold * turn)
        folds.append(np.column_stack([np.bincount(of, x, count), np.bincount(of, y, count)]) / whole[:, None])
    return ends, junctions, straight, folds[0], folds[1]


def _among(
    shapes: Sequence[Shape], own: Floats, across: Floats, lean: Floats, colours: Ints, extent_px: float
) -> Floats:
    """Traits of each shape among its nearest neighbours of its colour."""
    centre = np.array([shape.outline.envelope.centroid.coords[0] for shape in shapes])
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
    rows = [
        found.mean(axis=1), alike.mean(axis=1), _mean(sizes, found, 1.0), _mean(stems, found, 1.0),
        np.where(found[:, 0], step[:, 0], FAR), _mean(aligned, found, 0.0), _mean(differ, found, 2.0),
        _opposite(toward, found), _evenly(step, found), _mean(np.abs(ink[other] - ink[:, None]), found, 1.0),
        _log(across / extent_px), np.log1p(crowd) / 3.0,
    ]  # fmt: skip
    return np.column_stack(rows)


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
