"""Lines of lettering as one detail each, in the place of their strokes, dots, gaps and counters."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from analyse.detail.candidates import Candidate
from analyse.detail.look import contrast, place_factor
from analyse.kinds.lettering import needed_height
from analyse.kinds.setting import Setting
from analyse.lettering.lines import Line
from analyse.values import Drawing, Floats

OF_SHAPES = ("stroke", "dot", "gap", "counter")


def outside_lines(candidates: Sequence[Candidate], lines: Sequence[Line]) -> list[Candidate]:
    """What is no stroke, dot, gap or counter of a line's letters."""
    own = {region for line in lines for region in (*line.regions, *line.inside)}
    zones = shapely.union_all([line.zone for line in lines])
    shapely.prepare(zones)
    return [c for c in candidates if not (c.region in own or _of_cloth_in(c, zones))]


def _of_cloth_in(candidate: Candidate, zones: shapely.Geometry) -> bool:
    of_cloth = candidate.region is None and candidate.kind in OF_SHAPES
    return of_cloth and bool(shapely.intersects_xy(zones, *candidate.at_px))


def lettering_candidates(drawing: Drawing, lines: Sequence[Line], setting: Setting, cloth: Floats) -> list[Candidate]:
    """One for each line: the height of its smallest letters."""
    return [_candidate(drawing, line, setting, cloth) for line in lines]


def _candidate(drawing: Drawing, line: Line, setting: Setting, cloth: Floats) -> Candidate:
    row, needs = needed_height(line, setting)
    regions = [drawing.regions[i] for i in line.regions]
    look = sum(float(region.outline.area) * contrast(drawing, region, cloth) for region in regions)
    look += line.opened_px2 * contrast(drawing, None, cloth)
    if line.border is not None:
        regions = regions or [drawing.regions[line.border]]
        look += sum(float(o.area) for o in line.attached) * contrast(drawing, drawing.regions[line.border], cloth)
    what = "capitals" if line.x_height is None else "letters"
    name = f" in {drawing.palette[regions[0].colour].name}" if regions else ", cut out"
    text = (
        f"a {line.role}{name}"
        if line.role == "legal mark"
        else f"a {line.role or 'line'} of {line.letters} {what}{name}"
    )
    text += ", touching a border" if line.border is not None else ""
    look *= place_factor(drawing, line.at)
    first = regions[len(regions) // 2].id if regions else None
    return Candidate("lettering", line.at, line.height, row, needs, look, text, first, line=line)
