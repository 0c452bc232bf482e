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
CRUMB = 0.005  # of the whole's mean thickness squared: nor is what is smaller than this
SHORTEST_PX = 0.5  # no cut is shorter: that is a tip's last half pixel
SNAP_PX = 1e-3  # a cut that ends this near a vertex ends on it
DOUBLED = 0.1  # of its length: a cut whose middle lies nearer another's than this is the same
TILES = 1e-6  # pieces add up to the whole but for this share, else a cut was not sound
LEAST_PIECE = 0.45  # of a cut's length squared: what a cut leaves smaller than this is no piece of its own


@dataclass(frozen=True, slots=True)
class Cut:
    """A straight cut across a region from one place on its outline to another."""

    start: Place
    end: Place

    def points(self, rings: Rings) -> Floats:
        """Its two ends, (2, 2)."""
        return np.array([rings.point(*self.start), rings.point(*self.end)])


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
    known: dict[tuple[int, float, float], Floats] = {}
    kept = _sound(whole.measured, rings, [Cut(_reduced(rings, c.start), _reduced(rings, c.end)) for c in cuts])
    while kept:
        places = _places(rings, kept)
        measured = _polygons(_loops(rings, own_rings, kept, places, known))
        if abs(sum(piece.area for piece in measured) - whole.measured.area) > TILES * whole.measured.area:
            kept = kept[:-1]
            continue
        slivers = _slivers(measured, kept, places, CRUMB * (4.0 * whole.outline.area / whole.outline.length) ** 2)
        if not slivers:
            every = np.vstack([whole.cuts, *places.values()])
            alone = len(measured) == 1
            outlines = [whole.outline if alone else _without_slits(piece) for piece in measured]
            return tuple(
                Piece(outline, piece, _on(piece, every)) for outline, piece in zip(outlines, measured, strict=True)
            )
        kept = [cut for i, cut in enumerate(kept) if i not in slivers]
    return (whole,)


def _places(rings: Rings, cuts: Sequence[Cut]) -> dict[Place, Floats]:
    """Where the cuts' ends lie."""
    every = sorted({place for cut in cuts for place in (cut.start, cut.end)})
    return dict(zip(every, on_grid(np.array([rings.point(*place) for place in every])), strict=True))


def _without_slits(piece: Polygon) -> Polygon:
    """The polygon without edges it runs along both ways."""
    if len(np.unique(_mixed(shapely.get_coordinates(piece)))) == shapely.get_num_coordinates(piece) - len(
        shapely.get_rings(piece)
    ):
        return piece
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
    """Cuts that run inside, clear of the outline, and neither cross nor double an earlier one."""
    ends = np.array([cut.points(rings) for cut in cuts])
    start, end = ends[:, 0], ends[:, 1]
    span, middle = end - start, (start + end) / 2.0
    length = np.hypot(*span.T)
    shapely.prepare(outline)
    inner = shapely.linestrings(np.stack([start + span * INSET, end - span * INSET], axis=1))
    depth = shapely.distance(shapely.points(middle), outline.boundary)
    sound = (length > SHORTEST_PX) & (depth > LEAST_DEPTH * length) & shapely.contains_properly(outline, inner)
    kept: list[int] = []
    at, long = (middle @ (1.0, 1.0j)).tolist(), length.tolist()
    for i in np.flatnonzero(sound).tolist():
        near = [k for k in kept if abs(at[k] - at[i]) < (long[k] + long[i]) / 2.0]
        doubled = any(abs(at[k] - at[i]) < DOUBLED * max(long[k], long[i]) for k in near)
        if not doubled and not any(shapely.crosses(inner[k], inner[i]) for k in near):
            kept.append(i)
    return [cuts[i] for i in kept]


