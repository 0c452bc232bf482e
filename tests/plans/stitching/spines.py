"""Spines made by hand and by chance, for the laws of columns and running lines."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely import MultiPolygon, Polygon

from analyse.values import Spine


def spine(left: ArrayLike, right: ArrayLike, *, closed: bool = False) -> Spine:
    """A spine from its two sides."""
    a, b = np.asarray(left, float), np.asarray(right, float)
    return Spine(np.column_stack([(a + b) / 2, np.hypot(*(a - b).T)]), a, b, closed)


def band(line: ArrayLike, width: ArrayLike, *, closed: bool = False) -> Spine:
    """A spine along a line with a width at each of its points."""
    points = np.asarray(line, float)
    run = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0) if closed else np.gradient(points, axis=0)
    run = run / np.hypot(*run.T)[:, None]
    half = np.broadcast_to(np.asarray(width, float), (len(points),))[:, None] / 2
    across = half * np.column_stack([run[:, 1], -run[:, 0]])
    return spine(points + across, points - across, closed=closed)


def arc(radius: float, start_deg: float, end_deg: float, n: int = 181) -> NDArray[np.float64]:
    """Points of an arc about the origin."""
    turn = np.radians(np.linspace(start_deg, end_deg, n))
    return radius * np.column_stack([np.cos(turn), np.sin(turn)])


def line(*points: tuple[float, float]) -> NDArray[np.float64]:
    """A polyline, sampled finely."""
    return np.asarray(shapely.get_coordinates(shapely.segmentize(shapely.LineString(points), 0.2)))


def outline(one: Spine) -> Polygon | MultiPolygon:
    """What a spine covers, stitch line by stitch line."""
    left, right = one.left, one.right
    if one.closed:
        left, right = np.vstack([left, left[:1]]), np.vstack([right, right[:1]])
    quads = shapely.polygons(np.stack([left[:-1], left[1:], right[1:], right[:-1]], axis=1))
    covered = shapely.union_all(shapely.make_valid(quads[shapely.area(quads) > 0]))
    return covered.buffer(0.002, join_style="mitre")


def random_spine(seed: int) -> Spine:
    """A wavering run 8 to 40 mm long and 1 to 6 mm wide that never bends tighter than its own half width."""
    rng = np.random.default_rng(seed)
    length, width = rng.uniform(8, 40), rng.uniform(1.0, 6.0)
    way = np.linspace(0, length, int(length / 0.15))
    bend = np.zeros(len(way))
    for _ in range(3):
        bend += rng.normal(0, 0.5) * np.sin(way * rng.uniform(0.05, 0.6) + rng.uniform(0, 6)) / 3
    bend = np.clip(bend, -1.5 / width, 1.5 / width)
    heading = rng.uniform(0, 2 * math.pi) + np.concatenate([[0], np.cumsum(bend[:-1] * np.diff(way))])
    step = np.column_stack([np.cos(heading), np.sin(heading)])[:-1] * np.diff(way)[:, None]
    points = np.concatenate([[[0.0, 0.0]], np.cumsum(step, axis=0)])
    shape = 1 - rng.uniform(0, 0.6) * np.cos(way / length * rng.uniform(0, 6)) ** 2
    return band(points, np.maximum(width * shape, 0.8))
