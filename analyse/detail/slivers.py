"""Slivers: where a fill shows past the outline that should cover its edge."""

from __future__ import annotations

import shapely

from analyse.detail.strokes import main_strokes
from analyse.values import Drawing
from analyse.widths.measuring import Measures
from analyse.widths.profile import percentiles_px

LITTLE = 0.05  # a sliver covers at most this share of what it is a sliver of
RUNS_OUT = 0.6  # its lower tenth is at most so much of its upper one
UNDER = 0.5  # it is at most so many times as wide as the stroke it shows past,
STROKE = 8.0  # which covers at least so many times its own width squared,
ALONG = (0.3, 0.65)  # and along which, on one side, so much of its outline lies;
ACROSS = 5.0  # the rest of its colour is at most so many of the stroke's widths away
LEFT_OUT = "better left out"


def sliver_beside(drawing: Drawing, measures: Measures, index: int) -> tuple[str, str] | None:
    """What a region is called, and several of them, if it is a sliver of a fill beyond a wider stroke; else None.

    It runs out, is narrower than the stroke it lies along, and just across that stroke lies much more of its colour.
    """
    region = drawing.regions[index]
    low, _, high = percentiles_px(measures.regions[index].whole)
    if low > RUNS_OUT * high:
        return None
    width, name = main_strokes(drawing, measures)[index][0], drawing.palette[region.colour].name
    for other, length in region.touches:
        stroke = drawing.regions[other]
        if not ALONG[0] * region.outline.length <= length <= ALONG[1] * region.outline.length:
            continue
        over = main_strokes(drawing, measures)[other][0]
        if (
            width <= UNDER * over
            and float(stroke.outline.area) >= STROKE * over**2
            and _beyond(drawing, index, other, over)
        ):
            what = f"of {name} past {drawing.palette[stroke.colour].name}"
            return f"a sliver {what}", f"slivers {what}"
    return None


def _beyond(drawing: Drawing, index: int, stroke: int, over: float) -> bool:
    """Whether much more of a region's colour lies just across a stroke of that width."""
    region = drawing.regions[index]
    far = [drawing.regions[i] for i, _ in drawing.regions[stroke].touches if i != index]
    return any(
        each.colour == region.colour
        and float(region.outline.area) <= LITTLE * float(each.outline.area)
        and shapely.distance(region.outline, each.outline) <= ACROSS * over
        for each in far
    )
