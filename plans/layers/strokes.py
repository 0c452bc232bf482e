"""Columns and running lines as they are to be sewn, and bodies drawn by their outline alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.values import Floats, Part, Spine
from plans.edges import Shape
from plans.layers import dressing
from plans.layers.ground import Ground
from plans.layers.heights import BORDER, is_border, layer_of
from plans.layers.reasons import why_stroke
from plans.layers.tucks import tucked
from plans.values import Role, Sewing

FILLED_SHARE = 0.8
"""A hole so far taken up by strokes is drawn by them."""
HAIR_MM = 0.03
"""Cuts between the pieces of one region may leave as much open on either side."""
HARDLY_MM = 0.03
"""What a column gains less on each side is not worth a word."""
ROUNDING_MM = 0.02
"""A column that lacks so little of its cloth's shortest stitch is sewn as one."""


def sew_stroke(ground: Ground, part: int) -> Sewing:
    """A column or running part as it is to be sewn."""
    if ground.parts[part].kind == "running":
        return _sew_running(ground, part)
    column = _sew_column(ground, part)
    sewn_mm = ground.parts[part].width_mm.median + 2 * (column.pull_mm + column.widen_mm)
    letter = ground.parts[part].role_hint == "letter"  # its line is judged as one
    if letter or sewn_mm >= ground.cloth.shortest_mm - ROUNDING_MM:
        return column
    line = _sew_running(ground, part)
    least = f"{ground.cloth.shortest_mm:.1f} mm, the shortest stitch this cloth bears"
    return replace(line, why=f"{sewn_mm:.2f} mm sewn where {least}, is asked of a column: a running line")


def _role(ground: Ground, part: int) -> Role:
    if layer_of(ground.survey, part) == BORDER:
        return "border" if is_border(ground.survey, part) else "detail"
    return "detail" if ground.survey.on[part] is not None else "body"


def _sew_running(ground: Ground, part: int) -> Sewing:
    drawn = ground.parts[part]
    spines, _ = tucked(ground, part)
    passes = 2 if _is_thin(ground, drawn) or ground.no_bulk else 3
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
        why="; ".join([why_stroke(ground, part), *_fewer(ground, drawn, passes)]),
    )


def _fewer(ground: Ground, part: Part, passes: int) -> list[str]:
    """That a line has fewer passes than its width asks for, where the cloth bears no more."""
    least = passes == 2 and not _is_thin(ground, part)
    return [f"two passes at most on {ground.cloth.title}, where holes never close"] if least else []


def _held_back(ground: Ground, part: int, width_mm: float, given_mm: float) -> list[str]:
    """That the gap beside a column leaves it less pull and widening than its width asks for."""
    cloth, trade, thread = ground.cloth, ground.trade, ground.thread
    own_mm = dressing.pull(cloth, trade, width_mm, letter=ground.parts[part].role_hint == "letter")
    asked_mm = own_mm + dressing.widen(width_mm, own_mm, trade, cloth, thread)
    if asked_mm - given_mm < HARDLY_MM:
        return []
    sewn_mm = width_mm + 2 * given_mm
    return [f"the {ground.gap_mm[part]:.1f} mm beside it leave {given_mm:.2f} mm on each side: {sewn_mm:.1f} mm sewn"]


def _is_thin(ground: Ground, part: Part) -> bool:
    """Whether two passes are enough: by the width that decided its kind, which speaks for a stroke of uneven width."""
    two = "kind.two_passes_under"
    drawn_mm = part.reason.measure_mm if part.reason.row in (two, "kind.three_passes_under") else part.width_mm.median
    return part.reason.row == two or drawn_mm < float(ground.trade.value(two, thread=ground.thread))


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
    widen_mm = dressing.widen(width_mm, pull_mm, trade, cloth, thread, ground.gap_mm[part])
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
        why="; ".join([why_stroke(ground, part, closed_ends), *_held_back(ground, part, width_mm, pull_mm + widen_mm)]),
        closed_ends=closed_ends,
    )


def _over(ground: Ground, part: int) -> str:
    """What a column's spacing goes by: what it closes, or what it lies over."""
    return ground.over(part) or ("border" if layer_of(ground.survey, part) == BORDER else "")


