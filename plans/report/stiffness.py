"""Where cover stacks up and detail sinks in: a map in grey, hatched, its places ringed and numbered by their cause."""

from __future__ import annotations

import numpy as np
from markupsafe import Markup

from analyse.units import direction
from analyse.values import Floats
from plans.density.parallel import SIDE_MM
from plans.hard import MOST, MOST_SUNK, Size, causes, sunken
from plans.pictures.coding import data_uri, jpeg
from plans.pictures.paths import pairs_data
from plans.pictures.svg import drawing, element
from plans.report.marked import framed, sheet
from plans.values import Density

DARKEST = 70  # grey level of what is hard; bare cloth is white
RING_SHARE = 1 / 40  # of the long side
WHITE = (255, 255, 255)


def stiffness_map(density: Density, size_mm: Size, hard: float) -> Markup:
    """Full layers of cover, white for none, darkest from `hard`, where the cloth turns hard.

    Rings stand at hard patches and where a step sinks in; short lines wherever stitches run along those right beneath;
    a cross where the needle goes in most often.
    """
    box, ring = framed(0.0, 0.0, *size_mm), max(size_mm) * RING_SHARE
    rows = [sheet(box, WHITE), _image(density, hard), _hatched(density.parallel)]
    for cause in (*causes(density, size_mm)[:MOST], *sunken(density, size_mm)[:MOST_SUNK]):
        for patch in cause.patches:
            x, y = patch.at_mm
            rows.append(element("circle", class_="hard", cx=x, cy=y, r=ring, stroke_width=ring / 6))
            rows.append(_number(cause.number, x, y + 0.36 * ring, ring))
    rows.append(_cross(density, ring))
    return drawing(box, f"Cover through all layers, at most {density.stacked_max:.1f}", rows)


def _hatched(parallel: Floats) -> Markup:
    """A short line the stitches' way at each place where they run along those right beneath."""
    way = np.array([direction(angle) for angle in parallel[:, 2].tolist()]).reshape(-1, 2) * SIDE_MM / 2
    ends = np.stack([parallel[:, :2] - way, parallel[:, :2] + way], axis=1)
    return element("path", class_="sunk", d=pairs_data(ends), stroke_width=SIDE_MM / 4) if len(ends) else Markup()


def _cross(density: Density, size: float) -> Markup:
    """Where the needle goes in most often."""
    (x, y), arm = density.pricked_at_mm, size / 2
    lines = np.array([[(x - arm, y - arm), (x + arm, y + arm)], [(x - arm, y + arm), (x + arm, y - arm)]])
    return element("path", class_="hard", d=pairs_data(lines), stroke_width=size / 5)


def _number(number: int, x: float, y: float, height: float) -> Markup:
    return element("text", str(number), class_="number", x=x, y=y, font_size=height, stroke_width=height / 4)


def _image(density: Density, hard: float) -> Markup:
    grey = 255 - (255 - DARKEST) * np.clip(density.layers / hard, 0, 1)
    levels = np.repeat(np.round(grey).astype(np.uint8)[..., None], 3, axis=2)
    rows, columns = density.layers.shape
    left, top = density.origin_mm
    return element(
        "image", x=float(left), y=float(top), width=columns * density.cell_mm, height=rows * density.cell_mm,
        preserveAspectRatio="none", href=data_uri(jpeg(levels, 90), "image/jpeg"),
    )  # fmt: skip
