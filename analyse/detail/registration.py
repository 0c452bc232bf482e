"""Outlines, and fills that only butt, against what the cloth lets drift."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analyse.detail.candidates import Candidate
from analyse.detail.look import contrast, place_factor
from analyse.detail.shapes import FINEST_PX, SPECK_PX2, middle_of
from analyse.detail.slivers import LEFT_OUT, sliver_beside
from analyse.detail.strokes import SEEN_PX, main_stroke
from analyse.kinds.families import Family, runs_round
from analyse.kinds.setting import Setting
from analyse.values import Drawing, Floats
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import percentiles_px

SEAM = 0.15  # share of the narrower shape's outline from which its edge with another is a seam
LIES_ON = 0.8  # share of its outline from which a shape lies on a single colour, and drifts with it
LOOP = 8.0  # a ring as wide as half of what it runs round covers so many times its width squared
LINE = 4.0  # and what covers so many is a line


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
        width, share, _ = main_stroke(shape)
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
            what = _told(drawing, name, beside, long) if past is None else past
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


def _told(drawing: Drawing, name: str, beside: dict[int, float], long: float) -> tuple[str, str]:
    """What a shape is called that only butts others, and several of them; long: its area in widths squared."""
    names = sorted({drawing.palette[colour].name for colour in beside})
    others = " and ".join(filter(None, [", ".join(names[:-1]), names[-1]]))
    if long < LINE:
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
    """Where the outline is about as wide as it is all in all."""
    axis = max(shape.branches, key=lambda b: b.length).axis
    x, y, _ = axis[int(np.abs(axis[:, 2] - width).argmin())].tolist()
    return x, y
