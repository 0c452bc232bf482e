"""What a line is besides its words: a legal mark beside another line, or a strap line under it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from analyse.lettering.baselines import Baseline, Stand, stand
from analyse.values import Drawing, Floats
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import is_dot, percentiles_px

if TYPE_CHECKING:
    from analyse.lettering.lines import Line

ROUND = 0.88  # 4 pi area / length^2 of a ring's outside; of a circle 1
LIGHT = 0.2  # a ring's width is at most this share of its diameter
SMALL = 0.62  # a legal mark is at most this share as tall as the line it stands beside
BESIDE = 1.2  # and no farther from it than so many of its letter heights
AT_END = 0.1  # and over no more of that line than this share at its end
SHORT = 3  # letters of one: TM, SM, (R)
STRAP = 0.6  # a strap line's letters are at most this share as tall as those of the line it stands by
WORDED = 5  # letters from which it may be one; a year is none
INSIDE = (0.25, 0.9)  # what stands in the ring fills so much of its hole, as lengths
LEVEL = 0.1  # two letters of a mark are as tall and as level as each other to this share


def with_roles(lines: Sequence[Line], drawing: Drawing, measures: Measures) -> tuple[Line, ...]:
    """The lines with what they are besides, and the legal marks beside them, from the top down."""
    known = {region for line in lines for region in line.alone}
    marks = _ringed(lines, known, drawing, measures)
    known |= {region for mark in marks for region in mark.regions}
    marks += _pairs(lines, known, drawing, measures)
    known |= {region for mark in marks for region in mark.regions}
    return (*(replace(line, role=_role(line, lines), regions=_own(line, known)) for line in lines), *marks)


def _own(line: Line, known: set[int]) -> tuple[int, ...]:
    """A line's letters, and of its dots and marks those that are no letters of another."""
    return line.alone + tuple(i for i in line.marks if i not in known)


def _role(line: Line, lines: Sequence[Line]) -> str:
    for other in lines:
        if other is line or other.letters <= SHORT:
            continue
        near = line.zone.distance(other.zone) <= BESIDE * other.cap_height
        if near and line.letters <= SHORT and line.cap_height <= SMALL * other.cap_height and _ends(line, other):
            return "legal mark"
    taller = max((other.cap_height for other in lines if other is not line), default=0.0)
    return "strap line" if line.letters >= WORDED and line.cap_height <= STRAP * taller else ""


def _ends(line: Line, other: Line) -> bool:
    """Whether a mark stands at an end of the other line, not under its middle."""
    middle = np.array([line.at])
    way = float(stand(other.baseline, middle[None], middle).start[0])
    start, end = other.span
    return way > end - AT_END * (end - start) or way < start


def _ringed(lines: Sequence[Line], known: set[int], drawing: Drawing, measures: Measures) -> list[Line]:
    found = []
    for region in drawing.regions:
        if region.id in known or len(region.outline.interiors) != 1:
            continue
        beside = _line_beside(region.outline, lines)
        if beside is None or not _is_ring(measures.regions[region.id]):
            continue
        hole = shapely.Polygon(region.outline.interiors[0])
        own = [r for r in drawing.regions if r.colour == region.colour and r.id != region.id]
        inside = [r for r in own if hole.covers(r.outline)]
        if len(inside) == 1 and inside[0].id not in known and _fills(inside[0].outline, hole):
            found.append(_mark(beside, [inside[0].id, region.id], [inside[0].outline], measures))
    return found


def _fills(letter: shapely.Polygon, hole: shapely.Polygon) -> bool:
    across = np.sqrt(letter.minimum_rotated_rectangle.area / hole.area)
    return bool(INSIDE[0] <= across <= INSIDE[1])


def _line_beside(outline: shapely.Polygon, lines: Sequence[Line]) -> Line | None:
    across = outline.bounds[3] - outline.bounds[1]
    near = [
        (line.zone.distance(outline), n)
        for n, line in enumerate(lines)
        if across <= SMALL * line.cap_height and line.zone.distance(outline) <= BESIDE * line.cap_height
    ]
    return lines[min(near)[1]] if near else None


def _is_ring(shape: Shape) -> bool:
    outside = shapely.Polygon(shape.outline.exterior)
    across = float(np.sqrt(4.0 * outside.area / np.pi))
    round_one = 4.0 * np.pi * outside.area / outside.length**2 >= ROUND
    return bool(round_one and percentiles_px(shape.whole)[1] <= LIGHT * across)


def _pairs(lines: Sequence[Line], known: set[int], drawing: Drawing, measures: Measures) -> list[Line]:
    """Two small letters at a line's end that are no line of their own: TM."""
    found = []
    for line in lines:
        if line.letters <= SHORT or not line.regions:
            continue
        colour = drawing.regions[line.regions[0]].colour
        near = [
            region.id
            for region in drawing.regions
            if region.colour == colour and region.id not in known and not is_dot(measures.regions[region.id].whole)
            and _line_beside(region.outline, [line]) is line
        ]  # fmt: skip
        if len(near) == 2 and _side_by_side(line, [drawing.regions[i].outline for i in near]):
            found.append(_mark(line, near, [drawing.regions[i].outline for i in near], measures))
    return found


def _side_by_side(line: Line, outlines: list[shapely.Polygon]) -> bool:
    """Whether two shapes at the line's end are as tall as each other and stand side by side."""
    placed = [_placed(line, outline) for outline in outlines]
    tall = [float(each.top[0] - each.bottom[0]) for each in placed]
    level = abs(float(placed[0].bottom[0] - placed[1].bottom[0])) <= LEVEL * max(tall)
    beyond = all(float(each.end[0]) > line.span[1] for each in placed)
    gap = max(float(each.start[0]) for each in placed) - min(float(each.end[0]) for each in placed)
    return beyond and level and min(tall) >= (1.0 - LEVEL) * max(tall) and 0.0 <= gap <= max(tall)


def _placed(line: Line, outline: shapely.Polygon) -> Stand:
    centre: Floats = np.asarray(shapely.get_coordinates(outline.centroid))
    return stand(line.baseline, shapely.get_coordinates(outline.convex_hull)[None], centre)


def _mark(line: Line, regions: Sequence[int], letters: Sequence[shapely.Polygon], measures: Measures) -> Line:
    """A legal mark: regions, its letters first, as a line of its own that stands as the other does."""
    whole = shapely.union_all(list(letters))
    centre: Floats = np.asarray(shapely.get_coordinates(whole.centroid))
    up, along = line.baseline.frames(centre)
    level = shapely.get_coordinates(whole.convex_hull) @ up[0]
    foot = centre[0] + up[0] * (float(level.min()) - float(centre[0] @ up[0]))
    at, angle = foot + up[0] * float(np.ptp(level)) / 2.0, float(np.arctan2(along[0, 1], along[0, 0]))
    thin, stem, _ = percentiles_px(measures.regions[regions[0]].whole)
    return replace(
        line, id=f"{line.id}-mark", regions=tuple(regions), openings=(), letters=len(letters),
        at=(float(at[0]), float(at[1])), angle_deg=float(np.degrees(angle)), cap_height=float(np.ptp(level)),
        x_height=None, counters=(), gaps=(), span=(0.0, 0.0), stem=stem, thin=thin, zone=whole.convex_hull, inside=(),
        opened_px2=0.0, attached=(), border=None, role="legal mark",
        baseline=Baseline((float(foot[0]), float(foot[1])), angle),
    )  # fmt: skip
