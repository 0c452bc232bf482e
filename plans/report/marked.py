"""The artwork with numbered marks beside it: what does not hold, and where."""

from __future__ import annotations

import math

from markupsafe import Markup

from analyse.values import SizedDrawing
from plans.pictures.coding import data_uri, webp
from plans.pictures.design import artwork_on, canvas
from plans.pictures.svg import drawing, element, text
from plans.report.marks import MOST, Mark, beside, radius
from plans.values import Plan
from plans.words import detail_line, not_holding

ART_DPI = 600
ART_PX = 1000
MARGIN_SHARE = 0.012  # of the long side, so that a line on the edge is not cut


def marked_artwork(plan: Plan) -> Markup:
    """The artwork with a numbered mark beside it for each detail that does not hold, heaviest first."""
    features = not_holding(plan)[:MOST]
    width, height = plan.sized.size_mm
    size = radius(width, height, len(features))
    marks = beside(features, [detail_line(feature) for feature in features], (0.0, 0.0, width, height), size)
    side = 3.4 * size if marks else 0.0
    label = f"The artwork with {len(marks)} marks" if marks else "The artwork"
    rows = [artwork_image(plan.sized), *(_mark(mark, size) for mark in marks)]
    return drawing(framed(-side, 0.0, width + 2 * side, height), label, rows)


def framed(left: float, top: float, width: float, height: float) -> tuple[float, float, float, float]:
    """The box with a little air round it."""
    air = MARGIN_SHARE * max(width, height)
    return left - air, top - air, width + 2 * air, height + 2 * air


def artwork_image(sized: SizedDrawing, kind: str = "art") -> str:
    """The artwork as an SVG image on white, in its place in mm."""
    uri = data_uri(webp(artwork_on(sized, canvas(sized, 0.0, ART_DPI, ART_PX))), "image/webp")
    width, height = sized.size_mm
    sheet = element("rect", class_="sheet", width=width, height=height)
    return sheet + element("image", class_=kind, width=width, height=height, preserveAspectRatio="none", href=uri)


def _mark(mark: Mark, size: float) -> str:
    lead = _lead(mark, size, 0.55 * size)
    ring = {"cx": mark.to_x, "cy": mark.to_y, "r": 0.55 * size}
    wide, thin = 0.28 * size, 0.1 * size
    return element(
        "g",
        element("title", text(f"{mark.number}: {mark.title}")),
        element("path", class_="halo", d=lead, stroke_width=wide),
        element("circle", class_="halo", stroke_width=wide, **ring),
        element("path", class_="lead", d=lead, stroke_width=thin),
        element("circle", class_="lead", stroke_width=thin, **ring),
        _badge(mark, size),
        element("text", str(mark.number), x=mark.x, y=mark.y + 0.4 * size, font_size=1.15 * size),
        class_=f"mark {mark.state}",
    )


def _lead(mark: Mark, size: float, ring: float) -> str:
    """The line from the label's edge to the ring round the place."""
    dx, dy = mark.to_x - mark.x, mark.to_y - mark.y
    reach = math.hypot(dx, dy) or 1.0
    near, far = size / reach, max(size, reach - ring) / reach
    ends = (mark.x + dx * near, mark.y + dy * near, mark.x + dx * far, mark.y + dy * far)
    return "M{:.2f} {:.2f}L{:.2f} {:.2f}".format(*ends)


def _badge(mark: Mark, size: float) -> str:
    """A full square for what is lost, an open circle for what is at risk: told apart without colour."""
    if mark.state == "lost":
        return element("rect", class_="badge", x=mark.x - size, y=mark.y - size, width=2 * size, height=2 * size)
    return element("circle", class_="badge", cx=mark.x, cy=mark.y, r=size, stroke_width=0.16 * size)
