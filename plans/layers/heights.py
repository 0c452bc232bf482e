"""What lies over what: a height for every part, so that no two wait for each other."""

from __future__ import annotations

from plans.layers.fields import Survey

BODY, COLUMN, RUNNING, BORDER = 0, 1, 2, 3
Height = tuple[float, ...]


def layer_of(survey: Survey, part: int) -> int:
    """0 for what is filled, 1 for columns on it, 2 for running lines, 3 for borders."""
    kind = survey.sized.parts[part].kind
    if kind == "fill":
        return BODY
    if any(part in field.borders for field in survey.fields):
        return BORDER
    return COLUMN if kind == "column" else RUNNING


def heights(survey: Survey) -> tuple[Height, ...]:
    """For each part: layer, depth of nesting, darkness, smallness, its number. Higher is sewn later and lies over.

    Of two that lie side by side the lighter runs under the darker, which hides it; and so all pieces of one colour do
    the same, which saves changes.
    """
    parts, palette = survey.sized.parts, survey.sized.drawing.palette
    depth = _depths(survey)
    return tuple(
        (layer_of(survey, index), depth[part.region], -palette[part.colour].lab[0], -part.outline_mm.area, index)
        for index, part in enumerate(parts)
    )


def _depths(survey: Survey) -> dict[int, int]:
    parents = {region.id: region.parent for region in survey.sized.drawing.regions}
    found: dict[int, int] = {}
    for region in parents:
        chain = [region]
        while (above := parents.get(chain[-1])) is not None and above not in chain:
            chain.append(above)
        found[region] = len(chain) - 1
    return found
