"""How much a detail does to the look: its contrast with what lies beside it, its area, its place."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely

from analyse.colours.difference import ciede2000
from analyse.values import Drawing, Floats, Region

Lab = tuple[float, float, float]

FULL_CONTRAST = 50.0  # dE00 from which a difference counts in full
LEAST_CONTRAST = 0.1  # thread on its own colour is still seen: it stands up from the cloth and shines
MIDDLE_COUNTS = 0.25  # the middle of the design counts by this much more than its average, the rim by as much less


def contrast(drawing: Drawing, region: Region | None, cloth: Floats) -> float:
    """0..1: a region against what it touches (by shared length) and the cloth; None: the cloth against the threads."""
    if region is None:
        sewn = {r.colour for r in drawing.regions}
        steps = [_apart(drawing.palette[colour].lab, _as_lab(cloth)) for colour in sorted(sewn)]
        return seen(float(np.mean(steps)))
    own = drawing.palette[region.colour].lab
    lengths = [length for _, length in region.touches]
    labs = [drawing.palette[drawing.regions[other].colour].lab for other, _ in region.touches]
    steps = [_apart(own, lab) for lab in [*labs, _as_lab(cloth)]]
    weights = np.array([*lengths, free_edge_px(region)])
    return seen(float((np.array(steps) * weights).sum() / max(float(weights.sum()), 1e-9)))


def whole_look(drawing: Drawing, cloth: Floats) -> float:
    """What all regions do to the look, in px2: each its area, by its contrast and its place."""
    places = shapely.get_coordinates(shapely.point_on_surface([region.outline for region in drawing.regions])).tolist()
    return sum(
        float(region.outline.area) * contrast(drawing, region, cloth) * place_factor(drawing, (x, y))
        for region, (x, y) in zip(drawing.regions, places, strict=True)
    )


def _as_lab(cloth: Floats) -> Lab:
    light, a, b = cloth.tolist()
    return light, a, b


@lru_cache(maxsize=4096)
def _apart(one: Lab, two: Lab) -> float:
    """dE00; the same few colours meet again and again."""
    return float(ciede2000(one, two))


def seen(step: float) -> float:
    """How far a colour difference counts, 0..1."""
    return min(max(step / FULL_CONTRAST, LEAST_CONTRAST), 1.0)


def free_edge_px(region: Region) -> float:
    """Length of the region's outline along which the cloth begins."""
    return max(float(region.outline.length) - sum(length for _, length in region.touches), 0.0)


def place_factor(drawing: Drawing, at_px: tuple[float, float]) -> float:
    """From 1 + MIDDLE_COUNTS in the middle of the design to 1 - MIDDLE_COUNTS in its corners."""
    left, top, right, bottom = drawing.extent_px
    x = abs(2.0 * (at_px[0] - left) / max(right - left, 1e-9) - 1.0)
    y = abs(2.0 * (at_px[1] - top) / max(bottom - top, 1e-9) - 1.0)
    return float(1.0 + MIDDLE_COUNTS * (1.0 - 2.0 * min(float(np.hypot(x, y)) / np.sqrt(2.0), 1.0)))
