"""The shapes of tests/published/local_thickness_cases.csv, drawn as polygons in that table's units."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon, affinity, box

FINE = 64
PUBLISHED = Path(__file__).parent / "published"


def published_cases() -> dict[str, dict[str, str]]:
    with (PUBLISHED / "local_thickness_cases.csv").open(encoding="utf-8") as file:
        return {row["case"]: row for row in csv.DictReader(file)}


def _band(points: NDArray[np.float64], width: float) -> Polygon:
    return LineString(points).buffer(width / 2, quad_segs=FINE)


def _arc(radius: float, span_deg: float) -> NDArray[np.float64]:
    turn = np.radians(np.linspace(0, span_deg, 400))
    return np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])


def _ring(outer: float, inner: float, offset: float = 0.0) -> Polygon:
    return Point(0, 0).buffer(outer, FINE * 2).difference(Point(offset, 0).buffer(inner, FINE * 2))


def _sine(amplitude: float, period: float, periods: int) -> NDArray[np.float64]:
    x = np.linspace(0, period * periods, 800)
    return np.column_stack([x, amplitude * np.sin(2 * math.pi * x / period)])


def _spiral(pitch: float, start: float, turns: float) -> NDArray[np.float64]:
    turn = np.linspace(start, start + turns, 1500)
    return np.column_stack([pitch * turn * np.cos(2 * math.pi * turn), pitch * turn * np.sin(2 * math.pi * turn)])


STROKES: dict[str, Polygon] = {
    "bar-wide": box(0, 0, 40, 4),
    "bar": box(0, 0, 40, 2),
    "bar-thin": box(0, 0, 30, 1),
    "bar-hairline": box(0, 0, 30, 0.5),
    "bar-15deg": affinity.rotate(box(0, 0, 40, 2), 15),
    "bar-30deg": affinity.rotate(box(0, 0, 40, 2), 30),
    "bar-45deg-thin": affinity.rotate(box(0, 0, 30, 0.8), 45),
    "annulus": _ring(10, 7),
    "annulus-thin": _ring(8, 7.2),
    "annulus-fat": _ring(10, 3),
    "arc-band-270": _band(_arc(9, 270), 3),
    "arc-band-90-tight": _band(_arc(3, 90), 2),
    "capsule-3": _band(np.array([[0.0, 0], [20, 0]]), 3),
    "capsule-1.2": _band(np.array([[0.0, 0], [25, 0]]), 1.2),
    "sine-ribbon": _band(_sine(4, 20, 2), 2),
    "sine-ribbon-thin": _band(_sine(2, 12, 3), 0.9),
    "spiral-ribbon": _band(_spiral(4, 0.75, 2.5), 1.5),
    "eccentric-ring": _ring(10, 4, 3),
    "taper": Polygon([(0, -0.5), (40, -2.5), (40, 2.5), (0, 0.5)]),
}
BODIES: dict[str, Polygon] = {
    "disc": Point(0, 0).buffer(5, FINE),
    "square": box(0, 0, 10, 10),
    "rectangle-10x6": box(0, 0, 10, 6),
    "triangle-12-16-20": Polygon([(0, 0), (16, 0), (0, 12)]),
    "cross": box(-1.5, -12, 1.5, 12).union(box(-12, -1.5, 12, 1.5)),
    "corner-L": box(0, 0, 3, 20).union(box(0, 0, 20, 3)),
    "junction-T": box(0, 0, 24, 3).union(box(10.5, 3, 13.5, 16)),
    "dumbbell": Point(0, 0).buffer(4, FINE).union(Point(17.746, 0).buffer(4, FINE)).union(box(0, -1, 17.746, 1)),
}


def scaled(shape: Polygon, px_per_unit: float) -> Polygon:
    """Enlarged, its top left corner at (10, 10)."""
    large = affinity.scale(shape, px_per_unit, px_per_unit, origin=(0, 0))
    return affinity.translate(large, 10 - large.bounds[0], 10 - large.bounds[1])
