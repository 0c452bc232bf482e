"""An oar badge of five parts, drawn by hand: the drawing behind the plan that tests of what is written share."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from PIL import Image, ImageDraw
from shapely import LineString, Point, Polygon, box, transform
from shapely.ops import polygonize, unary_union

from analyse.trade import default_trade
from analyse.values import (
    Artwork,
    Colour,
    Detail,
    Drawing,
    Feature,
    Part,
    Reason,
    Region,
    Shading,
    SizedDrawing,
    Spine,
    Width,
)

NAVY = Colour((27, 42, 74), (17.0, 4.0, -21.0), "dark purplish blue")
GOLD = Colour((201, 151, 56), (65.0, 10.0, 55.0), "strong orange yellow")
WHITE = Colour((246, 244, 238), (96.0, 0.0, 3.0), "white")
MM_PER_PX = 0.1


def shapes() -> tuple[tuple[int, Any, str], ...]:
    """Colour, outline in mm and kind of each part."""
    disc = Point(30, 30).buffer(27.6, 32)
    ring = Point(30, 30).buffer(30, 32).difference(disc)
    oar = box(28.5, 10, 31.5, 50)
    dot = Point(42, 22).buffer(0.4, 8)
    line = LineString([(60, 30), (66, 27), (71, 33), (76.2, 30)]).buffer(0.25, cap_style="flat")
    return (
        (0, disc.difference(oar).difference(dot), "fill"),
        (1, ring, "column"),
        (2, oar, "column"),
        (2, dot, "drop"),
        (1, line.difference(ring), "running"),
    )


def picture() -> tuple[np.ndarray, np.ndarray]:
    """The artwork as RGBA and the labels that belong to it."""
    size = (762, 600)
    label = Image.new("I", size, -1)
    for colour, shape, _ in shapes():
        draw = ImageDraw.Draw(label)
        draw.polygon([(x / MM_PER_PX, y / MM_PER_PX) for x, y in shape.exterior.coords], fill=colour)
        for hole in shape.interiors:
            if colour == 1:
                draw.polygon([(x / MM_PER_PX, y / MM_PER_PX) for x, y in hole.coords], fill=0)
    labels = np.asarray(label).astype(np.int16)
    rgba = np.zeros((600, 762, 4), np.uint8)
    for index, colour in enumerate((NAVY, GOLD, WHITE)):
        rgba[labels == index] = (*colour.rgb, 255)
    return rgba, labels


def spines(kind: str, index: int) -> tuple[Spine, ...]:
    if index == 1:
        turn = np.linspace(0, 2 * math.pi, 120, endpoint=False)
        ray = np.column_stack([np.cos(turn), np.sin(turn)])
        line = np.column_stack([30 + 28.8 * ray, np.full(120, 2.4)])
        return (Spine(line, 30 + 27.6 * ray, 30 + 30 * ray, closed=True),)
    if index == 2:
        along = np.linspace(10, 50, 20)
        line = np.column_stack([np.full(20, 30.0), along, np.full(20, 3.0)])
        return (Spine(line, line[:, :2] - [1.5, 0], line[:, :2] + [1.5, 0]),)
    if kind == "running":
        line = np.array([[60, 30, 0.5], [66, 27, 0.5], [71, 33, 0.5], [76.2, 30, 0.5]])
        return (Spine(line, line[:, :2], line[:, :2]),)
    return ()


def parts() -> tuple[Part, ...]:
    widths = (
        Width(20.0, 24.0, 27.0),
        Width(2.4, 2.4, 2.4),
        Width(3.0, 3.0, 3.0),
        Width(0.8, 0.8, 0.8),
        Width(0.5, 0.5, 0.5),
    )
    rows = ("kind.column_widest", "kind.widened_under", "kind.widened_under", "dot.smallest", "kind.three_passes_under")
    texts = (
        "24 mm wide: too wide for a column, a fill",
        "2.4 mm drawn, 2.7 mm sewn: a column",
        "3.0 mm drawn, 3.4 mm sewn: a column",
        "a dot of 0.8 mm, the smallest is 1.0 mm: left out",
        "0.5 mm drawn: a running line in three passes",
    )
    return tuple(
        Part(
            id=f"p{index}",
            kind=kind,
            region=index,
            colour=colour,
            outline_mm=shape,
            width_mm=widths[index],
            reason=Reason(rows[index], widths[index].median, 1.0, texts[index]),
            certainty=(1.0, 0.9, 0.95, 0.6, 0.8)[index],
            spines=spines(kind, index),
            role_hint="outline" if index == 1 else "",
        )
        for index, (colour, shape, kind) in enumerate(shapes())
    )


def features() -> tuple[Feature, ...]:
    return (
        Feature(
            "registration",
            (30.0, 0.5),
            0.4,
            0.6,
            "mm",
            120.0,
            "lost",
            "registration.keyline",
            0.42,
            1,
            "outline round a fill",
        ),
        Feature("dot", (42.0, 22.0), 0.8, 1.0, "mm", 95.25, "lost", "dot.smallest", 0.24, 3, "a dot"),
        Feature(
            "gap",
            (30.0, 52.0),
            0.95,
            1.0,
            "mm",
            80.2,
            "at-risk",
            "cloth.pique-knit.gap_mm",
            0.16,
            2,
            "gap under the oar",
        ),
        Feature(
            "colour-step", (10.0, 30.0), 48.0, 10.0, "dE00", None, "holds", "colours.holds", 0.1, 0, "navy against gold"
        ),
        Feature("stroke", (68.0, 30.0), 0.5, 0.2, "mm", 30.5, "holds", "stroke.thinnest", 0.08, 4, "the wave"),
    )


def drawing(name: str = "oar-badge.png") -> Drawing:
    rgba, labels = picture()
    outlines = [
        Region(i, colour, outline) for i, (outline, (colour, _, _)) in enumerate(zip(_regions(), shapes(), strict=True))
    ]
    artwork = Artwork(rgba, name, "ab" * 32, "png", (762, 600), np.eye(3), notes=("opened as it was sent",))
    return Drawing(
        artwork, labels, (NAVY, GOLD, WHITE), tuple(outlines), np.eye(3), 0.2, shadings=(Shading((0,), 3.0, "even"),)
    )


def sized(name: str = "oar-badge.png") -> SizedDrawing:
    return SizedDrawing(
        drawing(name),
        (76.2, 60.0),
        MM_PER_PX,
        (0.0, 0.0),
        "40",
        "pique-knit",
        (240, 240, 236),
        default_trade(),
        parts(),
        Detail(features()),
    )


def _regions() -> list[Polygon]:
    """The shapes in px as a coverage: where two meet, both have the same points."""
    scaled = [transform(shape, lambda xy: np.round(xy / MM_PER_PX, 2)) for _, shape, _ in shapes()]
    faces = list(polygonize(unary_union([shape.boundary for shape in scaled])))
    return [unary_union([face for face in faces if shape.contains(face.representative_point())]) for shape in scaled]
