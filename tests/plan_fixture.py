"""A plan made by hand, for tests of what is written: an oar badge of five parts, laid in the plainest way."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
from PIL import Image, ImageDraw
from shapely import LineString, Point, Polygon, box

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
from plans.job import Job
from plans.values import (
    Density,
    Edge,
    Estimate,
    HardPatch,
    LaidPlan,
    Lay,
    Move,
    Plan,
    Sewing,
    Step,
    Stitches,
    Underlay,
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
    outlines = [Region(i, colour, _scaled(shape)) for i, (colour, shape, _) in enumerate(shapes())]
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


def sewings() -> tuple[Sewing, ...]:
    navy, ring, oar, _, wave = parts()
    edge, rows = Underlay("edge-run", 0.5), Underlay("rows", 0.0, 2.5, 90.0)
    return (
        Sewing(
            0,
            0,
            "fill",
            "base",
            0,
            navy.outline_mm,
            angle_deg=20.0,
            spacing_mm=0.6,
            stitch_mm=4.0,
            pull_mm=0.3,
            push_mm=0.3,
            under_mm=1.2,
            underlay=(edge, rows),
            why="the ground of the badge, loose under the oar",
        ),
        Sewing(
            2,
            2,
            "column",
            "detail",
            1,
            oar.outline_mm,
            oar.spines,
            None,
            0.425,
            3.0,
            pull_mm=0.2,
            push_mm=0.3,
            underlay=(Underlay("centre-run"),),
            over_base=True,
            why="over the base, across its own run",
        ),
        Sewing(
            1,
            1,
            "column",
            "border",
            1,
            ring.outline_mm,
            ring.spines,
            None,
            0.42,
            2.4,
            pull_mm=0.2,
            underlay=(Underlay("edge-run", 0.5),),
            why="closes the edge of the ground",
        ),
        Sewing(
            4, 1, "running", "detail", 2, wave.outline_mm, wave.spines, None, 0.0, 2.5, passes=3, why="three passes"
        ),
    )


def points(sewing: Sewing) -> list[tuple[float, float, Lay]]:
    """Needle points of one sewing, plainly: rows clipped by the shape, or a zigzag between a column's sides."""
    if sewing.kind == "fill":
        return [
            (x, y, Lay.UNDERLAY if n < 12 else Lay.TOP)
            for n, (x, y) in enumerate(_rows(sewing.shape, sewing.spacing_mm / 2))
        ]
    spine = sewing.spines[0]
    if sewing.kind == "running":
        return [(float(x), float(y), Lay.TOP) for x, y, _ in np.vstack([spine.line, spine.line[::-1], spine.line])]
    count = int(spine.length / sewing.spacing_mm)
    at = np.linspace(0, len(spine.left) - 1, count)
    index = np.arange(len(spine.left))
    sides = [
        np.column_stack([np.interp(at, index, side[:, 0]), np.interp(at, index, side[:, 1])])
        for side in (spine.left, spine.right)
    ]
    zigzag = np.stack(sides, axis=1).reshape(-1, 2)
    return [(float(x), float(y), Lay.TIE if n < 3 else Lay.TOP) for n, (x, y) in enumerate(zigzag)]


def laid(name: str, share: float = 1.0) -> LaidPlan:
    xy: list[tuple[float, float]] = []
    move: list[int] = []
    lay: list[int] = []
    step: list[int] = []
    steps: list[Step] = []
    for number, sewing in enumerate(sewings()):
        dots = points(sewing)
        change = bool(steps) and steps[-1].sewing.thread != sewing.thread
        first = Move.TRIM if change else Move.JUMP
        xy += [(x, y) for x, y, _ in dots]
        move += [first, *[Move.SEW] * (len(dots) - 1)]
        lay += [int(dot[2]) for dot in dots]
        step += [number] * len(dots)
        steps.append(Step(sewing, dots[0][:2], dots[-1][:2], change, len(dots) - 1))
    stitches = Stitches(np.array(xy), np.array(move, np.uint8), np.array(lay, np.uint8), np.array(step, np.int32))
    return LaidPlan(
        name,
        tuple(steps),
        stitches,
        edges(),
        _estimate(stitches, share),
        _density(),
        0.3,
        0.71 * share,
        "a loose base saves thread where the oar lies on it",
    )


def edges() -> tuple[Edge, ...]:
    return (Edge((0, 1), 173.4, "a", 1.2, 0.5, "holds"), Edge((0, 2), 86.0, "a", 0.0, 0.5, "at-risk"))


def plan(name: str = "oar-badge.png", **changes: Any) -> Plan:
    """The plan, with fields replaced as asked."""
    approaches = (laid("base-and-detail"), laid("side-by-side", 0.9), laid("stacked", 0.8), laid("line-work", 0.4))
    made = Plan(
        sized(name),
        Job(place="left-chest"),
        approaches,
        "sews with changes",
        ("Sew a sample on the same cloth, backing and thread before any production run; the plan is a first draft.",),
    )
    return replace(made, **changes) if changes else made


def _rows(shape: Polygon, pitch: float) -> list[tuple[float, float]]:
    low, high = shape.bounds[1], shape.bounds[3]
    found: list[tuple[float, float]] = []
    for number, y in enumerate(np.arange(low + pitch, high, pitch)):
        cut = shape.intersection(LineString([(-5, y), (90, y)]))
        row = [p for piece in getattr(cut, "geoms", [cut]) for p in _along(piece)]
        found += row if number % 2 else row[::-1]
    return found


def _along(piece: Any) -> list[tuple[float, float]]:
    if piece.geom_type != "LineString" or piece.is_empty:
        return []
    count = max(1, round(piece.length / 4))
    return [piece.interpolate(t, normalized=True).coords[0] for t in np.linspace(0, 1, count + 1)]


def _estimate(stitches: Stitches, share: float) -> Estimate:
    sewn = np.isin(stitches.move, (Move.SEW, Move.TRAVEL))
    by_lay = {lay.name.lower(): int(np.sum(sewn & (stitches.lay == lay))) for lay in Lay}
    trims = int(np.sum(stitches.move == Move.TRIM))
    count = int(sewn.sum() / share) if share < 1 else int(sewn.sum())
    return Estimate(
        stitches=count,
        by_lay=by_lay,
        trims=trims,
        jumps=2,
        colour_changes=2,
        thread_m=11.4 / share,
        thread_each_m=(7.0, 3.1, 1.3),
        bobbin_m=6.6 / share,
        minutes=6.4 / share,
        span=(int(count * 0.9), int(count * 1.2)),
    )


def _density() -> Density:
    layers = np.full((30, 38), 0.7)
    layers[5:25, 13:16] = 1.9
    patch = HardPatch((30.0, 30.0), 2.6, "a column crosses the ring over a full fill", "cut the base out under the oar")
    return Density(layers, layers * 2.0, (0.0, 0.0), 2.0, 2.6, 3.8, (patch,))


def _scaled(shape: Polygon) -> Polygon:
    from shapely import transform

    return transform(shape, lambda xy: xy / MM_PER_PX)
