"""Small pieces sewn by hand, in the plainest way, for tests of what follows from needle points."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from shapely import Polygon, box

from analyse.colours.lab import srgb_to_lab
from analyse.trade import default_trade
from analyse.values import Artwork, Colour, Detail, Drawing, Feature, Floats, Part, Reason, SizedDrawing, Width
from plans.values import Kind, Lay, Move, Role, Sewing, Step, Stitches

Sewn = tuple[Floats, Kind, int, Lay]
"""Points, kind, palette index, lay: one step."""


def rows(left: float, top: float, right: float, bottom: float, *, pitch: float = 0.2, stitch: float = 4.0) -> Floats:
    """Level rows there and back, `pitch` apart, their needle points staggered by a quarter from row to row."""
    points = []
    for number, y in enumerate(np.arange(top + pitch / 2, bottom, pitch)):
        inner = np.arange(left + stitch * (0.25 + number % 4 / 4), right - 0.4, stitch)
        x = np.unique(np.concatenate([[left], inner[inner > left + 0.4], [right]]))
        points += [(value, y) for value in (x if number % 2 == 0 else x[::-1])]
    return np.array(points)


def zigzag(left: float, top: float, length: float, width: float, *, spacing: float = 0.4) -> Floats:
    """A level column: needle points on either edge in turn, `spacing` apart on one edge."""
    count = round(2 * length / spacing) + 1
    x = left + np.arange(count) * spacing / 2
    return np.column_stack([x, np.where(np.arange(count) % 2 == 0, top, top + width)])


def line(start: tuple[float, float], end: tuple[float, float], stitch: float = 2.5) -> Floats:
    """A straight running line."""
    count = max(1, math.ceil(math.dist(start, end) / stitch))
    return np.linspace(start, end, count + 1)


def turned(xy: Floats, angle_deg: float, about: tuple[float, float] = (0.0, 0.0)) -> Floats:
    """Points turned counter-clockwise as seen."""
    turn = math.radians(angle_deg)
    matrix = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    return (xy - about) @ matrix + about


def sew(pieces: Sequence[Sewn]) -> tuple[Stitches, tuple[Step, ...]]:
    """The pieces one after the other, a trim between each two."""
    xy, move, lay, owner, steps = [], [], [], [], []
    for number, (points, kind, thread, what) in enumerate(pieces):
        xy.append(points)
        move.append(np.r_[Move.TRIM if number else Move.JUMP, np.full(len(points) - 1, Move.SEW)])
        lay.append(np.full(len(points), what))
        owner.append(np.full(len(points), number))
        steps.append(step_of(points, kind, thread, number))
    stitches = Stitches(
        np.concatenate(xy),
        np.concatenate(move).astype(np.uint8),
        np.concatenate(lay).astype(np.uint8),
        np.concatenate(owner).astype(np.int32),
    )
    return stitches, tuple(steps)


def step_of(points: Floats, kind: Kind, thread: int, number: int, role: Role = "body") -> Step:
    """A step about some points."""
    low, high = points.min(axis=0), points.max(axis=0)
    sewing = Sewing(number, thread, kind, role, number, box(*low, *high), spacing_mm=0.4, stitch_mm=4.0)
    return Step(sewing, tuple(points[0]), tuple(points[-1]), number > 0, len(points) - 1)


def colour(rgb: tuple[int, int, int]) -> Colour:
    """A thread of that colour."""
    lab = srgb_to_lab(np.array(rgb))
    return Colour(rgb, (float(lab[0]), float(lab[1]), float(lab[2])), "a thread")


def sized_of(
    threads: Sequence[tuple[int, int, int]],
    size_mm: tuple[float, float],
    *,
    shapes: Sequence[tuple[Polygon, int, str]] = (),
    features: Sequence[Feature] = (),
    cloth: str = "twill",
    cloth_rgb: tuple[int, int, int] = (255, 255, 255),
    thread: str = "40",
) -> SizedDrawing:
    """A sized drawing with those threads, parts and features, and nothing read from a picture."""
    art = Artwork(np.zeros((1, 1, 4), np.uint8), "piece", "", "png", (1, 1), np.eye(3))
    drawing = Drawing(art, np.full((1, 1), -1, np.int16), tuple(map(colour, threads)), (), np.eye(3), 0.1)
    width, reason = Width(1.0, 1.0, 1.0), Reason("", 1.0, 1.0, "")
    parts = tuple(
        Part(f"p{number}", kind, number, which, shape, width, reason, 1.0)  # type: ignore[arg-type]
        for number, (shape, which, kind) in enumerate(shapes)
    )
    trade = default_trade()
    return SizedDrawing(
        drawing, size_mm, 1.0, (0.0, 0.0), thread, cloth, cloth_rgb, trade, parts, Detail(tuple(features))
    )