def _on(piece: Polygon, ends: Floats) -> Floats:
    """Those of the points that are vertices of a piece."""
    left, top, right, bottom = piece.bounds
    x, y = ends.T
    near = ends[(x >= left) & (x <= right) & (y >= top) & (y <= bottom)]
    rim = shapely.get_coordinates(piece) @ (1.0, 1.0j)
    return np.asarray(near[((near @ (1.0, 1.0j))[:, None] == rim).any(axis=1)])


def _mixed(points: Floats) -> Floats:
    """A number for each point that two different points hardly share."""
    return np.asarray(points @ (1.0, math.pi))


def _slivers(pieces: list[Polygon], cuts: Sequence[Cut], places: dict[Place, Floats], crumb: float) -> set[int]:
    """For each piece too small for the longest cut on it, or no more than a crumb of the whole, that cut."""
    ends = [(_complex(places[cut.start]), _complex(places[cut.end])) for cut in cuts]
    length = [abs(one - two) for one, two in ends]
    found = set()
    for piece in pieces:
        if piece.area >= max(LEAST_PIECE * max(length) ** 2, crumb):
            continue
        rim = set((shapely.get_coordinates(piece) @ (1.0, 1.0j)).tolist())
        own = [(length[i], i) for i, (one, two) in enumerate(ends) if one in rim and two in rim]
        if own and piece.area < max(LEAST_PIECE * max(own)[0] ** 2, crumb):
            found.add(max(own)[1])
    return found


def _complex(point: Floats) -> complex:
    return complex(float(point[0]), float(point[1]))


def _loops(
    rings: Rings,
    own_rings: Sequence[int],
    cuts: Sequence[Cut],
    places: dict[Place, Floats],
    known: dict[tuple[int, float, float], Floats],
) -> list[Floats]:
    """Follow the outline and both sides of the cuts, keeping the inside on the left. known: stretches seen before."""
    edges: list[tuple[Place, Place, Floats]] = []
    loops = []
    for ring in own_rings:
        stops = sorted(way for at, way in places if at == ring)
        if not stops:
            loops.append(rings.at(ring, rings.corners[ring]))
        for way, after in zip(stops, [*stops[1:], *stops[:1]], strict=True):
            if (ring, way, after) not in known:
                until = after if after > way else after + float(rings.length[ring])
                inner = rings.at(ring, rings.between(ring, way, until))
                known[ring, way, after] = np.vstack([places[ring, way], inner, places[ring, after]])
            edges.append(((ring, way), (ring, after), known[ring, way, after]))
    for cut in cuts:
        a, b = cut.start, cut.end
        edges += [(a, b, np.vstack([places[a], places[b]])), (b, a, np.vstack([places[b], places[a]]))]
    return loops + _faces(edges)


def on_grid(xy: Floats) -> Floats:
    """Points on a grid so fine that it does not show, and on which sums of pixels are exact."""
    return np.asarray(np.round(xy * GRID_PER_PX) / GRID_PER_PX)


def _reduced(rings: Rings, place: Place) -> Place:
    """The place within one turn of its ring, on a vertex where one is near."""
    ring, length = place[0], float(rings.length[place[0]])
    way = place[1] % length
    nearest = rings.nearest_vertex(ring, way)
    way = nearest if abs(nearest - way) < SNAP_PX else way
    return ring, 0.0 if way >= length else way


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
        area = float(x[:-1] @ y[1:] - x[1:] @ y[:-1] + x[-1] * y[0] - x[0] * y[-1])
        (outer if area > 0 else holes).append(loop)
    shells = [Polygon(loop) for loop in outer]
    if not holes:
        return shells
    inside: list[list[Floats]] = [[] for _ in shells]
    middles = shapely.point_on_surface([Polygon(hole) for hole in holes])
    shapely.prepare(shells)
    holds = shapely.contains(np.array(shells, dtype=object)[:, None], middles)
    for hole, within in zip(holes, holds.T, strict=True):
        around = np.flatnonzero(within).tolist()
        if not around:
            return []
        inside[min(around, key=lambda i: shells[i].area)].append(hole)
    return [Polygon(loop, own) for loop, own in zip(outer, inside, strict=True)]
