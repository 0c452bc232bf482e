"""Random shapes for the laws of stitching: blobs, stars, combs, frames, bent bands, crescents, pierced plates."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate


def _blob(rng: np.random.Generator, radius: float, rough: float) -> Polygon:
    turn = np.linspace(0, 2 * math.pi, 121)[:-1]
    reach = np.ones(len(turn))
    for order in range(2, 7):
        reach += rough / order * rng.normal() * np.cos(order * turn + rng.uniform(0, 2 * math.pi))
    reach = radius * np.clip(reach, 0.25, 2.5)
    return Polygon(np.column_stack([reach * np.cos(turn), reach * np.sin(turn)]))


def _star(rng: np.random.Generator) -> Polygon:
    points = int(rng.integers(4, 9))
    turn = np.linspace(0, 2 * math.pi, 2 * points + 1)[:-1] + rng.uniform(0, 1)
    reach = np.where(np.arange(2 * points) % 2, rng.uniform(3, 6), rng.uniform(8, 14))
    return Polygon(np.column_stack([reach * np.cos(turn), reach * np.sin(turn)]))


def _comb(rng: np.random.Generator) -> Polygon:
    teeth = int(rng.integers(2, 6))
    shape = box(0, 0, 5 * teeth, rng.uniform(2.5, 5))
    for tooth in range(teeth):
        shape |= box(5 * tooth, 1, 5 * tooth + rng.uniform(2.2, 4), rng.uniform(7, 15))
    return rotate(shape, rng.uniform(0, 180))


def _band(rng: np.random.Generator) -> Polygon:
    spine = np.cumsum(rng.normal(0, 5, (int(rng.integers(4, 8)), 2)), axis=0)
    return LineString(spine).buffer(rng.uniform(1.2, 3.0))


def _crescent(rng: np.random.Generator) -> Polygon:
    radius = rng.uniform(6, 12)
    return Point(0, 0).buffer(radius) - Point(radius * rng.uniform(0.3, 0.7), rng.uniform(-2, 2)).buffer(radius * 0.9)


def _pierced(rng: np.random.Generator) -> Polygon:
    shape = _blob(rng, rng.uniform(8, 13), 0.35)
    for _ in range(int(rng.integers(1, 5))):
        place = rng.uniform(-6, 6, 2)
        shape = (
            shape - _blob(rng, rng.uniform(0.8, 2.5), 0.3).buffer(0)
            if rng.random() < 0.5
            else (shape - box(*place, *(place + rng.uniform(1, 5, 2))))
        )
    return shape


def _slabs(rng: np.random.Generator) -> Polygon:
    shape = box(-4, -4, 4, 4)
    for _ in range(int(rng.integers(2, 6))):
        low = rng.uniform(-9, 4, 2)
        shape |= box(*low, *(low + rng.uniform(2.5, 10, 2)))
    return rotate(shape, rng.uniform(0, 90))


KINDS = (
    lambda rng: _blob(rng, rng.uniform(3, 12), 0.3),
    lambda rng: _blob(rng, rng.uniform(6, 12), 0.8),
    _star,
    _comb,
    _band,
    _crescent,
    _pierced,
    _slabs,
)


def random_shape(seed: int) -> Polygon:
    """One connected polygon of at least 10 mm2; the same seed gives the same shape."""
    rng = np.random.default_rng(seed)
    while True:
        shape = shapely.make_valid(KINDS[int(rng.integers(len(KINDS)))](rng))
        largest = max((part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"), key=lambda p: p.area)
        if largest.area >= 10:
            return largest
