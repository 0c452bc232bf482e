"""A plan made by hand, for tests of what is written: the oar badge, laid in the plainest way."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from shapely import LineString, Polygon

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
from tests.badge import parts, sized


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
