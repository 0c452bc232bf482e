"""Columns and running lines as they are to be sewn, and bodies drawn by their outline alone."""

from __future__ import annotations

import numpy as np
import shapely

from analyse.values import Floats, Spine
from plans.edges import Shape
from plans.layers import dressing
from plans.layers.ground import Ground
from plans.layers.heights import BORDER, layer_of
from plans.layers.reasons import why_stroke
from plans.layers.tucks import tucked
from plans.values import Role, Sewing


def sew_stroke(ground: Ground, part: int) -> Sewing:
    """A column or running part as it is to be sewn."""
    return _sew_running(ground, part) if ground.parts[part].kind == "running" else _sew_column(ground, part)


def _role(ground: Ground, part: int) -> Role:
    layer = layer_of(ground.survey, part)
    return "border" if layer == 3 else "detail" if ground.survey.on[part] is not None else "body"


def _sew_running(ground: Ground, part: int) -> Sewing:
    drawn = ground.parts[part]
    spines, _ = tucked(ground, part)
    narrow = drawn.width_mm.median < float(ground.trade.value("kind.two_passes_under", thread=ground.thread))
    passes = 2 if narrow or ground.no_bulk else 3
    return Sewing(
        part=part,
        thread=drawn.colour,
        kind="running",
        role=_role(ground, part),
        layer=layer_of(ground.survey, part),
        shape=drawn.outline_mm,
        spines=spines,
        stitch_mm=_stitch(ground, drawn.spines, passes),
        passes=passes,
        over_base=ground.on_base(part),
        why=why_stroke(ground, part),
    )


def _stitch(ground: Ground, spines: tuple[Spine, ...], passes: int) -> float:
    length = sum(spine.length for spine in spines)
    turn = sum(_turn(spine.line[:, :2]) for spine in spines)
    short_mm, tight = float(ground.trade.value("running.fine_under")), float(ground.trade.value("running.fine_turn"))
    if length < short_mm or turn > tight * length:
        return float(ground.trade.value("running.stitch_fine"))
    return float(ground.trade.value("running.stitch_three_passes" if passes == 3 else "running.stitch"))


def _turn(line: Floats) -> float:
    """Degrees turned along a line, all bends added up."""
    steps = np.diff(line, axis=0)
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    return float(np.degrees(np.abs(np.diff(heading)).sum()))


def _sew_column(ground: Ground, part: int) -> Sewing:
    drawn, trade, cloth, thread = ground.parts[part], ground.trade, ground.cloth, ground.thread
    letter = drawn.role_hint == "letter"
    small = ground.letter_under(part, "lettering.small")
    width_mm = drawn.width_mm.median
    pull_mm = dressing.pull(cloth, trade, width_mm, letter=letter, gap_mm=ground.gap_mm[part])
    widen_mm = dressing.widen(width_mm, pull_mm, trade, thread, ground.gap_mm[part])
    sewn_mm = width_mm + 2 * (pull_mm + widen_mm)
    on_base = ground.on_base(part)
    spines, closed_ends = tucked(ground, part)
    return Sewing(
        part=part,
        thread=drawn.colour,
        kind="column",
        role=_role(ground, part),
        layer=layer_of(ground.survey, part),
        shape=drawn.outline_mm,
        spines=spines,
        spacing_mm=dressing.column_spacing(trade, cloth, thread, sewn_mm, letter=small, over=_over(ground, part)),
        stitch_mm=float(trade.value("stitch.no_snag", wear=ground.survey.job.wear)),
        widen_mm=widen_mm,
        pull_mm=pull_mm,
        push_mm=cloth.push_mm,
        underlay=dressing.column_underlay(trade, cloth, sewn_mm, letter=small, on_base=on_base),
        over_base=on_base,
        why=why_stroke(ground, part, closed_ends),
        closed_ends=closed_ends,
    )


def _over(ground: Ground, part: int) -> str:
    """What a column's spacing goes by: what it closes, or what it lies over."""
    return ground.over(part) or ("border" if layer_of(ground.survey, part) == BORDER else "")


def sew_outline(ground: Ground, part: int) -> Sewing:
    """A body as its outline: a running line just inside its edge."""
    drawn = ground.parts[part]
    inset_mm = float(ground.trade.value("running.border_inset"))
    inside = drawn.outline_mm.buffer(-inset_mm)
    spines = tuple(_ring(ring) for area in shapely.get_parts(inside) for ring in (area.exterior, *area.interiors))
    passes = 2
    return Sewing(
        part=part,
        thread=drawn.colour,
        kind="running",
        role="body",
        layer=0,
        shape=_band(inside, inset_mm),
        spines=spines,
        stitch_mm=_stitch(ground, spines, passes),
        passes=passes,
        why="its outline alone",
    )


def _ring(ring: shapely.LinearRing) -> Spine:
    points = shapely.get_coordinates(ring)[:-1]
    width = np.full((len(points), 1), 0.4)
    return Spine(np.hstack([points, width]), points, points, closed=True)


def _band(inside: Shape, inset_mm: float) -> Shape:
    return inside.boundary.buffer(inset_mm) if not inside.is_empty else shapely.MultiPolygon()
