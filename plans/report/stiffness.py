"""Where cover stacks up: a map in grey, and a ring round each hard place, numbered by its cause."""

from __future__ import annotations

import numpy as np
from markupsafe import Markup

from plans.pictures.coding import data_uri, jpeg
from plans.pictures.svg import drawing, element
from plans.report.hard import MOST, causes
from plans.report.marked import framed, sheet
from plans.values import Density, Plan

DARKEST = 70  # grey level of what is hard; bare cloth is white
RING_SHARE = 1 / 40  # of the long side
WHITE = (255, 255, 255)


def stiffness_map(plan: Plan) -> Markup:
    """Full layers of cover, white for none, darkest from what this cloth calls hard; rings at hard patches."""
    density, (width, height) = plan.laid.density, plan.sized.size_mm
    hard = plan.sized.trade.cloth(plan.sized.cloth).hard_layers
    box, ring = framed(0.0, 0.0, width, height), max(width, height) * RING_SHARE
    rows = [sheet(box, WHITE), _image(density, hard)]
    for cause in causes(plan)[:MOST]:
        for patch in cause.patches:
            x, y = patch.at_mm
            rows.append(element("circle", class_="hard", cx=x, cy=y, r=ring, stroke_width=ring / 6))
            rows.append(_number(cause.number, x, y + 0.36 * ring, ring))
    return drawing(box, f"Cover through all layers, at most {density.stacked_max:.1f}", rows)


def _number(number: int, x: float, y: float, height: float) -> str:
    return element("text", str(number), class_="number", x=x, y=y, font_size=height, stroke_width=height / 4)


def _image(density: Density, hard: float) -> str:
    grey = 255 - (255 - DARKEST) * np.clip(density.layers / hard, 0, 1)
    levels = np.repeat(np.round(grey).astype(np.uint8)[..., None], 3, axis=2)
    rows, columns = density.layers.shape
    left, top = density.origin_mm
    return element(
        "image", x=float(left), y=float(top), width=columns * density.cell_mm, height=rows * density.cell_mm,
        preserveAspectRatio="none", href=data_uri(jpeg(levels, 90), "image/jpeg"),
    )  # fmt: skip
