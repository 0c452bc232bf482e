"""Strokes and dots: the lengths that thread needs."""

from __future__ import annotations

from collections.abc import Sequence

from analyse.detail.candidates import Candidate
from analyse.detail.look import contrast, place_factor
from analyse.kinds.families import Family, host_of
from analyse.kinds.setting import Setting
from analyse.values import Drawing, Floats, Region
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import is_dot, percentiles_px

SPECK_PX2 = 6.0  # a region smaller than this is a speck of the reading, no detail of the artwork
FINEST_PX = 0.75  # and so is what is narrower than this: no picture shows it, an uncertain edge makes it
ROUND = 1.4  # a dot covers its largest disc at most so many times


def solid_candidates(
    drawing: Drawing, measures: Measures, families: Sequence[Family], setting: Setting, cloth: Floats
) -> list[Candidate]:
    """Every stroke and dot of the drawing; those of a texture as one. cloth: its Lab."""
    return [
        _solid(drawing, drawing.regions[i], shape, families[i], setting, cloth)
        for i, shape in enumerate(measures.regions)
        if shape.outline.area >= SPECK_PX2 and percentiles_px(shape.whole)[1] >= FINEST_PX
    ]


def _solid(
    drawing: Drawing, region: Region, shape: Shape, family: Family, setting: Setting, cloth: Floats
) -> Candidate:
    look = float(shape.outline.area) * contrast(drawing, region, cloth)
    colour = drawing.palette[region.colour].name
    if is_dot(shape.whole):
        x, y, across = (float(value) for value in shape.pole)
        round_it = float(shape.outline.area) <= ROUND * 0.7854 * across**2
        one, many = ("a dot", "dots") if round_it else ("a small shape", "small shapes")
        return Candidate(
            "dot", (x, y), across, "dot.smallest", setting.value("dot.smallest"), look * place_factor(drawing, (x, y)),
            f"{one} of {colour}", region.id, group=("dot", region.colour, host_of(region)), many=f"{many} of {colour}",
        )  # fmt: skip
    x, y = middle_of(shape)
    host = host_of(region)
    over = f" over {drawing.palette[drawing.regions[host].colour].name}" if family.body >= 0 else ""
    return Candidate(
        "stroke", (x, y), percentiles_px(shape.whole)[1], "stroke.thinnest", setting.value("stroke.thinnest"),
        look * place_factor(drawing, (x, y)), f"a stroke of {colour}{over}", region.id,
        group=("stroke", region.colour, family.name if over else ""), many=f"strokes of {colour}{over}",
    )  # fmt: skip


def middle_of(shape: Shape) -> tuple[float, float]:
    """A point on the shape's axis, half way along its longest branch."""
    if not shape.branches:
        return float(shape.pole[0]), float(shape.pole[1])
    axis = max(shape.branches, key=lambda b: b.length).axis
    x, y, _ = axis[len(axis) // 2].tolist()
    return x, y
