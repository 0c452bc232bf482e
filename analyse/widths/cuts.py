"""Cutting a region along straight cuts into pieces that share them exactly and add up to it exactly."""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from analyse.values import Floats
from analyse.widths.rings import Rings

Place = tuple[int, float]  # a ring and the way along it

GRID_PER_PX = 2.0**20
LEAST_DEPTH = 0.05  # of its length: a cut whose middle lies nearer the outline than this runs along it
INSET = 1e-3  # of its length: a cut without this much at its ends must lie inside
SNAP_PX = 1e-3  # a cut that ends this near a vertex ends on it
TILES = 1e-6  # pieces add up to the whole but for this share, else a cut was not sound
LEAST_PIECE = 0.45  # of a cut's length squared: what a cut leaves smaller than this is no piece of its own


@dataclass(frozen=True, slots=True)
class Cut:
    """A straight cut across a region from one place on its outline to another."""

    start: Place
    end: Place

    def points(self, rings: Rings) -> Floats:
        """Its two ends, (2, 2)."""
        return np.vstack([rings.at(ring, np.array([way])) for ring, way in (self.start, self.end)])


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A piece of a region. cuts: (C, 2) the ends of the cuts on its outline.

    measured: the outline with those cuts in it that do not part it, such as the one that opens a ring to a run.
    """

    outline: Polygon
    measured: Polygon
    cuts: Floats


def uncut(outline: Polygon) -> Piece:
    """A region as one piece."""
    return Piece(outline, outline, np.empty((0, 2)))


def split(whole: Piece, rings: Rings, own_rings: Sequence[int], cuts: Sequence[Cut]) -> tuple[Piece, ...]:
    """The pieces of a piece; cuts that cross an earlier one, leave it or leave a sliver are left out."""
    kept = _sound(whole.measured, rings, cuts)
    while kept:
        measured = _polygons(_loops(rings, own_rings, kept))
        whole_area = abs(sum(piece.area for piece in measured) - whole.measured.area) < TILES * whole.measured.area
        sliver = _sliver(measured, [cut.points(rings) for cut in kept]) if whole_area else len(kept) - 1
        if sliver is None:
            every = np.vstack([whole.cuts, *(cut.points(rings) for cut in kept)])
            alone = len(measured) == 1
            outlines = [whole.outline if alone else _without_slits(piece) for piece in measured]
            return tuple(
                Piece(outline, piece, _on(piece, every)) for outline, piece in zip(outlines, measured, strict=True)
            )
        kept = [cut for i, cut in enumerate(kept) if i != sliver]
    return (whole,)


def _without_slits(piece: Polygon) -> Polygon:
    """The polygon without edges it runs along both ways."""
    loops = [shapely.get_coordinates(ring)[:-1] for ring in (piece.exterior, *piece.interiors)]
    here = np.concatenate([loop @ (1.0, 1.0j) for loop in loops])
    there = np.concatenate([np.roll(loop, -1, axis=0) @ (1.0, 1.0j) for loop in loops])
    both = set(zip(here.tolist(), there.tolist(), strict=True))
    once = [(a, b) for a, b in zip(here.tolist(), there.tolist(), strict=True) if (b, a) not in both]
    if len(once) == len(here):
        return piece
    points = {a: np.array([a.real, a.imag]) for pair in once for a in pair}
    return _polygons(_faces([(a, b, np.vstack([points[a], points[b]])) for a, b in once]))[0]


def _sound(outline: Polygon, rings: Rings, cuts: Sequence[Cut]) -> list[Cut]:
    kept: list[Cut] = []
    lines: list[shapely.LineString] = []
    shapely.prepare(outline)
    for cut in cuts:
        start, end = cut.points(rings)
        line = shapely.LineString([start, end])
        inner = shapely.LineString([start + (end - start) * INSET, end - (end - start) * INSET])
        middle = line.interpolate(0.5, normalized=True)
        inside = line.length > 0 and bool(shapely.contains_properly(outline, inner))
        deep = inside and outline.boundary.distance(middle) > LEAST_DEPTH * line.length
        if deep and not any(line.crosses(o) or middle.distance(o) < 0.1 * line.length for o in lines):
            kept.append(cut)
            lines.append(line)
    return kept


def _on(piece: Polygon, ends: Floats) -> Floats:
    points = shapely.points(ends)
    return np.asarray(ends[shapely.distance(points, piece.boundary) < 1e-9])


def _sliver(pieces: list[Polygon], ends: list[Floats]) -> int | None:
    """The longest cut on the outline of a piece too small for it, if there is one."""
    for piece in pieces:
        own = [(float(np.hypot(*(e[0] - e[1]))), i) for i, e in enumerate(ends) if len(_on(piece, e)) == 2]
        if own and piece.area < LEAST_PIECE * max(own)[0] ** 2:
            return max(own)[1]
    return None


def _loops(rings: Rings, own_rings: Sequence[int], cuts: Sequence[Cut]) -> list[Floats]:
    """Follow the outline and both sides of the cuts, keeping the inside on the left."""
    every = {_reduced(rings, place) for cut in cuts for place in (cut.start, cut.end)}
    places = {place: on_grid(rings.at(place[0], np.array([place[1]]))[0]) for place in sorted(every)}
    edges: list[tuple[Place, Place, Floats]] = []
    loops = []
    for ring in own_rings:
        stops = sorted(way for at, way in places if at == ring)
        if not stops:
            loops.append(rings.at(ring, rings.corners[ring]))
        for way, after in zip(stops, [*stops[1:], *stops[:1]], strict=True):
            until = after if after > way else after + float(rings.length[ring])
            inner = rings.at(ring, rings.between(ring, way, until))
            edges.append(((ring, way), (ring, after), np.vstack([places[ring, way], inner, places[ring, after]])))
    for cut in cuts:
        a, b = _reduced(rings, cut.start), _reduced(rings, cut.end)
        edges += [(a, b, np.vstack([places[a], places[b]])), (b, a, np.vstack([places[b], places[a]]))]
    return loops + _faces(edges)


def on_grid(xy: Floats) -> Floats:
    """Points on a grid so fine that it does not show, and on which sums of pixels are exact."""
    return np.asarray(np.round(xy * GRID_PER_PX) / GRID_PER_PX)


def _reduced(rings: Rings, place: Place) -> Place:
    """The place within one turn of its ring, on a vertex where one is near."""
    ring, way = place
    ways = rings.ways[ring]
    way = float(np.mod(way, ways[-1]))
    nearest = float(ways[np.abs(ways - way).argmin()])
    way = nearest if abs(nearest - way) < SNAP_PX else way
    return ring, 0.0 if way >= ways[-1] else way


def _faces(edges: Sequence[tuple[Hashable, Hashable, Floats]]) -> list[Floats]:
    """Loops round the faces of a plane graph."""
    leaving: dict[Hashable, list[tuple[float, int]]] = {}
    for number, (start, _, points) in enumerate(edges):
        leaving.setdefault(start, []).append((_angle(points[1] - points[0]), number))
    unused, faces = set(range(len(edges))), []
    while unused:
        first = here = min(unused)
        parts: list[Floats] = []
        while here in unused:
            unused.discard(here)
            _, end, points = edges[here]
            parts.append(points[:-1])
            back = _angle(points[-2] - points[-1])
            # the face on the left goes on along the next edge clockwise from the way back
            here = min(leaving[end], key=lambda leave: ((back - leave[0] - 1e-12) % math.tau, leave[1]))[1]
        if here == first:
            faces.append(np.vstack(parts))
    return faces


def _angle(step: Floats) -> float:
    return math.atan2(float(step[1]), float(step[0]))


def _polygons(loops: list[Floats]) -> list[Polygon]:
    """Counter-clockwise loops (y up) are outlines, the others holes in the one that holds them."""
    outer: list[Floats] = []
    holes: list[Floats] = []
    for loop in loops:
        x, y = loop.T
        area = float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())
        (outer if area > 0 else holes).append(loop)
    if not holes:
        return [Polygon(loop) for loop in outer]
    shells = [Polygon(loop) for loop in outer]
    inside: list[list[Floats]] = [[] for _ in shells]
    for hole in holes:
        middle = shapely.point_on_surface(Polygon(hole))
        around = [i for i, shell in enumerate(shells) if shell.contains(middle)]
        if not around:
            return []
        inside[min(around, key=lambda i: shells[i].area)].append(hole)
    return [Polygon(loop, own) for loop, own in zip(outer, inside, strict=True)]
