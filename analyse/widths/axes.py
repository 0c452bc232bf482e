"""The axes of many outlines at once, and their largest discs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import Polygon

from analyse.values import Floats
from analyse.widths.centreline import Branch, branches_of
from analyse.widths.medial import Medial, medial_axis
from analyse.widths.rings import Rings
from analyse.widths.samples import Ints, boundary_of
from analyse.widths.triangulation import triangulate

POINT = 0.06  # of its width: an axis no longer than this is a point
ACUTE = 0.58  # an acute triangle's circle has a radius of 0.5 to 0.577 of its longest side
APART = 0.15  # of its width: room between outlines moved apart


@dataclass(frozen=True, slots=True, eq=False)
class Axes:
    """Outlines with their axes. branches: each outline's. radius: of all nodes' discs. poles: largest discs."""

    outlines: Sequence[Polygon]
    branches: Sequence[list[Branch]]
    rings: Rings
    own_rings: Sequence[list[int]]
    radius: Floats
    poles: Floats

    def pick(self, wanted: Sequence[int]) -> Axes:
        """Those of these outlines."""
        outlines, branches = [self.outlines[i] for i in wanted], [self.branches[i] for i in wanted]
        own = [self.own_rings[i] for i in wanted]
        return Axes(outlines, branches, self.rings, own, self.radius, self.poles[list(wanted)])


def axes_of(outlines: Sequence[Polygon]) -> Axes:
    """Axes of outlines that do not overlap, and share their edges exactly where they meet."""
    medial = medial_axis(triangulate(boundary_of(outlines)))
    branches: list[list[Branch]] = [[] for _ in outlines]
    found, nodes = branches_of(medial)
    for branch in found:
        branches[branch.polygon].append(branch)
    poles = _poles(medial, outlines)
    for own, pole in zip(branches, poles, strict=True):
        if own and sum(branch.length for branch in own) < POINT * pole[2]:
            own.clear()
    own_rings: list[list[int]] = [[] for _ in outlines]
    for ring, owner in enumerate(medial.rings.owners.tolist()):
        own_rings[owner].append(ring)
    return Axes(outlines, branches, medial.rings, own_rings, _discs(medial, nodes), poles)


def _discs(medial: Medial, nodes: Ints) -> Floats:
    """Radius of every node's disc; an obtuse triangle's circle is none, it is kept to an acute one's."""
    corners = medial.mesh.boundary.points[medial.mesh.triangles[nodes]]
    sides = corners - np.roll(corners, 1, axis=1)
    longest = np.hypot(sides[..., 0], sides[..., 1]).max(axis=1)
    return np.asarray(np.minimum(medial.radius[nodes], ACUTE * longest))


def axes_apart(outlines: Sequence[Polygon]) -> Axes:
    """Axes of outlines that may overlap, or share edges but not all vertices: moved apart, measured, moved back."""
    own = np.array(outlines, dtype=object)
    shift = _room(shapely.bounds(own))
    axes = axes_of(list(shapely.transform(own, lambda xy: xy + np.repeat(shift, shapely.get_num_coordinates(own), 0))))
    back = np.column_stack([shift, np.zeros(len(shift))])
    rings = axes.rings
    moved = shift[np.repeat(rings.owners, rings.last - rings.first + 2)] @ (1.0, 1.0j)
    rings = replace(rings, places=rings.places - moved)
    branches = [[replace(b, axis=b.axis - back[i]) for b in own] for i, own in enumerate(axes.branches)]
    return Axes(outlines, branches, rings, axes.own_rings, axes.radius, axes.poles - back)


def _room(boxes: Floats) -> Floats:
    """Whole px by which to move shapes apart, (N, 2): in rows one below the other, as wide together as high.

    So coordinates stay small, and single precision tells points apart.
    """
    size = np.ceil((boxes[:, 2:] - boxes[:, :2]) * (1.0 + APART)) + 2.0
    reach = np.cumsum(size[:, 0]) - size[:, 0]
    row = (reach // max(float(np.sqrt(size.prod(axis=1).sum())), 1.0)).astype(np.int64)
    high = np.zeros(row[-1] + 1)
    np.maximum.at(high, row, size[:, 1])
    starts = np.searchsorted(row, row)
    place = np.column_stack([reach - reach[starts], (np.cumsum(high) - high)[row]])
    return np.asarray(place - np.floor(boxes[:, :2]))


def _poles(medial: Medial, outlines: Sequence[Polygon]) -> Floats:
    """Centre and width of each polygon's largest disc."""
    owner, own = medial.mesh.owner, np.array(outlines, dtype=object)
    inside = np.flatnonzero(owner >= 0)
    largest = np.full(len(own), -np.inf)
    np.maximum.at(largest, owner[inside], medial.radius[inside])
    inside = inside[medial.radius[inside] == largest[owner[inside]]]
    best = np.full(len(own) + 1, -1)
    best[owner[inside]] = inside  # of discs as large the last
    centre = np.where(best[:-1, None] >= 0, medial.centre[best[:-1]], np.nan)
    lost = ~(np.isfinite(centre).all(axis=1) & shapely.contains_xy(own, *np.nan_to_num(centre).T))
    lost &= ~shapely.is_empty(own)
    centre[lost] = shapely.get_coordinates(shapely.point_on_surface(own[lost]))
    centre = np.nan_to_num(centre)
    far = shapely.distance(shapely.boundary(own), shapely.points(centre))
    return np.column_stack([centre, 2.0 * np.nan_to_num(far)])
