"""Outlines, and fills that only butt, against what the cloth lets drift."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analyse.detail.candidates import Candidate
from analyse.detail.look import contrast, place_factor
from analyse.detail.shapes import FINEST_PX, SPECK_PX2, middle_of
from analyse.detail.slivers import LEFT_OUT, sliver_beside
from analyse.detail.strokes import SEEN_PX, Finer, main_strokes, sides_of
from analyse.kinds.families import Family, runs_round
from analyse.kinds.setting import Setting
from analyse.values import Drawing, Floats, Region
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import percentiles_px

SEAM = 0.15  # share of the narrower shape's outline from which its edge with another is a seam
LIES_ON = 0.8  # share of its outline from which a shape lies on a single colour, and drifts with it
LOOP = 8.0  # a ring as wide as half of what it runs round covers so many times its width squared
LINE = 4.0  # and what covers so many is a line
RIM = 0.1  # share of its shape from which a rim was drawn as one
TYPICAL = 0.05  # an outline is as wide as it is all in all where it is so near to it
UP = 2.0  # a place further up is as good as one so many times further left


def registration_candidates(
    drawing: Drawing, measures: Measures, families: Sequence[Family], setting: Setting, cloth: Floats
) -> list[Candidate]:
    """One for each outline over seams, and each shape that butts others, as wide as what may drift beside it asks.

    What is sewn beside a seam may drift to either side, so that what covers it must be twice as wide.
    """
    needs = setting.value("registration.keyline") * setting.cloth.drift_mm
    bodies = {family.body for family in families}
    found = []
    for index, family in enumerate(families):
        shape, region = measures.regions[index], drawing.regions[index]
        width, share, _ = main_strokes(drawing, measures)[index]
        if family.role == "letter" or shape.outline.area < SPECK_PX2 or width < FINEST_PX:
            continue
        long = float(shape.outline.area) * share / width**2
        name, cure, seam = drawing.palette[region.colour].name, "", 1.0
        if family.role == "outline" or (long >= LOOP and index not in bodies and runs_round(drawing, measures, index)):
            what, at = (f"an outline of {name}", f"outlines of {name}"), _typical(shape, width)
        else:
            beside = {} if width < SEEN_PX else _butting(drawing, measures, families, index)
            if not beside:
                continue
            past = sliver_beside(drawing, measures, index)
            what = _told(drawing, name, set(beside), line=long >= LINE) if past is None else past
            cure = "" if past is None else LEFT_OUT
            at, seam = middle_of(shape), sum(beside.values())
        look = float(shape.outline.area) * share * contrast(drawing, region, cloth)
        found.append(
            Candidate(
                "registration", at, width, "registration.keyline", needs, look * seam * place_factor(drawing, at),
                what[0], index, group=("registration", *what, region.colour), many=what[1], cure=cure,
            )
        )  # fmt: skip
    return found


def rim_candidates(drawing: Drawing, measures: Measures, setting: Setting, cloth: Floats) -> list[Candidate]:
    """The rims of wider shapes: strokes of them between two colours, where they are a good part of their shape.

    Such as the outline of a bee that is one with its stripes. Less of it is a fill drawn a little too large.
    """
    needs = setting.value("registration.keyline") * setting.cloth.drift_mm
    found = []
    for region, (_, _, finer_ones) in zip(drawing.regions, main_strokes(drawing, measures), strict=True):
        if sum(finer.share for finer in finer_ones) < RIM:
            continue
        sides = [(finer, set(sides_of(drawing, finer)) - {region.colour}) for finer in finer_ones]
        rims = [(finer, beside) for finer, beside in sides if len(beside) == 2]
        if sum(finer.share for finer, _ in rims) < RIM:
            continue
        look = float(region.outline.area) * contrast(drawing, region, cloth)
        for finer, beside in rims:
            found.append(_rim(drawing, region, finer, beside - {-1}, needs, look))
    return found


def _rim(drawing: Drawing, region: Region, finer: Finer, beside: set[int], needs: float, look: float) -> Candidate:
    what = _told(drawing, drawing.palette[region.colour].name, beside, line=True)
    weight = look * finer.share * place_factor(drawing, finer.at_px)
    return Candidate(
        "registration", finer.at_px, finer.width, "registration.keyline", needs, weight, what[0], region.id,
        group=("registration", *what, region.colour), many=what[1],
    )  # fmt: skip


def _told(drawing: Drawing, name: str, beside: set[int], *, line: bool) -> tuple[str, str]:
    """What a shape or a line of that colour is called that only butts others, and several of them."""
    names = sorted({drawing.palette[colour].name for colour in beside})
    others = " and ".join(filter(None, [", ".join(names[:-1]), names[-1]]))
    if not line:
        return f"{name} that only butts {others}", f"shapes of {name} that only butt {others}"
    where = f"between {others}" if len(names) > 1 else f"along {others}"
    return f"a line of {name} {where}", f"lines of {name} {where}"


def _butting(drawing: Drawing, measures: Measures, families: Sequence[Family], index: int) -> dict[int, float]:
    """The colours of wider shapes that a shape butts, with their shares of its outline.

    None where an outline runs between them, and none where it simply lies on one colour and drifts with it.
    """
    region = drawing.regions[index]
    around: dict[int, float] = {}
    seams: dict[int, float] = {}
    for other, length in region.touches:
        share, colour = length / float(region.outline.length), drawing.regions[other].colour
        around[colour] = around.get(colour, 0.0) + share
        if not families[other].role and _width(measures, index) < _width(measures, other):
            seams[colour] = seams.get(colour, 0.0) + share
    if families[index].role or max(around.values(), default=0.0) >= LIES_ON:
        return {}
    return {colour: share for colour, share in sorted(seams.items()) if share >= SEAM}


def _width(measures: Measures, index: int) -> tuple[float, int]:
    return percentiles_px(measures.regions[index].whole)[1], index


def _typical(shape: Shape, width: float) -> tuple[float, float]:
    """Where the outline is about as wide as it is all in all: of such places the one furthest up and left."""
    axis = np.vstack([branch.axis for branch in shape.branches] or [shape.pole[None]])
    off = np.abs(axis[:, 2] - width)
    near = axis[off <= max(TYPICAL * width, float(off.min()))]
    x, y, _ = near[int((near[:, 0] + UP * near[:, 1]).argmin())].tolist()
    return x, y
