"""Every part of an approach as it is to be sewn: bodies first, then what lies on them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from plans.edges import Reach, Shape, plan_edges, polygons
from plans.layers import dressing
from plans.layers.cover import closed, outline, under_neighbours
from plans.layers.fields import LINKS_MM, Survey, united
from plans.layers.ground import Ground
from plans.layers.reasons import why_fill
from plans.layers.recipe import Recipe
from plans.layers.strokes import in_strokes, sew_outline, sew_stroke, too_wide
from plans.seams import CLOTH
from plans.values import Edge, Sewing

MEET_MM = 0.4
"""Strokes that touch for less than this wait for nothing: they meet in a point."""
LEAST_MM2 = 0.1
"""Two bodies overlap if they share this much."""
OPEN_MM = 0.5
"""A body does not stop for a hole narrower than this under a stroke."""


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """The sewings of one approach, in no order yet.

    before: pairs (i, j), sewing i lies under sewing j. beneath: for each part the sewing under its own, or -1.
    """

    sewings: tuple[Sewing, ...]
    edges: tuple[Edge, ...]
    before: tuple[tuple[int, int], ...]
    beneath: tuple[int, ...]
    registration_mm: float = 0.0


def plan_sewings(survey: Survey, recipe: Recipe) -> Layout:
    """All sewings of an approach and every shared edge."""
    ground = Ground(survey, recipe)
    bodies, left_out = _bodies(ground), in_strokes(ground)
    done = {part for sewing in bodies for part in (sewing.part, *sewing.also)} | left_out
    strokes = [i for i, part in enumerate(survey.sized.parts) if part.kind in ("column", "running") and i not in done]
    made = (
        *bodies,
        *(sew_outline(ground, p) if too_wide(ground, p) else sew_stroke(ground, p) for p in strokes),
    )
    sewings = tuple(
        replace(sewing, shortest_mm=ground.cloth.shortest_mm)
        for sewing in made
        if not sewing.shape.is_empty and sewing.part not in left_out
    )
    edges = plan_edges(
        survey.sized, survey.seams, lambda part: ground.heights[part], ground.edge_reach, ground.angle_of
    )
    return Layout(sewings, edges, _before(ground, sewings), _beneath(ground, sewings), _registration(survey, edges))


def _bodies(ground: Ground) -> list[Sewing]:
    if ground.recipe.bodies == "lines":
        return [sew_outline(ground, part) for field in ground.survey.fields for part in field.parts]
    made = []
    for number, field in enumerate(ground.survey.fields):
        if number in ground.based:
            on_it = tuple(part for part in field.detail if part not in ground.cut_out)
            made.append(_sew_fill(ground, number, (*field.parts, *field.left), on_it, base=True))
        elif ground.recipe.bodies == "stacked":
            parts = (*field.parts, *field.left)
            shape = closed(ground.survey, outline(ground.survey, (*parts, *field.detail)))
            made.append(_run_under(ground, number, parts, shape))
        else:
            made += [_sew_fill(ground, number, *piece) for piece in _pieces(ground, number)]
    return made


def _pieces(ground: Ground, number: int) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Fill parts of a field that are sewn in one go, each with the strokes it runs beneath wholly."""
    field = ground.survey.fields[number]
    beneath = [part for part in field.detail if _whole(ground, number, part)]
    shared = ground.survey.shared
    body = (*field.parts, *field.left)
    links = [(own, over) for own in body for over in beneath if shared[own, over] > LINKS_MM]
    links += [(a, b) for a in body for b in body if a < b and shared[a, b] > LINKS_MM]
    groups = united((*body, *beneath), links)
    return [
        (tuple(part for part in body if part in group), tuple(part for part in group if part in beneath))
        for group in groups
        if any(part in field.parts for part in group)
    ]


def _overs(ground: Ground, parts: tuple[int, ...]) -> list[int]:
    """Neighbours that lie over a body, pieces of itself left out."""
    touched = np.flatnonzero(ground.survey.shared[list(parts), :-1].sum(axis=0) > 0)
    own = ground.heights[parts[0]]
    return [int(over) for over in touched if over not in parts and ground.heights[over] > own]


def _sew_fill(
    ground: Ground, number: int, parts: tuple[int, ...], beneath: tuple[int, ...], *, base: bool = False
) -> Sewing:
    """Fill parts and the strokes they run beneath wholly, as one shape; a base is not loose on every cloth."""
    shape = outline(ground.survey, (*parts, *beneath))
    if base:
        shape = _short_of_edges(ground, shape, beneath)
    return _run_under(ground, number, parts, shape, beneath, base=base and ground.loose(number))


def _short_of_edges(ground: Ground, shape: Shape, beneath: tuple[int, ...]) -> Shape:
    """A base that ends short of an edge that columns on it finish."""
    seams = ground.survey.seams
    columns = [part for part in beneath if ground.parts[part].kind == "column"]
    finished = seams.middle[np.isin(seams.part, columns) & (seams.other == CLOTH)]
    if not len(finished):
        return shape
    short_mm = float(ground.trade.value("base.short_of_edge"))
    return polygons(shape.difference(shapely.MultiPoint(finished).buffer(short_mm, quad_segs=3)))


