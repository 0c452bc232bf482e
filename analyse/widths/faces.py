"""The faces of a plane graph as polygons: what lies between outlines and cuts."""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from analyse.values import Floats

HAIR = 1e-9  # of its area: a loop that is larger than another by less is the same loop

Edge = tuple[Hashable, Hashable, Floats]  # from one node to another, its points


@dataclass(frozen=True, slots=True, eq=False)
class Graph:
    """Directed edges of a plane graph. area: what each adds to the doubled area of the face on its left, halved."""

    edges: Sequence[Edge]
    area: list[float]
    leaving: dict[Hashable, list[tuple[float, int]]]
    back: list[float]

    @staticmethod
    def of(edges: Sequence[Edge]) -> Graph:
        """Edges with what it takes to follow them."""
        out = _angles(np.array([points[1] - points[0] for _, _, points in edges]))
        back = _angles(np.array([points[-2] - points[-1] for _, _, points in edges]))
        leaving: dict[Hashable, list[tuple[float, int]]] = {}
        for number, (start, _, _) in enumerate(edges):
            leaving.setdefault(start, []).append((out[number], number))
        return Graph(edges, _swept([points for _, _, points in edges]), leaving, back)

    def faces(self, without: AbstractSet[int] = frozenset()) -> list[list[int]]:
        """The edges round each face, on the left (y taken as up) of them; some edges left out."""
        unused, faces = set(range(len(self.edges))) - without, []
        while unused:
            first = here = min(unused)
            face: list[int] = []
            while here in unused:
                unused.discard(here)
                face.append(here)
                # the face on the left goes on along the next edge clockwise from the way back
                here = min(
                    ((self.back[here] - turn - 1e-12) % math.tau, number)
                    for turn, number in self.leaving[self.edges[here][1]] if number not in without
                )[1]  # fmt: skip
            if here == first:
                faces.append(face)
        return faces

    def loop(self, face: Sequence[int]) -> Floats:
        """A face's points in order."""
        return np.vstack([self.edges[edge][2][:-1] for edge in face])


def _swept(lines: Sequence[Floats]) -> list[float]:
    """The area each line sweeps over, seen from the origin: counter-clockwise (y up) positive."""
    x, y = np.concatenate(lines).T
    count = np.array([len(line) for line in lines])
    first = np.cumsum(count) - count
    doubled = np.append(x[:-1] * y[1:] - x[1:] * y[:-1], 0.0)
    doubled[first + count - 1] = 0.0  # from one line to the next
    return list((np.add.reduceat(doubled, first) / 2.0).tolist())


def _angles(steps: Floats) -> list[float]:
    return list(np.arctan2(steps[:, 1], steps[:, 0]).tolist())


def polygons_of(loops: Sequence[Floats]) -> list[Polygon]:
    """Counter-clockwise loops (y up) are outlines, the others holes in the one that holds them."""
    outer: list[Floats] = []
    holes: list[Floats] = []
    for loop in loops:
        if len(loop) < 3:
            continue
        x, y = loop.T
        area = float(x[:-1] @ y[1:] - x[1:] @ y[:-1] + x[-1] * y[0] - x[0] * y[-1])
        (outer if area > 0 else holes).append(loop)
    shells = np.array([Polygon(loop) for loop in outer], dtype=object)
    if not holes:
        return list(shells)
    inside: list[list[Floats]] = [[] for _ in shells]
    filled = np.array([Polygon(hole) for hole in holes], dtype=object)
    shapely.prepare(shells)
    size = shapely.area(shells)
    # what fills a hole contains its middle too, and is no larger
    holds = shapely.contains(shells[:, None], shapely.point_on_surface(filled))
    holds &= size[:, None] > shapely.area(filled) * (1.0 + HAIR)
    for hole, within in zip(holes, holds.T, strict=True):
        around = np.flatnonzero(within)
        if not len(around):
            return []
        inside[int(around[size[around].argmin()])].append(hole)
    return [Polygon(loop, own) for loop, own in zip(outer, inside, strict=True)]


def without_slits(piece: Polygon) -> Polygon | None:
    """The polygon without edges it runs along both ways; None where what is left is no polygon."""
    loops = [shapely.get_coordinates(ring)[:-1] for ring in (piece.exterior, *piece.interiors)]
    here = np.concatenate([loop @ (1.0, 1.0j) for loop in loops])
    if len(np.unique(here)) == len(here):
        return piece
    there = np.concatenate([np.roll(loop, -1, axis=0) @ (1.0, 1.0j) for loop in loops])
    both = set(zip(here.tolist(), there.tolist(), strict=True))
    once = [(a, b) for a, b in zip(here.tolist(), there.tolist(), strict=True) if (b, a) not in both]
    if len(once) == len(here):
        return piece
    edges = [(a, b, np.array([[a.real, a.imag], [b.real, b.imag]])) for a, b in once]
    graph = Graph.of(edges)
    left = polygons_of([graph.loop(face) for face in graph.faces()])
    return left[0] if left else None
