"""A plan's first `decisions.toml`: what was asked, ready to be changed, and where cloth or thread is left open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
import shapely

from analyse.colours.difference import ciede2000
from analyse.colours.lab import srgb_to_lab
from analyse.trade import DEFAULT_CLOTH
from analyse.values import Drawing, SizedDrawing
from plans.cloth_colours import Rgb
from plans.values import Plan

HEAD = """# Your own word on this plan. It is kept as it stands when the plan is made again;
# the command line goes before it.

[job]
"""
OPEN = """
# Cloth or thread? The picture leaves it open here. Without their # these lines turn it round.
"""
MOST = 8
"""Open places that are listed, the largest first."""


def as_toml(plan: Plan) -> str:
    """A first `decisions.toml` for the plan: what was asked, ready to be changed."""
    sized, job = plan.sized, plan.job
    rows = _size_rows(plan)
    rows += [f'place = "{job.place}"'] if job.place else []
    rows += [_cloth_row(plan), _colour_row(sized.cloth_rgb), f'thread = "{sized.thread}"']
    rows += (
        [f"colours = {job.colours}"]
        if job.colours
        else [f"# colours = {len(sized.drawing.palette)}  # at most so many"]
    )
    rows += (
        [f'approach = "{job.approach}"'] if job.approach else [f'# approach = "{plan.laid.approach}"  # recommended']
    )
    return HEAD + "\n".join(rows) + "\n" + _open_rows(sized)


def _size_rows(plan: Plan) -> list[str]:
    """The size as it was asked, to be asked again."""
    asked = [("width", plan.job.width_mm), ("height", plan.job.height_mm)]
    given = [(side, value) for side, value in asked if value is not None] or [("width", plan.sized.size_mm[0])]
    first, *rest = [f"{side} = {value:.9g}" for side, value in given]
    return [f'{first}  # mm, or a length in quotes: "3in"', *rest]


def _cloth_row(plan: Plan) -> str:
    """The cloth; as a comment where another place would bring another."""
    trade, place = plan.sized.trade, plan.job.place
    usual = trade.place(place).cloth if place else DEFAULT_CLOTH
    row = f'cloth = "{plan.sized.cloth}"'
    return f"# {row}  # the usual one" if plan.sized.cloth == usual else row


def _colour_row(rgb: Rgb) -> str:
    """The cloth's colour; white, the usual one, as a comment."""
    row = f'cloth_colour = "#{rgb[0]:02x}{rgb[1]:02x}{rgb[2]:02x}"'
    return f"# {row}  # white unless told: navy, or sRGB" if min(rgb) == 255 else row


@dataclass(frozen=True, slots=True)
class Open:
    """A place that may be turned round: a point within it and its area in label px, what it is now, and what else."""

    at_px: tuple[float, float]
    area_px: float
    what: str
    background: bool


def _open_rows(sized: SizedDrawing) -> str:
    """The places that may be turned round, each as a comment; "" where the picture leaves nothing open."""
    least_px = float(sized.trade.value("fill.smallest")) / sized.mm_per_px**2
    found = [place for place in (*_like_the_cloth(sized), *holes(sized.drawing)) if place.area_px >= least_px]
    largest = sorted(found, key=lambda place: -place.area_px)[:MOST]
    return "".join([OPEN, *(_open_row(sized, place) for place in largest)]) if largest else ""


def _open_row(sized: SizedDrawing, place: Open) -> str:
    x, y = sized.drawing.place(*place.at_px)
    told = f"{place.what}, {place.area_px * sized.mm_per_px**2:.0f} mm2"
    return f"# [[part]]\n# at = [{x:.4f}, {y:.4f}]  # {told}\n# background = {str(place.background).lower()}\n"


def _like_the_cloth(sized: SizedDrawing) -> Iterator[Open]:
    """What is sewn in nearly the cloth's colour: bare cloth may do as well."""
    drawing, needs = sized.drawing, float(sized.trade.value("colours.holds"))
    cloth = srgb_to_lab(np.array(sized.cloth_rgb, np.float64))
    close = [float(ciede2000(np.array(colour.lab), cloth)) < needs for colour in drawing.palette]
    for region in drawing.regions:
        if close[region.colour]:
            point = shapely.point_on_surface(region.outline)
            what = f"sewn {drawing.palette[region.colour].name}, much like the cloth"
            yield Open((point.x, point.y), region.outline.area, what, background=True)


def left_to_cloth(sized: SizedDrawing) -> str:
    """What the design encloses of its drawn background, where the cloth has another colour; "" if that is nothing."""
    ground = sized.drawing.background
    needs, least_mm2 = (float(sized.trade.value(row)) for row in ("colours.holds", "fill.smallest"))
    cloth = srgb_to_lab(np.array(sized.cloth_rgb, np.float64))
    if ground is None or float(ciede2000(np.array(ground.lab), cloth)) < needs:
        return ""
    areas = [place.area_px * sized.mm_per_px**2 for place in holes(sized.drawing)]
    large = [area for area in areas if area >= least_mm2]
    if not large:
        return ""
    where = f"{sum(large):.0f} mm2 in {len(large)} place{'s' if len(large) > 1 else ''}"
    return (
        f"{ground.name} that the design encloses, {where}, is left to cloth of another colour: "
        "decisions.toml lists where it can be sewn instead"
    )


def holes(drawing: Drawing) -> Iterator[Open]:
    """What the design encloses of what lay behind it: cloth now, and maybe meant to be sewn."""
    if drawing.background is None:
        return
    bare = np.pad((drawing.labels < 0).astype(np.uint8), 1, constant_values=1)
    _, pieces, stats, _ = cv2.connectedComponentsWithStats(bare, connectivity=4)
    for piece in range(1, len(stats)):
        x, y, wide, high, area = (int(value) for value in stats[piece])
        if (x, y) != (0, 0):
            own = np.pad((pieces[y : y + high, x : x + wide] == piece).astype(np.uint8), 1)
            row, column = np.unravel_index(int(cv2.distanceTransform(own, cv2.DIST_L2, 3).argmax()), own.shape)
            at = (float(x + column) - 1.5, float(y + row) - 1.5)
            yield Open(at, area, f"cloth, drawn {drawing.background.name}", background=False)
