"""Outlines and keylines against what the cloth lets drift."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analyse.detail.candidates import Candidate
from analyse.detail.look import contrast, place_factor
from analyse.kinds.families import Family
from analyse.kinds.setting import Setting
from analyse.values import Drawing, Floats
from analyse.widths.measuring import Measures
from analyse.widths.profile import percentiles_px


def registration_candidates(
    drawing: Drawing, measures: Measures, families: Sequence[Family], setting: Setting, cloth: Floats
) -> list[Candidate]:
    """One for each outline or keyline: it must cover the drift of what it runs round."""
    needs = setting.value("registration.keyline") * setting.cloth.drift_mm
    found = []
    for index, family in enumerate(families):
        if family.role != "outline":
            continue
        shape, region = measures.regions[index], drawing.regions[index]
        width = percentiles_px(shape.whole)[1]
        axis = max(shape.branches, key=lambda b: b.length).axis
        x, y, _ = axis[int(np.abs(axis[:, 2] - width).argmin())].tolist()
        look = float(shape.outline.area) * contrast(drawing, region, cloth) * place_factor(drawing, (x, y))
        text = f"an outline of {drawing.palette[region.colour].name} over seams that drift"
        found.append(Candidate("registration", (x, y), width, "registration.keyline", needs, look, text, index))
    return found
