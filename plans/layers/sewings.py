"""Every part of an approach as it is to be sewn: bodies first, then what lies on them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from plans.edges import Reach, Shape, plan_edges
from plans.layers import dressing
from plans.layers.cover import closed, outline, under_neighbours
from plans.layers.fields import Survey
from plans.layers.ground import Ground
from plans.layers.recipe import Recipe
from plans.layers.strokes import sew_outline, sew_stroke
from plans.values import Edge, Sewing


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """The sewings of one approach, in no order yet. before: pairs (i, j), sewing i lies under sewing j."""

    sewings: tuple[Sewing, ...]
    edges: tuple[Edge, ...]
    before: tuple[tuple[int, int], ...]


def plan_sewings(survey: Survey, recipe: Recipe) -> Layout:
    """All sewings of an approach and every shared edge."""
    ground = Ground(survey, recipe)
    strokes = [index for index, part in enumerate(survey.sized.parts) if part.kind in ("column", "running")]
    sewings = (*_bodies(ground), *(sew_stroke(ground, part) for part in strokes))
    sewings = tuple(sewing for sewing in sewings if not sewing.shape.is_empty)
    edges = plan_edges(
        survey.sized, survey.seams, lambda part: ground.heights[part], ground.edge_reach, ground.angle_of
    )
    return Layout(sewings, edges, _before(ground, sewings))


def _bodies(ground: Ground) -> list[Sewing]:
    if ground.recipe.bodies == "lines":
        return [sew_outline(ground, part) for field in ground.survey.fields for part in field.parts]
    made = []
    for number, field in enumerate(ground.survey.fields):
        if number in ground.based:
            made.append(_sew_base(ground, number))
        elif ground.recipe.bodies == "stacked":
            shape = closed(ground.survey, outline(ground.survey, (*field.parts, *field.detail)))
            made.append(_sew_fill(ground, field.parts, shape))
        else:
            made += [_sew_fill(ground, (part,), outline(ground.survey, (part,))) for part in field.parts]
    return made


def _overs(ground: Ground, parts: tuple[int, ...]) -> list[int]:
    """Neighbours that lie over a body, pieces of itself left out."""
    touched = np.flatnonzero(ground.survey.shared[list(parts), :-1].sum(axis=0) > 0)
    own = ground.heights[parts[0]]
    return [int(over) for over in touched if over not in parts and ground.heights[over] > own]


def _sew_fill(ground: Ground, parts: tuple[int, ...], shape: Shape) -> Sewing:
    field = ground.survey.field_of[parts[0]] or 0
    angle = ground.angles[field]
    overs = _overs(ground, parts)
    covered = under_neighbours(
        ground.survey,
        shape,
        overs,
        lambda over: ground.reach(parts[0], over),
        lambda o: _whole(ground, field, o),
        angle,
    )
    return _dressed(ground, parts, covered, angle, base=False)


def _whole(ground: Ground, field: int, over: int) -> bool:
    """A body runs beneath a stroke on it wholly if what would stay open is nothing to speak of."""
    part = ground.parts[over]
    open_mm = part.width_mm.high - 2 * ground.reach(ground.survey.fields[field].parts[0], over).ends_mm
    return ground.survey.on[over] == field and (part.kind == "running" or open_mm < 0.5)


def _sew_base(ground: Ground, number: int) -> Sewing:
    field = ground.survey.fields[number]
    on_it = [part for part in field.detail if part not in ground.cut_out]
    shape = outline(ground.survey, (*field.parts, *on_it))
    overs = [over for over in _overs(ground, field.parts) if over not in on_it]
    covered = under_neighbours(
        ground.survey,
        shape,
        overs,
        lambda over: ground.reach(field.parts[0], over),
        lambda _: False,
        ground.angles[number],
    )
    return _dressed(ground, field.parts, covered, ground.angles[number], base=True)


def _dressed(ground: Ground, parts: tuple[int, ...], shape: Shape, angle: float, *, base: bool) -> Sewing:
    largest = max(parts, key=lambda part: (ground.parts[part].outline_mm.area, -part))
    colour = ground.parts[largest].colour
    strong = ground.cloth_contrast[colour] > float(ground.trade.value("fill.base_contrast"))
    row_mm = float(ground.trade.value("fill.stitch"))
    return Sewing(
        part=largest,
        thread=colour,
        kind="fill",
        role="base" if base else "body",
        layer=0,
        shape=shape,
        angle_deg=angle,
        spacing_mm=dressing.fill_spacing(ground.trade, ground.cloth, ground.thread, base=base, strong=strong),
        stitch_mm=row_mm,
        pull_mm=dressing.pull(ground.cloth, ground.trade, row_mm, gap_mm=ground.gap_mm[largest]),
        push_mm=ground.cloth.push_mm,
        under_mm=_furthest(ground, parts),
        underlay=dressing.fill_underlay(ground.trade, ground.cloth, angle, shape.area, base=base),
        group=ground.survey.group_of(largest),
        why=ground.parts[largest].reason.text,
        also=tuple(part for part in parts if part != largest),
    )


def _furthest(ground: Ground, parts: tuple[int, ...]) -> float:
    reaches: list[Reach] = [ground.reach(parts[0], over) for over in _overs(ground, parts)]
    return max((far.ends_mm for far in reaches), default=0.0)


def _before(ground: Ground, sewings: tuple[Sewing, ...]) -> tuple[tuple[int, int], ...]:
    """Pairs that overlap or touch, the lower first; pieces of one colour and layer wait for nothing."""
    tree = shapely.STRtree([sewing.shape for sewing in sewings])
    pairs = tree.query([sewing.shape for sewing in sewings], predicate="intersects").T
    found = set()
    for first, second in pairs.tolist():
        low, high = sewings[first], sewings[second]
        free = low.thread == high.thread and low.layer == high.layer
        if first != second and not free and _height(ground, low) < _height(ground, high):
            found.add((first, second))
    return tuple(sorted(found))


def _height(ground: Ground, sewing: Sewing) -> tuple[float, ...]:
    return (sewing.layer, *ground.heights[sewing.part][1:])
