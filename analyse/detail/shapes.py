"""Strokes and dots: the lengths that thread needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from analyse.detail.candidates import Candidate
from analyse.detail.look import contrast, free_edge_px, place_factor
from analyse.detail.slivers import LEFT_OUT, sliver_beside
from analyse.detail.strokes import SEEN_PX, main_strokes, sides_of
from analyse.kinds.families import Family, host_of
from analyse.kinds.setting import Setting
from analyse.values import Drawing, Floats, Region
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import is_dot, percentiles_px

SPECK_PX2 = 6.0  # a region smaller than this is a speck of the reading, no detail of the artwork
FINEST_PX = 0.75  # and so is what is narrower than this: no picture shows it, an uncertain edge makes it
BESIDE = 0.8  # a stroke that has less of its outline along one colour, or the cloth, lies between two
ROUND = 1.4  # a dot covers its largest disc at most so many times


def solid_candidates(
    drawing: Drawing, measures: Measures, families: Sequence[Family], setting: Setting, cloth: Floats
) -> list[Candidate]:
    """Every stroke and dot of the drawing, one for each region. cloth: its Lab."""
    return [
        _solid(drawing, measures, i, families[i], setting, cloth)
        for i, shape in enumerate(measures.regions)
        if _is_shape(shape) and not _is_seam(drawing, measures, i)
    ]


def finer_candidates(
    drawing: Drawing, measures: Measures, families: Sequence[Family], setting: Setting, cloth: Floats
) -> list[Candidate]:
    """The strokes of each region that are so much thinner than most of it that they stand or fall by themselves.

    What lies between two colours is no stroke but the rim of its shape, see `analyse.detail.registration`.
    """
    found = []
    for i, (_, _, finer_ones) in enumerate(main_strokes(drawing, measures)):
        region, shape = drawing.regions[i], measures.regions[i]
        if not finer_ones or not _is_shape(shape) or is_dot(shape.whole):
            continue
        look = float(shape.outline.area) * contrast(drawing, region, cloth)
        found += [
            _stroke(drawing, region, families[i], setting, (*finer.at_px, finer.width), look * finer.share)
            for finer in finer_ones
            if len(set(sides_of(drawing, finer))) == 1
        ]
    return found


def _is_shape(shape: Shape) -> bool:
    return bool(shape.outline.area >= SPECK_PX2 and percentiles_px(shape.whole)[1] >= FINEST_PX)


def _is_seam(drawing: Drawing, measures: Measures, index: int) -> bool:
    """Whether it is so narrow, and lies between two colours, that it is nothing but the edge between them."""
    region = drawing.regions[index]
    if main_strokes(drawing, measures)[index][0] >= SEEN_PX:
        return False
    along = {-1: free_edge_px(region)}
    for other, length in region.touches:
        colour = drawing.regions[other].colour
        along[colour] = along.get(colour, 0.0) + length
    return max(along.values()) < BESIDE * sum(along.values())


def _solid(
    drawing: Drawing, measures: Measures, index: int, family: Family, setting: Setting, cloth: Floats
) -> Candidate:
    region, shape = drawing.regions[index], measures.regions[index]
    look = float(shape.outline.area) * contrast(drawing, region, cloth)
    if not is_dot(shape.whole):
        past = sliver_beside(drawing, measures, index)
        width, share, _ = main_strokes(drawing, measures)[index]
        stroke = _stroke(drawing, region, family, setting, (*middle_of(shape), width), look * share)
        return stroke if past is None else replace(stroke, text=past[0], many=past[1], group=past, cure=LEFT_OUT)
    colour, host = drawing.palette[region.colour].name, host_of(region)
    x, y, across = (float(value) for value in shape.pole)
    round_it = float(shape.outline.area) <= ROUND * 0.7854 * across**2
    one, many = ("a dot", "dots") if round_it else ("a small shape", "small shapes")
    look *= place_factor(drawing, (x, y))
    return Candidate(
        "dot", (x, y), across, "dot.smallest", setting.value("dot.smallest"), look, f"{one} of {colour}", region.id,
        group=("dot", many, region.colour, _colour_of(drawing, host)), many=f"{many} of {colour}",
    )  # fmt: skip


def _stroke(
    drawing: Drawing,
    region: Region,
    family: Family,
    setting: Setting,
    stroke: tuple[float, float, float],
    look: float,
) -> Candidate:
    """stroke: x, y and width in px. look: its area by its contrast."""
    x, y, width = stroke
    body = _colour_of(drawing, host_of(region)) if family.body >= 0 else -1
    what = drawing.palette[region.colour].name + (f" over {drawing.palette[body].name}" if body >= 0 else "")
    look *= place_factor(drawing, (x, y))
    return Candidate(
        "stroke", (x, y), width, "stroke.thinnest", setting.value("stroke.thinnest"), look,
        f"a stroke of {what}", region.id, group=("stroke", region.colour, body), many=f"strokes of {what}",
    )  # fmt: skip


def _colour_of(drawing: Drawing, region: int) -> int:
    return drawing.regions[region].colour if region >= 0 else -1


def middle_of(shape: Shape) -> tuple[float, float]:
    """A point on the shape's axis, half way along its longest branch."""
    if not shape.branches:
        return float(shape.pole[0]), float(shape.pole[1])
    axis = max(shape.branches, key=lambda b: b.length).axis
    x, y, _ = axis[len(axis) // 2].tolist()
    return x, y
