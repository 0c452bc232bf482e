"""Colours too close to tell apart, thread against thread and against the cloth; shading read as flat steps."""

from __future__ import annotations

import shapely

from analyse.colours.difference import ciede2000
from analyse.colours.lab import srgb_to_lab
from analyse.detail.candidates import Candidate
from analyse.kinds.setting import Setting
from analyse.values import Drawing

TELLING = 1.5  # steps up to this many times the need are worth a line


def colour_candidates(drawing: Drawing, setting: Setting, cloth_rgb: tuple[int, int, int]) -> list[Candidate]:
    """One for each pair of touching colours that is close, each colour close to the cloth's, each shading."""
    needs = setting.value("colours.holds")
    found = []
    for (one, two), (length, region) in sorted(_touching(drawing).items()):
        first, second = drawing.palette[one], drawing.palette[two]
        step = float(ciede2000(first.lab, second.lab))
        if step < needs * TELLING:
            text = f"{first.name} beside {second.name}"
            found.append(_step(drawing, region, step, needs, length, text))
    cloth = srgb_to_lab(cloth_rgb)
    for index, colour in enumerate(drawing.palette):
        own = [region for region in drawing.regions if region.colour == index]
        step = float(ciede2000(colour.lab, cloth))
        if own and step < needs * TELLING:
            largest = max(own, key=lambda region: region.outline.area)
            found.append(_step(drawing, largest.id, step, needs, largest.outline.length, f"{colour.name} on the cloth"))
    return found + [_shading(drawing, i, setting) for i in range(len(drawing.shadings))]


def _touching(drawing: Drawing) -> dict[tuple[int, int], tuple[float, int]]:
    """Shared length and the region with the longest edge, by pair of colours."""
    pairs: dict[tuple[int, int], tuple[float, int, float]] = {}
    for region in drawing.regions:
        for other, length in region.touches:
            colours = region.colour, drawing.regions[other].colour
            if colours[0] >= colours[1]:
                continue
            total, longest, best = pairs.get(colours, (0.0, region.id, 0.0))
            pairs[colours] = total + length, region.id if length > best else longest, max(length, best)
    return {pair: (total, region) for pair, (total, region, _) in pairs.items()}


def _step(drawing: Drawing, region: int, step: float, needs: float, length: float, text: str) -> Candidate:
    at = shapely.point_on_surface(drawing.regions[region].outline)
    return Candidate("colour-step", (at.x, at.y), step, "colours.holds", needs, length, text, region, "dE00")


def _shading(drawing: Drawing, index: int, setting: Setting) -> Candidate:
    shading = drawing.shadings[index]
    largest = max(shading.regions, key=lambda i: drawing.regions[i].outline.area)
    at = shapely.point_on_surface(drawing.regions[largest].outline)
    look = sum(drawing.regions[i].outline.area for i in shading.regions)
    return Candidate(
        "shading", (at.x, at.y), shading.span, "shading.most", setting.value("shading.most"), look, shading.text,
        largest, "dE00",
    )  # fmt: skip
