"""A drawing at a size: everything in mm, put together."""

from __future__ import annotations

import math
from dataclasses import replace

import shapely
from shapely import Polygon

from analyse.detail.candidates import SMALLEST_DESIGN_MM, at_size, holds_from_mm, weighed
from analyse.detail.colours import colour_candidates
from analyse.detail.shapes import is_dot, shape_candidates
from analyse.errors import JobError
from analyse.kinds.bands import Piece, judge
from analyse.kinds.setting import Setting
from analyse.trade import DEFAULT_CLOTH, THREADS, Trade, default_trade, nearest
from analyse.units import checked_mm
from analyse.values import Detail, Drawing, Part, SizedDrawing, Spine, Width
from analyse.widths.measuring import Measures, Shape, measure
from analyse.widths.profile import percentiles_px, run_length_px
from analyse.widths.sides import Run

COVERED = 0.9  # of a piece lies between its run's sides, else no column can follow it
WHITE = (255, 255, 255)


def size_drawing(
    drawing: Drawing,
    *,
    width_mm: float | None = None,
    height_mm: float | None = None,
    thread: str = "40",
    cloth: str = DEFAULT_CLOTH,
    cloth_rgb: tuple[int, int, int] | None = None,
    trade: Trade | None = None,
) -> SizedDrawing:
    """Parts with their kinds, and what of the detail survives. Errors: JobError."""
    trade = trade or default_trade()
    if thread not in THREADS:
        raise JobError(f"no thread is called {thread!r}", "--thread", nearest(thread, THREADS))
    scale = mm_per_px(drawing, width_mm, height_mm)
    setting = Setting(scale, math.sqrt(2.0) * drawing.edge_error_px * scale, thread, trade.cloth(cloth), trade)
    left, top, right, bottom = drawing.extent_px
    measures = measure(drawing)
    every = [part for i, shape in enumerate(measures.regions) for part in _parts_of(drawing, i, shape, setting)]
    parts = tuple(replace(part, id=f"p{i + 1}") for i, part in enumerate(every))
    return SizedDrawing(
        drawing=drawing, size_mm=((right - left) * scale, (bottom - top) * scale), mm_per_px=scale,
        origin_px=(left, top), thread=thread, cloth=cloth, cloth_rgb=cloth_rgb or WHITE, trade=trade,
        parts=parts, detail=_detail(drawing, measures, setting, cloth_rgb or WHITE),
    )  # fmt: skip


def mm_per_px(drawing: Drawing, width_mm: float | None, height_mm: float | None) -> float:
    """The scale that gives the shapes' extent these lengths; with both it fits inside. Errors: JobError."""
    left, top, right, bottom = drawing.extent_px
    scales = []
    if width_mm is not None:
        scales.append(checked_mm(width_mm, "the width") / (right - left))
    if height_mm is not None:
        scales.append(checked_mm(height_mm, "the height") / (bottom - top))
    if not scales:
        raise JobError("no size was given", "the size", "ask for a width or a height, such as 3in")
    return min(scales)


def _parts_of(drawing: Drawing, index: int, shape: Shape, setting: Setting) -> list[Part]:
    left, top, *_ = drawing.extent_px
    scale = setting.mm_per_px
    parts = []
    for stroke in shape.pieces:
        width = Width(*(value * scale for value in percentiles_px(stroke)))
        area_mm2 = stroke.outline.area * scale**2
        piece = Piece(width, run_length_px(stroke) * scale, area_mm2, stroke.covered >= COVERED, is_dot(stroke))
        verdict = judge(piece, setting)
        parts.append(Part(
            id="", kind=verdict.kind, region=index, colour=drawing.regions[index].colour,
            outline_mm=_to_mm(stroke.outline, left, top, scale), width_mm=width, reason=verdict.reason,
            certainty=verdict.certainty, spines=(_spine(stroke.run, left, top, scale),),
            sewn_width_mm=verdict.sewn_width_mm,
        ))  # fmt: skip
    return parts


def _to_mm(outline: Polygon, left: float, top: float, scale: float) -> Polygon:
    return shapely.transform(outline, lambda xy: (xy - (left, top)) * scale)


def _spine(run: Run, left: float, top: float, scale: float) -> Spine:
    line = (run.line - (left, top, 0.0)) * scale
    return Spine(line, (run.left - (left, top)) * scale, (run.right - (left, top)) * scale, run.closed)


def _detail(drawing: Drawing, measures: Measures, setting: Setting, cloth_rgb: tuple[int, int, int]) -> Detail:
    left, top, right, _ = drawing.extent_px
    candidates = shape_candidates(drawing, measures, setting) + colour_candidates(drawing, setting, cloth_rgb)
    telling = [c for c in candidates if (holds_from_mm(c, right - left) or math.inf) > SMALLEST_DESIGN_MM]
    features = [at_size(c, setting, right - left, c.region, (left, top)) for c in weighed(telling)]
    return Detail(tuple(sorted(features, key=lambda feature: (-feature.weight, feature.at_mm))))
