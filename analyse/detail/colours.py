"""Colours too close to tell apart, thread against thread and against the cloth; shading read as flat steps."""

from __future__ import annotations

from dataclasses import replace

import shapely

from analyse.colours.difference import ciede2000
from analyse.colours.lab import srgb_to_lab
from analyse.detail.candidates import Candidate
from analyse.detail.look import free_edge_px, seen
from analyse.kinds.setting import Setting
from analyse.values import Drawing, Region

TELLING = 1.25  # steps up to this many times the need are worth a line
FREE = 0.05  # share of a region's outline that lies on the cloth, from which the cloth's colour matters to it


def colour_candidates(drawing: Drawing, setting: Setting, cloth_rgb: tuple[int, int, int]) -> list[Candidate]:
    """One for each pair of touching colours that is close, each colour close to the cloth it lies on, each shading."""
    needs = setting.value("colours.holds")
    found = []
    for (one, two), regions in sorted(_touching(drawing).items()):
        first, second = drawing.palette[one], drawing.palette[two]
        step = float(ciede2000(first.lab, second.lab))
        if step < needs * TELLING:
            look = sum(float(region.outline.area) for region in regions)
            found.append(_step(regions, step, needs, look, f"{first.name} beside {second.name}"))
    cloth = srgb_to_lab(cloth_rgb)
    for index, colour in enumerate(drawing.palette):
        own = [r for r in drawing.regions if r.colour == index and free_edge_px(r) > FREE * r.outline.length]
        step = float(ciede2000(colour.lab, cloth))
        if own and step < needs * TELLING:
            look = sum(float(r.outline.area) * free_edge_px(r) / float(r.outline.length) for r in own)
            close = _step(own, step, needs, look, f"{colour.name} on cloth of nearly its colour")
            found.append(replace(close, on_cloth=True))
    return found + [_shading(drawing, i, setting) for i in range(len(drawing.shadings))]


def _touching(drawing: Drawing) -> dict[tuple[int, int], list[Region]]:
    """By pair of colours the regions that are told from a larger one beside them; steps of one shading left out."""
    shaded = {region: i for i, shading in enumerate(drawing.shadings) for region in shading.regions}
    pairs: dict[tuple[int, int], dict[int, Region]] = {}
    for region in drawing.regions:
        for other, _ in region.touches:
            beside = drawing.regions[other]
            one, two = sorted((region.colour, beside.colour))
            steps = shaded.get(region.id, -1) == shaded.get(other, -2)
            if one != two and not steps and (region.outline.area, region.id) <= (beside.outline.area, other):
                pairs.setdefault((one, two), {})[region.id] = region
    return {pair: list(regions.values()) for pair, regions in pairs.items()}


def _step(regions: list[Region], step: float, needs: float, area: float, text: str) -> Candidate:
    largest = max(regions, key=lambda region: (region.outline.area, -region.id))
    at = shapely.point_on_surface(largest.outline)
    look = area * seen(step)
    return Candidate("colour-step", (at.x, at.y), step, "colours.holds", needs, look, text, largest.id, "dE00")


def _shading(drawing: Drawing, index: int, setting: Setting) -> Candidate:
    """What is lost of a shading is how smooth it is: it weighs as much as one of its flat steps is seen."""
    shading = drawing.shadings[index]
    largest = max(shading.regions, key=lambda i: drawing.regions[i].outline.area)
    at = shapely.point_on_surface(drawing.regions[largest].outline)
    steps = len({drawing.regions[i].colour for i in shading.regions})
    look = sum(drawing.regions[i].outline.area for i in shading.regions) * seen(shading.span / max(steps - 1, 1))
    return Candidate(
        "shading", (at.x, at.y), shading.span, "shading.most", setting.value("shading.most"), look, shading.text,
        largest, "dE00",
    )  # fmt: skip
