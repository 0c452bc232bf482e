"""What lies over what: a height for every part, so that no two wait for each other."""

from __future__ import annotations

import numpy as np

from plans.layers.fields import LIES_ON, Survey

BODY, COLUMN, RUNNING, BORDER = 0, 1, 2, 3
Height = tuple[float, ...]
CLOSES = 0.25
"""Share of a field's whole outline along which what lies over its edge is its border."""


def layer_of(survey: Survey, part: int) -> int:
    """0 for what is filled, 1 for columns on it, 2 for running lines, 3 for borders."""
    kind = survey.sized.parts[part].kind
    if kind == "fill" or survey.field_of[part] is not None:
        return BODY
    if part in survey.borders:
        return BORDER
    return COLUMN if kind == "column" else RUNNING


def is_border(survey: Survey, part: int) -> bool:
    """Whether what lies over a field's edge finishes it: an outline, or what runs along a fair part of that edge.

    A stripe, a window or a muzzle lies beside a field as well, and is no border of it.
    """
    return part in survey.kept("closing", lambda: _closing(survey))


def _closing(survey: Survey) -> frozenset[int]:
    parts = survey.sized.parts
    found = {part for part in survey.borders if parts[part].role_hint == "outline"}
    for field in survey.fields:
        edge_mm = max(float(survey.shared[list(field.parts)].sum()), 1e-9)
        along: dict[int, float] = {}
        for part in field.borders:
            met_mm = float(survey.shared[part, list(field.parts)].sum())
            along[parts[part].region] = along.get(parts[part].region, 0.0) + met_mm
        found |= {part for part in field.borders if along[parts[part].region] >= CLOSES * edge_mm}
    return frozenset(found)


def heights(survey: Survey) -> tuple[Height, ...]:
    """For each part: stroke or fill, depth of nesting, darkness, smallness, its number. The higher lies over.

    A stroke lies over fills, and over the strokes it lies on.
    Of two that lie side by side the lighter runs under the darker, which hides it; and so all pieces of one colour do
    the same, which saves changes.
    """
    parts, palette = survey.sized.parts, survey.sized.drawing.palette
    depth = _depths(survey)
    return tuple(
        (
            float(survey.field_of[index] is None and part.kind != "fill"),
            depth[index],
            -palette[part.colour].lab[0],
            layer_of(survey, index),
            -part.outline_mm.area,
            index,
        )
        for index, part in enumerate(parts)
    )


def _depths(survey: Survey) -> tuple[int, ...]:
    """How many parts of its kind each part lies in: fills by the nesting of regions, strokes where they lie on one."""
    parts = survey.sized.parts
    parents = {region.id: region.parent for region in survey.sized.drawing.regions}
    rests = _rests(survey, parents)

    body_of = {part: field.parts[0] for field in survey.fields for part in field.left}
    return tuple(
        len(_chain(parts[body_of.get(index, index)].region, parents)) - 1 if field is not None else rests[index]
        for index, field in enumerate(survey.field_of)
    )


def _rests(survey: Survey, parents: dict[int, int | None]) -> list[int]:
    """For each stroke how many strokes lie beneath it, one in the other: a glint in a pupil in an iris has two.

    It lies on those of the region that encloses it, if its outline lies mostly against them.
    """
    parts = survey.sized.parts
    region = np.array([part.region for part in parts])
    stroke = np.array([part.kind != "fill" for part in parts])
    nesting = {each: _chain(each, parents) for each in parents}
    found = [0] * len(parts)
    for index in sorted(range(len(parts)), key=lambda part: len(nesting[parts[part].region])):
        row = survey.shared[index, :-1]
        around = stroke & (region == parents.get(parts[index].region))
        total = max(float(survey.shared[index].sum() - row[region == parts[index].region].sum()), 1e-9)
        if row[around].sum() >= LIES_ON * total:
            found[index] = 1 + max(found[part] for part in np.flatnonzero(around & (row > 0)))
    return found


def _chain(region: int | None, parents: dict[int, int | None]) -> list[int]:
    """A region and those that enclose it, from within."""
    chain: list[int] = []
    while region is not None and region not in chain:
        chain.append(region)
        region = parents.get(region)
    return chain
