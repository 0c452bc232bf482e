"""What a body's angle has to mind: its edge, the stitches and lines that lie over it, and its mirror image."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity

from analyse.values import Floats, Part, Spine
from plans.angles import Lie, runs_by_degree
from plans.layers.fields import Survey, united

JUST_OUTSIDE_MM = 0.25
"""How far beyond a column's sides the body is looked for, so that its drawn edge does not decide."""
MIRRORED = 0.85
"""Share of two bodies' union that one's mirror image and the other have in common, from which they are a pair."""


def lies(survey: Survey) -> tuple[Lie, ...]:
    """Each field of the survey as its angle sees it."""
    return tuple(_lie(survey, number) for number in range(len(survey.fields)))


def _lie(survey: Survey, number: int) -> Lie:
    seams, field, parts = survey.seams, survey.fields[number], survey.sized.parts
    rows = np.isin(seams.part, field.parts)
    running = tuple(spine for part in field.detail if parts[part].kind == "running" for spine in parts[part].spines)
    columns = np.zeros(180)
    for part in np.flatnonzero(survey.shared[:, list(field.parts)].sum(axis=1)):
        if parts[part].kind == "column":
            for spine in parts[part].spines:
                columns += runs_by_degree((spine,), across=True, over=_over(survey, spine, number))
    return Lie(seams.normal[rows], seams.length[rows], columns, runs_by_degree(running, across=False))


def _over(survey: Survey, spine: Spine, number: int) -> NDArray[np.bool_]:
    """(N,) where along a column the field lies beyond both of its sides: there its stitches lie over the field."""
    member = np.array([field == number for field in (*survey.field_of, None)])
    across: Floats = spine.right - spine.left
    unit = across / np.maximum(np.hypot(across[:, 0], across[:, 1]), 1e-9)[:, None]
    beyond = (spine.left - unit * JUST_OUTSIDE_MM, spine.right + unit * JUST_OUTSIDE_MM)
    left, right = (member[survey.parts_map.at(points)] for points in beyond)
    return np.asarray(left & right)


def alike(survey: Survey) -> tuple[tuple[int, ...], ...]:
    """For each field those that share its angle, itself among them: its mirror image, and the steps of its shading."""
    shadings = [set(shading.regions) for shading in survey.sized.drawing.shadings]
    regions = [{survey.sized.parts[part].region for part in field.parts} for field in survey.fields]
    steps = [tuple(number for number, own in enumerate(regions) if own & shading) for shading in shadings]
    mirrored = [(first, second) for first, second in enumerate(twins(survey)) if second is not None]
    joined = united(range(len(regions)), [*mirrored, *(pair for own in steps for pair in pairwise(own))])
    group = {number: own for own in joined for number in own}
    return tuple(group[number] for number in range(len(regions)))


def twins(survey: Survey) -> tuple[int | None, ...]:
    """For each field the other one that is its mirror image across the middle of the design, or None.

    Letters are none: their line has an angle of its own.
    """
    parts = survey.sized.parts
    shapes = [shapely.union_all([parts[part].outline_mm for part in field.parts]) for field in survey.fields]
    middle = survey.sized.size_mm[0] / 2
    found: list[int | None] = [None] * len(shapes)
    for first, field in enumerate(survey.fields):
        if found[first] is not None or _is_letter(parts, field.parts):
            continue
        image = affinity.scale(shapes[first], -1.0, 1.0, origin=(middle, 0.0))
        alike = [
            second
            for second in range(first + 1, len(shapes))
            if found[second] is None
            and survey.fields[second].colour == field.colour
            and shapely.intersection(image, shapes[second]).area >= MIRRORED * shapely.union(image, shapes[second]).area
        ]
        if alike:
            found[first], found[alike[0]] = alike[0], first
    return tuple(found)


def _is_letter(parts: tuple[Part, ...], of_field: tuple[int, ...]) -> bool:
    return any(parts[part].role_hint == "letter" for part in of_field)
