"""The artwork with numbered marks beside it: what does not hold, and where."""

from __future__ import annotations

import math

from markupsafe import Markup

from analyse.values import Feature, SizedDrawing
from plans.pictures.coding import data_uri, jpeg
from plans.pictures.design import artwork_on, canvas, paper_under
from plans.pictures.svg import drawing, element
from plans.report.marks import MOST, Mark, placed, radius
from plans.sewout import Frame
from plans.values import Plan
from plans.words import detail_line, name, some

ART_DPI = 600
ART_PX = 1000
AROUND_MM = 1.0  # of the picture round the design
RING = 0.45  # radius of the ring round the place, in radii of the label, at least,
ROUND_IT = 0.3  # and so much more than half of what it rings,
WIDEST_RING = 1.2  # at most
MARGIN_SHARE = 0.02  # of the long side, so that a line on the edge is not cut


def marked_artwork(plan: Plan) -> Markup:
    """The artwork with a numbered mark beside it for each detail that does not hold, heaviest first."""
    return drawing(*marked_rows(plan.sized, element("use", href="#art")))


def marked_rows(sized: SizedDrawing, art: Markup) -> tuple[tuple[float, float, float, float], str, list[Markup]]:
    """What shows it all, its name, and the rows of the drawing: `art`, in mm of the design, and its marks."""
    features = [feature for feature in sized.detail.features if feature.state != "holds"][:MOST]
    size = radius(sized.size_mm, len(features))
    marks = placed(features, sized.size_mm, size)
    label = f"The artwork with {some(len(marks), 'mark')}" if marks else "The artwork"
    box = _box(marks, sized.size_mm, 1.15 * size)
    return box, label, [sheet(box, paper_under(sized)), art, *(_mark(mark, size) for mark in marks)]


def _box(marks: list[Mark], size_mm: tuple[float, float], label: float) -> tuple[float, float, float, float]:
    """What shows the artwork and all labels round it."""
    across = [0.0, size_mm[0], *(mark.x + way * label for mark in marks for way in (-1, 1))]
    down = [0.0, size_mm[1], *(mark.y + way * label for mark in marks for way in (-1, 1))]
    return framed(min(across), min(down), max(across) - min(across), max(down) - min(down))


def framed(left: float, top: float, width: float, height: float) -> tuple[float, float, float, float]:
    """The box with a little air round it."""
    air = MARGIN_SHARE * max(width, height)
    return left - air, top - air, width + 2 * air, height + 2 * air


def plain_artwork(plan: Plan, place: Frame) -> Markup:
    """The artwork by itself, with as much round it as `place` shows of the cloth; other drawings show it again."""
    box = (place.left_mm, place.top_mm, place.width_mm, place.height_mm)
    rows = [sheet(box, paper_under(plan.sized)), artwork(plan.sized)]
    return drawing(box, f"The artwork as it was sent, {name(plan)}", rows)


def artwork(sized: SizedDrawing) -> Markup:
    """The artwork as an image in mm of the design, called "art"."""
    at = canvas(sized, AROUND_MM, ART_DPI, ART_PX)
    uri = data_uri(jpeg(artwork_on(sized, at, paper_under(sized))), "image/jpeg")
    return element(
        "image", id="art", x=at.left_mm, y=at.top_mm, width=at.width_mm, height=at.height_mm,
        preserveAspectRatio="none", href=uri,
    )  # fmt: skip


def sheet(box: tuple[float, float, float, float], rgb: tuple[int, int, int]) -> Markup:
    """A sheet of a colour under a whole drawing."""
    left, top, width, height = box
    return element("rect", x=left, y=top, width=width, height=height, fill=f"rgb({rgb[0]},{rgb[1]},{rgb[2]})")


def _mark(mark: Mark, size: float) -> Markup:
    radius_mm = ring_mm(mark.feature, size)
    lead = _lead(mark, size, radius_mm)
    ring = {"cx": mark.to_x, "cy": mark.to_y, "r": radius_mm}
    wide, thin = 0.28 * size, 0.1 * size
    return element(
        "g",
        element("title", f"{mark.number}: {detail_line(mark.feature)}"),
        element("path", class_="halo", d=lead, stroke_width=wide),
        element("circle", class_="halo", stroke_width=wide, **ring),
        element("path", class_="lead", d=lead, stroke_width=thin),
        element("circle", class_="lead", stroke_width=thin, **ring),
        _badge(mark, size),
        element("text", str(mark.number), x=mark.x, y=mark.y + 0.4 * size, font_size=1.15 * size),
        class_=f"mark {mark.feature.state}",
    )


def ring_mm(feature: Feature, size: float) -> float:
    """The radius of the ring round a detail: what it rings shows inside it."""
    across = feature.measure if feature.unit == "mm" and feature.kind != "lettering" else 0.0
    return min(max(RING * size, across / 2 + ROUND_IT * size), WIDEST_RING * size)


def _lead(mark: Mark, size: float, ring: float) -> str:
    """The line from the label's edge to the ring round the place."""
    dx, dy = mark.to_x - mark.x, mark.to_y - mark.y
    reach = math.hypot(dx, dy) or 1.0
    near, far = size / reach, max(size, reach - ring) / reach
    ends = (mark.x + dx * near, mark.y + dy * near, mark.x + dx * far, mark.y + dy * far)
    return "M{:.2f} {:.2f}L{:.2f} {:.2f}".format(*ends)


def _badge(mark: Mark, size: float) -> Markup:
    """A full square for what is lost, an open circle for what is at risk: told apart without colour."""
    if mark.feature.state == "lost":
        side = {"width": 2 * size, "height": 2 * size, "stroke_width": 0.16 * size}
        return element("rect", class_="badge", x=mark.x - size, y=mark.y - size, **side)
    return element("circle", class_="badge", cx=mark.x, cy=mark.y, r=size, stroke_width=0.16 * size)