def _run_under(
    ground: Ground,
    number: int,
    parts: tuple[int, ...],
    shape: Shape,
    beneath: tuple[int, ...] = (),
    *,
    base: bool = False,
) -> Sewing:
    """`shape` run beneath all that closes its edges, and dressed."""
    overs = [over for over in _overs(ground, parts) if over not in beneath]
    covered = under_neighbours(
        ground.survey, shape, overs, lambda over: ground.reach(parts[0], over), ground.angles[number]
    )
    return _dressed(ground, parts, covered, ground.angles[number], base=base)


def _whole(ground: Ground, field: int, over: int) -> bool:
    """A body runs beneath a stroke on it wholly if what would stay open is nothing to speak of."""
    part = ground.parts[over]
    open_mm = part.width_mm.high - 2 * ground.reach(ground.survey.fields[field].parts[0], over).ends_mm
    return ground.survey.on[over] == field and (part.kind == "running" or open_mm < OPEN_MM)


def _dressed(ground: Ground, parts: tuple[int, ...], shape: Shape, angle: float, *, base: bool) -> Sewing:
    largest = max(parts, key=lambda part: (ground.parts[part].outline_mm.area, -part))
    colour = ground.parts[largest].colour
    field = ground.survey.field_of[largest]
    seen = base and field is not None and ground.seen(field)
    tells = float(ground.trade.value("colours.holds" if seen else "fill.base_contrast"))
    row_mm = float(ground.trade.value("fill.stitch"))
    return Sewing(
        part=largest,
        thread=colour,
        kind="fill",
        role="base" if base else "body",
        layer=0,
        shape=shape,
        angle_deg=angle,
        spacing_mm=dressing.fill_spacing(
            ground.trade, ground.cloth, ground.thread, base=base, strong=ground.cloth_contrast[colour] > tells
        ),
        stitch_mm=row_mm,
        pull_mm=dressing.pull(ground.cloth, ground.trade, row_mm, gap_mm=ground.gap_mm[largest]),
        push_mm=ground.cloth.push_mm,
        under_mm=_furthest(ground, parts),
        underlay=dressing.fill_underlay(ground.trade, ground.cloth, angle, shape.area, base=base),
        why=why_fill(ground, ground.survey.field_of[largest] or 0, parts, base=base),
        also=tuple(part for part in parts if part != largest),
    )


def _furthest(ground: Ground, parts: tuple[int, ...]) -> float:
    reaches: list[Reach] = [ground.reach(parts[0], over) for over in _overs(ground, parts)]
    return max((far.ends_mm for far in reaches), default=0.0)


def _before(ground: Ground, sewings: tuple[Sewing, ...]) -> tuple[tuple[int, int], ...]:
    """Pairs that overlap or touch, the lower first; pieces of one colour and layer wait for nothing."""
    if not sewings:
        return ()
    tree = shapely.STRtree([sewing.shape for sewing in sewings])
    pairs = tree.query([sewing.shape for sewing in sewings], predicate="intersects").T
    found = {(a, b) for a, b in pairs.tolist() if a != b and _waits(ground, sewings[a], sewings[b])}
    return tuple(sorted(found))


def _waits(ground: Ground, low: Sewing, high: Sewing) -> bool:
    """Whether `high` must wait for `low`, as its heights say; pieces of one thread and layer wait for nothing."""
    if ground.heights[low.part] > ground.heights[high.part] or (low.thread, low.layer) == (high.thread, high.layer):
        return False
    ones, twos = (low.part, *low.also), (high.part, *high.also)
    shared = ground.survey.shared
    meet_mm = shared[np.ix_(ones, twos)].sum() + shared[np.ix_(twos, ones)].sum()
    if low.kind == high.kind == "fill" and meet_mm < 2 * MEET_MM:  # both may end beneath one border
        return any(_lies_over(ground.parts[part].outline_mm, low.shape) for part in twos)
    return low.kind == "fill" or bool(meet_mm >= 2 * MEET_MM)


def _lies_over(drawn: Shape, shape: Shape) -> bool:
    return bool(shapely.intersects(drawn, shape) and shapely.intersection(drawn, shape).area >= LEAST_MM2)


def _beneath(ground: Ground, sewings: tuple[Sewing, ...]) -> tuple[int, ...]:
    """For each part the lowest body whose shape holds its middle, where that is not its own sewing."""
    middles = shapely.point_on_surface([part.outline_mm for part in ground.parts])
    bodies = [index for index, sewing in enumerate(sewings) if sewing.kind == "fill"]
    found = [-1] * len(ground.parts)
    if not bodies:
        return tuple(found)
    own = {part: index for index, sewing in enumerate(sewings) for part in (sewing.part, *sewing.also)}
    tree = shapely.STRtree(middles)
    parts, inside = tree.query([sewings[index].shape for index in bodies], predicate="contains")[::-1]
    for part, body in sorted(zip(parts.tolist(), inside.tolist(), strict=True)):
        if own.get(part) != bodies[body]:
            found[part] = bodies[body]
    return tuple(found)


def _registration(survey: Survey, edges: tuple[Edge, ...]) -> float:
    """The widest strip of cloth, mm, that shows when neighbours shift by the cloth's drift; none over one body."""
    return max(
        (max(edge.tolerance_mm - edge.overlap_mm, 0.0) for edge in edges if not _on_one(survey, edge)), default=0.0
    )


def _on_one(survey: Survey, edge: Edge) -> bool:
    first, second = (survey.on[part] for part in edge.parts)
    return first is not None and first == second
