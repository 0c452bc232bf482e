"""The Delaunay triangulation of points: quickly in single precision where that tells them apart, else exactly.

The quick one (OpenCV's, Guibas and Stolfi 1985) rounds points to 24 bits: a ten-thousandth of a pixel in a picture of
2,000. Its circles are empty to within that, which is far finer than what outlines are sampled with.
"""

from __future__ import annotations

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from analyse.values import Floats
from analyse.widths.samples import Ints

Complex = NDArray[np.complex128]

FEW = 500  # so few points are triangulated exactly in the same time
TURNS = (0.0, 0.4, 1.1, 2.7)  # radians, tried in turn
CELLS = 65535  # to a side, in whose order points are put in: each is then found beside the one before
SPREAD = np.uint64(0x9E3779B97F4A7C15)  # 2^64 over the golden ratio (Knuth 1973): spreads keys over a table
ROOM_BITS = 3  # a table has so many bits more than there are keys
SPACED = np.array([sum((n >> bit & 1) << 2 * bit for bit in range(8)) for n in range(256)])  # a byte's bits, two apart


def delaunay(points: Floats) -> Ints:
    """Triangles as (T, 3) indices into points, counter-clockwise with y taken as up."""
    quick = _quick(points) if len(points) >= FEW else None
    return _exact(points) if quick is None else quick


def _quick(points: Floats) -> Ints | None:
    """None where single precision takes two points for one, or turns triangles over that cannot be flipped."""
    near = points.astype(np.float32)
    corners = _meshed(near)
    if corners is None:
        return None
    index = _looked_up(_keys(near), _keys(corners)).reshape(-1, 3)
    used = np.zeros(len(points), dtype=bool)
    used[index] = True
    if not used.all():
        return None
    places: Complex = points @ np.array([1.0, 1.0j])
    over = np.flatnonzero(~_upright(places, index))
    return _flipped(places, index, over) if len(over) else index


def _upright(places: Complex, triangles: Ints) -> NDArray[np.bool_]:
    """Which triangles are counter-clockwise with y taken as up, and have an area."""
    a, b, c = places[triangles.T]
    one, two = b - a, c - a
    return np.asarray(one.real * two.imag > one.imag * two.real)


def _flipped(places: Complex, triangles: Ints, over: Ints) -> Ints | None:
    """Three points on a straight line make no triangle: that beyond its longest side is parted at the point between."""
    lost = set(over.tolist())
    fresh: list[tuple[int, int, int]] = []
    for a, b, c in triangles[over].tolist():
        start, end, between = max(((a, b, c), (b, c, a), (c, a, b)), key=lambda s: abs(places[s[0]] - places[s[1]]))
        beyond = np.flatnonzero(((triangles == end) & (np.roll(triangles, -1, axis=1) == start)).any(axis=1)).tolist()
        if beyond and beyond[0] in lost:
            return None
        for row in beyond:
            lost.add(row)
            (far,) = set(triangles[row].tolist()) - {start, end}
            fresh += [(start, far, between), (far, end, between)]
    parted = np.array(fresh, dtype=np.int64).reshape(-1, 3)
    if not _upright(places, parted).all():
        return None
    return np.vstack([np.delete(triangles, sorted(lost), axis=0), parted])


def _meshed(points: NDArray[np.float32]) -> NDArray[np.float32] | None:
    """Corners of the triangles, three rows each; None where OpenCV loses its way."""
    low, high = np.floor(points.min(axis=0)) - 2.0, np.ceil(points.max(axis=0)) + 2.0
    mesh = cv2.Subdiv2D([int(low[0]), int(low[1]), int(high[0] - low[0]), int(high[1] - low[1])])
    try:
        mesh.insert(list(zip(*points[_near_each_other(points)].T.tolist(), strict=True)))  # read quicker than an array
    except cv2.error:
        return None
    return np.asarray(mesh.getTriangleList(), dtype=np.float32).reshape(-1, 2)


def _near_each_other(points: NDArray[np.float32]) -> Ints:
    """Points in an order in which each lies near the one before: cells in Morton's order."""
    span = float(np.ptp(points, axis=0).max())
    cell = ((points - points.min(axis=0)) * (CELLS / max(span, 1e-9))).astype(np.int64)
    spaced = SPACED[cell & 255] | (SPACED[cell >> 8] << 16)
    place = (spaced[:, 0] | (spaced[:, 1] << 1)) * len(points) + np.arange(len(points))
    place.sort()  # quicker than to ask for the order
    return np.asarray(place % len(points))


def _keys(points: NDArray[np.float32]) -> NDArray[np.uint64]:
    """Each point as one whole number, its bits."""
    return np.ascontiguousarray(points).view(np.uint64).ravel()


def _looked_up(keys: NDArray[np.uint64], wanted: NDArray[np.uint64]) -> Ints:
    """Where each wanted key stands among the keys."""
    bits = np.uint64(len(keys).bit_length() + ROOM_BITS)
    table = np.zeros(1 << int(bits), dtype=np.int64)
    table[_slots(keys, bits)] = np.arange(len(keys))
    found = table[_slots(wanted, bits)]
    missed = np.flatnonzero(keys[found] != wanted)
    if len(missed):
        order = np.argsort(keys)
        place = np.searchsorted(keys[order], wanted[missed])
        found[missed] = order[np.minimum(place, len(keys) - 1)]
    return found


def _slots(keys: NDArray[np.uint64], bits: np.uint64) -> Ints:
    return np.asarray((keys * SPREAD >> np.uint64(64) - bits).astype(np.int64))


def _mesh(points: Floats) -> BaseGeometry:
    """Delaunay triangles of points, each point's number as its height.

    Points in rows and columns can lose GEOS its way among them; the same points turned have the same triangles.
    """
    for turn in TURNS[:-1]:
        try:
            return shapely.delaunay_triangles(_turned(points, turn))
        except shapely.GEOSException:
            continue
    return shapely.delaunay_triangles(_turned(points, TURNS[-1]))


def _turned(points: Floats, angle: float) -> BaseGeometry:
    way = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    return shapely.linestrings(np.column_stack([points @ way, np.arange(len(points))]))


def _exact(points: Floats) -> Ints:
    corners = shapely.get_coordinates(_mesh(points), include_z=True).reshape(-1, 4, 3)[:, :3]
    index = corners[..., 2].astype(np.int64)
    clockwise = _cross(corners[:, 1, :2] - corners[:, 0, :2], corners[:, 2, :2] - corners[:, 0, :2]) < 0
    index[clockwise] = index[clockwise][:, [0, 2, 1]]
    return np.asarray(index)


def _cross(one: Floats, two: Floats) -> Floats:
    return np.asarray(one[..., 0] * two[..., 1] - one[..., 1] * two[..., 0])
