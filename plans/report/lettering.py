"""Each line of lettering as a person reads it: its letters laid level, its heights, its words, what it needs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
import shapely
from markupsafe import Markup
from numpy.typing import NDArray
from shapely import Polygon

from analyse.detail.cures import Judged, judged
from analyse.kinds.setting import Setting
from analyse.lettering.lines import Line, lines_of
from analyse.lettering.upright import upright
from analyse.sizing import setting_of
from analyse.values import Feature, Part, SizedDrawing
from analyse.widths.measuring import measure
from plans import words
from plans.pictures.svg import drawing, element
from plans.report.words_read import read_words
from plans.values import Plan

CAP_PX = 44  # height of capitals in the pictures that are read
MARGIN_PX = 24
LONGEST_PX = 4000
FINE = 0.004  # of the letters' height: outlines in the report are thinned out to this
AIR = 0.45  # round the letters, in their height
HAIR = 0.014  # width of the lines that show heights, in letter heights
SHIFT = 4  # fraction bits of points when letters are filled
Row = dict[str, Any]


def lettering(plan: Plan) -> list[Row]:
    """Every line, from the top down; nothing is measured where the plan has no lettering."""
    features = [feature for feature in plan.sized.detail.features if feature.kind == "lettering"]
    if not features:
        return []
    sized, art = plan.sized, plan.sized.drawing
    measures = measure(art)
    lines = [(line, feature) for line in lines_of(art, measures) if (feature := _feature(line, features, plan))]
    laid = [upright(line, art, measures) for line, _ in lines]
    said = read_words([_picture(letters, line) for letters, (line, _) in zip(laid, lines, strict=True)])
    setting = setting_of(art, sized.mm_per_px, sized.thread, sized.cloth, sized.trade)
    return [
        _row(line, feature, letters, text, setting, plan)
        for (line, feature), letters, text in zip(lines, laid, said, strict=True)
    ]


def _feature(line: Line, features: Sequence[Feature], plan: Plan) -> Feature | None:
    """The detail that stands for a line: the one at its place."""
    left, top = plan.sized.origin_px
    scale = plan.sized.mm_per_px
    at = (line.at[0] - left) * scale, (line.at[1] - top) * scale
    return next((each for each in features if np.hypot(each.at_mm[0] - at[0], each.at_mm[1] - at[1]) < 1e-6), None)


def _row(line: Line, feature: Feature, letters: Sequence[Polygon], text: str, setting: Setting, plan: Plan) -> Row:
    found = judged(feature, line, setting)
    scale = setting.mm_per_px
    return {
        "picture": _drawn(letters, line, text),
        "words": text,
        "what": line.role or "line",
        "letters": words.some(line.letters, "letter"),
        "layout": line.layout if line.border is None else f"{line.layout}, touching a border",
        "capitals": words.mm(line.cap_height * scale),
        "small": "" if line.x_height is None else words.mm(line.x_height * scale),
        "stems": words.mm(line.stem * scale, 2),
        "grow": _grow(found, setting),
        "gap": words.mm(line.gaps[0] * scale, 2) if line.gaps else "",
        "gaps": _closed(found.gaps, len(line.gaps)),
        "counter": words.mm(line.counters[0] * scale, 2) if line.counters else "",
        "counters": _closed(found.counters, len(line.counters)),
        "state": feature.state,
        "state_text": words.STATES[feature.state],
        "needs": words.needs(feature),
        "sewn": _sewn(line, plan),
        "cures": found.cures,
    }


def _grow(found: Judged, setting: Setting) -> str:
    least = setting.value("column.narrowest")
    return f"grow by {found.grow_mm:.2f} mm to {least:.1f} mm" if found.widen_mm else ""


def _closed(count: int, of: int) -> str:
    return f"{count} of {of} would close" if count else ""


def _sewn(line: Line, plan: Plan) -> str:
    """How the line's letters are sewn, all kinds that occur."""
    own = set(line.regions)
    kinds = [part.kind for part in plan.sized.parts if part.region in own or _on_border(part, line, plan.sized)]
    names = {"fill": "fill", "column": "columns", "running": "running line", "drop": "left out"}
    return ", ".join(name for kind, name in names.items() if kind in kinds) or "left open in the cloth or the fill"


def _on_border(part: Part, line: Line, sized: SizedDrawing) -> bool:
    """Whether a part of a border belongs to a letter of the line that touches it."""
    if part.region != line.border:
        return False
    x, y = np.array(part.outline_mm.representative_point().coords[0]) / sized.mm_per_px + sized.origin_px
    return any(shapely.intersects_xy(outline, x, y) for outline in line.attached)


def _drawn(letters: Sequence[Polygon], line: Line, text: str) -> Markup:
    """The letters level, with a hairline at the baseline and at each height."""
    tall = line.cap_height
    left, top, right, bottom = shapely.total_bounds(np.array(letters, dtype=object)).tolist()
    unit = 100.0 / tall  # SVG lengths are shown to 0.01: capitals are 100 high
    box = ((left - AIR * tall) * unit, (top - AIR * tall) * unit)
    size = ((right - left + 2 * AIR * tall) * unit, (bottom - top + 2 * AIR * tall) * unit)
    levels = [0.0, -line.cap_height] + ([] if line.x_height is None else [-line.x_height])
    rows = [
        element("path", class_="level", d=f"M{box[0]:.2f} {level * unit:.2f}h{size[0]:.2f}", stroke_width=100 * HAIR)
        for level in levels
    ]
    paths = "".join(_path(letter, unit, FINE * tall) for letter in letters)
    rows.append(element("path", class_="letters", d=paths, fill_rule="evenodd"))
    return drawing((*box, *size), text or f"A line of {line.letters} letters", rows)


def _path(letter: Polygon, unit: float, fine: float) -> str:
    thinned = letter.simplify(fine)
    rings = [ring for polygon in shapely.get_parts(thinned) for ring in (polygon.exterior, *polygon.interiors)]
    return "".join(
        "M" + "L".join(f"{x * unit:.1f} {y * unit:.1f}" for x, y in ring.coords[:-1]) + "Z" for ring in rings
    )


def _picture(letters: Sequence[Polygon], line: Line) -> NDArray[np.uint8]:
    """The letters level, dark on white, for a reader: (H, W) grey."""
    left, top, right, bottom = shapely.total_bounds(np.array(letters, dtype=object)).tolist()
    scale = min(CAP_PX / line.cap_height, LONGEST_PX / max(right - left, bottom - top))
    size = np.ceil((np.array([bottom - top, right - left]) * scale) + 2 * MARGIN_PX).astype(int)
    paper = np.full(tuple(size.tolist()), 255, dtype=np.uint8)
    rings = []
    for letter in letters:
        for ring in shapely.get_rings(letter):
            points = (shapely.get_coordinates(ring) - (left, top)) * scale + MARGIN_PX - 0.5
            rings.append(np.round(points * (1 << SHIFT)).astype(np.int32))
    cv2.fillPoly(paper, rings, 0, lineType=cv2.LINE_AA, shift=SHIFT)
    return paper
