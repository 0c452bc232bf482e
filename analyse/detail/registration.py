"""Outlines, and fills that only butt, against what the cloth lets drift."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analyse.detail.candidates import Candidate
from analyse.detail.look import contrast, place_factor
from analyse.detail.shapes import FINEST_PX, SPECK_PX2, middle_of
from analyse.kinds.families import Family, runs_round
from analyse.kinds.setting import Setting
from analyse.values import Drawing, Floats
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import percentiles_px

SEAM = 0.15  # share of the narrower shape's outline from which its edge with another is a seam
LIES_ON = 0.8  # share of its outline from which a shape lies on a single colour, and drifts with it
SEEN_PX = 2.0  # between two colours nothing narrower is told from the seam itself


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
        width = percentiles_px(shape.whole)[1]
        look = float(shape.outline.area) * contrast(drawing, region, cloth)
        if family.role == "letter" or shape.outline.area < SPECK_PX2 or width < FINEST_PX:
            continue
        if family.role == "outline" or (index not in bodies and runs_round(drawing, measures, index)):
            what, at, seam = ("an outline of {}", "outlines of {}"), _typical(shape, width), 1.0
        else:
            beside = {} if width < SEEN_PX else _butting(drawing, measures, families, index)
            if not beside:
                continue
            others = " and ".join(sorted(drawing.palette[colour].name for colour in beside))
            what = f"{{}} that only butts {others}", f"shapes of {{}} that only butt {others}"
            at, seam = middle_of(shape), sum(beside.values())
        name = drawing.palette[region.colour].name
        found.append(
            Candidate(
                "registration",
                at,
                width,
                "registration.keyline",
                needs,
                look * seam * place_factor(drawing, at),
                what[0].format(name),
                index,
                group=("registration", *what, region.colour),
                many=what[1].format(name),
            )
        )
    return found


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
    """Where the outline is about as wide as it is all in all."""
    axis = max(shape.branches, key=lambda b: b.length).axis
    x, y, _ = axis[int(np.abs(axis[:, 2] - width).argmin())].tolist()
    return x, y
