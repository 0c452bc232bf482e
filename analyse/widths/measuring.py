"""Everything of the widths that needs no size: measured once for a drawing and kept with it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np
import shapely
from shapely import Polygon

from analyse.values import Drawing, Floats
from analyse.widths.centreline import Branch, branches_of
from analyse.widths.medial import Medial, medial_axis
from analyse.widths.samples import boundary_of
from analyse.widths.sides import evened, sliced, with_ends
from analyse.widths.triangulation import triangulate

MARGIN = 0.15  # of the design's longer side: how far outside it the background is looked at


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A spine in px: line (N, 3), left, right (N, 2)."""

    line: Floats
    left: Floats
    right: Floats
    closed: bool
    free: tuple[bool, bool]


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """One polygon measured: a region, or a piece of the background (`region` is None).

    branches: its axis. runs: the same as spines. pole (3,): x, y, width of its largest disc.
    """

    outline: Polygon
    region: int | None
    branches: tuple[Branch, ...]
    runs: tuple[Run, ...]
    pole: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Measures:
    """The size-free measuring of a drawing: its regions in order, then the background's pieces."""

    shapes: tuple[Shape, ...]

    @property
    def regions(self) -> tuple[Shape, ...]:
        """The regions, in the drawing's order."""
        return tuple(shape for shape in self.shapes if shape.region is not None)

    @property
    def background(self) -> tuple[Shape, ...]:
        """What lies between and around the regions."""
        return tuple(shape for shape in self.shapes if shape.region is None)


_KEPT: WeakKeyDictionary[Drawing, Measures] = WeakKeyDictionary()


def measure(drawing: Drawing) -> Measures:
    """Widths, runs and gaps of all regions, in px. Worked out once for a drawing."""
    if drawing not in _KEPT:
        _KEPT[drawing] = _measured(drawing)
    return _KEPT[drawing]


def _measured(drawing: Drawing) -> Measures:
    outlines = [region.outline for region in drawing.regions]
    outlines += _background(outlines)
    medial = medial_axis(triangulate(boundary_of(outlines)))
    by_polygon: dict[int, list[Branch]] = {}
    for branch in branches_of(medial):
        by_polygon.setdefault(branch.polygon, []).append(branch)
    poles = _poles(medial, outlines)
    count = len(drawing.regions)
    return Measures(
        tuple(
            _shape(outline, i if i < count else None, tuple(by_polygon.get(i, ())), poles[i])
            for i, outline in enumerate(outlines)
        )
    )


def _background(outlines: list[Polygon]) -> list[Polygon]:
    union = shapely.union_all(np.array(outlines, dtype=object))
    left, top, right, bottom = union.bounds
    margin = MARGIN * max(right - left, bottom - top)
    free = shapely.box(left - margin, top - margin, right + margin, bottom + margin).difference(union)
    return [piece for piece in shapely.get_parts(free) if piece.area > 1e-6]


def _poles(medial: Medial, outlines: list[Polygon]) -> Floats:
    """Centre and width of each polygon's largest disc."""
    owner, radius = medial.mesh.owner, medial.radius
    order = np.lexsort((radius, owner))
    last = order[np.append(owner[order][1:] != owner[order][:-1], True)]
    best = dict(zip(owner[last].tolist(), last.tolist(), strict=True))
    poles = np.zeros((len(outlines), 3))
    for i, outline in enumerate(outlines):
        centre = medial.centre[best[i]] if i in best else np.full(2, np.nan)
        if not (np.isfinite(centre).all() and shapely.contains_xy(outline, *centre)):
            centre = shapely.get_coordinates(shapely.maximum_inscribed_circle(outline))[0]
        poles[i] = *centre, 2.0 * shapely.distance(outline.boundary, shapely.Point(*centre))
    return poles


def _shape(outline: Polygon, region: int | None, branches: tuple[Branch, ...], pole: Floats) -> Shape:
    if region is None:
        return Shape(outline, region, branches, (), pole)
    meets = Counter(end for branch in branches for end in branch.ends)
    runs = []
    for branch in branches:
        free = (not branch.closed and meets[branch.ends[0]] == 1, not branch.closed and meets[branch.ends[1]] == 1)
        line, left, right = evened(*with_ends(branch, outline, free), closed=branch.closed)
        runs.append(Run(line, left, right, branch.closed, free))
    if not runs:
        runs.append(Run(*sliced(outline), closed=False, free=(True, True)))
    return Shape(outline, region, branches, tuple(runs), pole)