def sew_outline(ground: Ground, part: int) -> Sewing:
    """A body as its outline: a running line just inside its edge."""
    drawn = ground.parts[part]
    inset_mm = float(ground.trade.value("running.border_inset"))
    inside = _drawn_edge(ground, part).buffer(-inset_mm)
    areas = [area for area in shapely.get_parts(inside) if not area.is_empty]
    spines = tuple(_ring(ring) for area in areas for ring in (area.exterior, *area.interiors))
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


def too_wide(ground: Ground, part: int) -> bool:
    """Whether line work draws a column by its outline."""
    drawn = ground.parts[part]
    widest_mm = float(ground.trade.value("line_work.column_widest"))
    return ground.recipe.bodies == "lines" and drawn.kind == "column" and drawn.width_mm.median > widest_mm


def _drawn_edge(ground: Ground, part: int) -> Shape:
    """A body without the holes that strokes fill: a tick or a letter on it is drawn by its own stitches."""
    bodies = shapely.get_parts(ground.parts[part].outline_mm)
    if not any(body.interiors for body in bodies):
        return ground.parts[part].outline_mm
    strokes = _strokes(ground)
    places, size = shapely.point_on_surface(strokes), shapely.area(strokes)
    whole = []
    for body in bodies:
        holes = np.array([shapely.Polygon(ring) for ring in body.interiors], dtype=object)
        held = shapely.contains(holes[:, None], places[None]) * size
        left = held.sum(axis=1) < FILLED_SHARE * shapely.area(holes)
        rings = [ring for ring, bare in zip(body.interiors, left.tolist(), strict=True) if bare]
        whole.append(shapely.Polygon(body.exterior, rings))
    return shapely.MultiPolygon(whole)


def in_strokes(ground: Ground) -> frozenset[int]:
    """Parts that line work leaves out: eyes of letters, which the strokes round them draw.

    They have the colour of a body that is drawn by its outline alone.
    """
    if ground.recipe.bodies != "lines":
        return frozenset()
    outlined = {field.colour for field in ground.survey.fields}
    letters = {part.region for part in ground.parts if part.role_hint == "letter"}
    strokes = [one for region, one in _stroke_regions(ground) if region in letters]
    holes = [shapely.Polygon(ring) for stroke in strokes for ring in stroke.interiors]
    asked = [number for number, part in enumerate(ground.parts) if part.kind != "drop" and part.colour in outlined]
    places = shapely.point_on_surface([ground.parts[number].outline_mm for number in asked])
    inside, _ = shapely.STRtree(holes).query(places, predicate="within") if holes and asked else (np.empty(0, int), 0)
    return frozenset(asked[number] for number in inside.tolist())


def _strokes(ground: Ground) -> NDArray[np.object_]:
    """What the strokes of each region take up, their holes among it."""
    return np.array([shapely.Polygon(stroke.exterior) for _, stroke in _stroke_regions(ground)], dtype=object)


def _stroke_regions(ground: Ground) -> list[tuple[int, shapely.Polygon]]:
    """The strokes of each region that line work sews as such, as one, with the region."""
    regions: dict[int, list[Shape]] = {}
    for number, one in enumerate(ground.parts):
        if one.kind in ("column", "running") and not too_wide(ground, number):
            regions.setdefault(one.region, []).append(one.outline_mm)
    found: list[tuple[int, shapely.Polygon]] = ground.survey.kept(
        "strokes of regions",
        lambda: [(at, one) for at, parts in regions.items() for one in shapely.get_parts(_united(parts))],
    )
    return found


def _united(pieces: list[Shape]) -> Shape:
    """Pieces of one region as one, hairs between them closed."""
    one: Shape = shapely.union_all(shapely.buffer(np.array(pieces, dtype=object), HAIR_MM, quad_segs=2))
    return one


def _ring(ring: shapely.LinearRing) -> Spine:
    points = shapely.get_coordinates(ring)[:-1]
    width = np.full((len(points), 1), 0.4)
    return Spine(np.hstack([points, width]), points, points, closed=True)


def _band(inside: Shape, inset_mm: float) -> Shape:
    return inside.boundary.buffer(inset_mm) if not inside.is_empty else shapely.MultiPolygon()
