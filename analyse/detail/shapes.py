"""Strokes, dots, gaps and counters: the lengths that thread and cloth need."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from analyse.detail.candidates import Candidate
from analyse.detail.look import contrast, place_factor
from analyse.kinds.setting import Setting
from analyse.values import Drawing, Floats
from analyse.widths.centreline import Branch
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import by_length, is_dot, percentiles_px

SPECK_PX2 = 6.0  # a region smaller than this is a speck of the reading, no detail of the artwork
RUN_OUT = 0.25  # share of a gap's length that may be narrower than its measure where it runs out to nothing
STEADY = 0.1  # and where it does not
BESIDE = 3.0  # a gap that limits how far a stroke may be widened is at least so many widths long
LONG = 1.0  # a gap is at least this many of its widths long


def shape_candidates(drawing: Drawing, measures: Measures, setting: Setting, cloth: Floats) -> list[Candidate]:
    """Every stroke, dot, gap and counter of the drawing. cloth: its Lab."""
    found = [
        _solid(drawing, i, shape, setting, cloth)
        for i, shape in enumerate(measures.regions)
        if shape.outline.area >= SPECK_PX2
    ]
    for shape in measures.background:
        found += _between(drawing, shape, setting, cloth)
    return found


def _solid(drawing: Drawing, index: int, shape: Shape, setting: Setting, cloth: Floats) -> Candidate:
    region = drawing.regions[index]
    look = float(shape.outline.area) * contrast(drawing, region, cloth)
    if is_dot(shape.whole):
        x, y, across = (float(value) for value in shape.pole)
        look *= place_factor(drawing, (x, y))
        text = f"a dot of {drawing.palette[region.colour].name}"
        return Candidate("dot", (x, y), across, "dot.smallest", setting.value("dot.smallest"), look, text, region.id)
    x, y = _middle(shape)
    text = f"a stroke of {drawing.palette[region.colour].name}"
    measure, needs = percentiles_px(shape.whole)[1], setting.value("stroke.thinnest")
    look *= place_factor(drawing, (x, y))
    return Candidate("stroke", (x, y), measure, "stroke.thinnest", needs, look, text, region.id)


def _middle(shape: Shape) -> tuple[float, float]:
    """A point on the shape's axis, half way along its longest branch."""
    if not shape.branches:
        return float(shape.pole[0]), float(shape.pole[1])
    axis = max(shape.branches, key=lambda b: b.length).axis
    x, y, _ = axis[len(axis) // 2].tolist()
    return x, y


def _between(drawing: Drawing, shape: Shape, setting: Setting, cloth: Floats) -> list[Candidate]:
    row, needs = f"cloth.{setting.cloth.name}.gap_mm", setting.cloth.gap_mm
    x, y, across = (float(value) for value in shape.pole)
    weight = contrast(drawing, None, cloth)
    if not is_outer(drawing, shape) and (not shape.branches or is_dot(shape.whole)):
        look = float(shape.outline.area) * weight * place_factor(drawing, (x, y))
        return [Candidate("counter", (x, y), across, row, needs, look, "a counter, open to the cloth")]
    found = []
    for branch, measure in gaps_of(shape):
        at = int(branch.axis[:, 2].argmin())
        where = float(branch.axis[at, 0]), float(branch.axis[at, 1])
        look = branch.length * measure * weight * place_factor(drawing, where)
        found.append(Candidate("gap", where, measure, row, needs, look, "a gap between shapes"))
    return found


def is_outer(drawing: Drawing, shape: Shape) -> bool:
    """Whether a piece of background reaches outside the design."""
    left, top, right, bottom = drawing.extent_px
    box = shape.outline.bounds
    return bool(box[0] < left - 1 or box[1] < top - 1 or box[2] > right + 1 or box[3] > bottom + 1)


def gaps_of(shape: Shape) -> list[tuple[Branch, float]]:
    """The runs of a piece of background that are gaps, with their widths in px."""
    meets: dict[int, int] = {}
    for branch in shape.branches:
        for node in branch.ends:
            meets[node] = meets.get(node, 0) + 1
    gaps = []
    for branch in shape.branches:
        if len(branch.axis) < 2 or branch.length <= 0:
            continue
        runs_out = not branch.closed and min(meets[node] for node in branch.ends) == 1
        measure = _share(branch.axis, RUN_OUT if runs_out else STEADY)
        if branch.length >= LONG * measure:
            gaps.append((branch, measure))
    return gaps


def _share(axis: Floats, share: float) -> float:
    """The width that this share of the length stays under."""
    widths, lengths = by_length([axis])
    order = np.argsort(widths)
    reach = np.cumsum(lengths[order])
    return float(widths[order][min(int(np.searchsorted(reach, share * reach[-1])), len(widths) - 1)])


def gaps_beside(drawing: Drawing, measures: Measures) -> Sequence[float]:
    """For every region the narrowest gap of cloth along it, in px; inf for none."""
    nearest = [float("inf")] * len(drawing.regions)
    gaps = [(b, m) for shape in measures.background for b, m in gaps_of(shape) if b.length >= BESIDE * m]
    if not gaps:
        return nearest
    middles = [b.axis[int(b.axis[:, 2].argmin())] for b, _ in gaps]
    tree = shapely.STRtree([shape.outline for shape in measures.regions])
    discs = shapely.buffer(shapely.points([m[:2] for m in middles]), [m[2] * 0.55 for m in middles])
    for gap, region in tree.query(discs, predicate="intersects").T.tolist():
        nearest[region] = min(nearest[region], gaps[gap][1])
    return nearest
