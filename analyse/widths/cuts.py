"""Cutting regions along straight cuts into pieces that share them exactly and add up to them exactly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from analyse.values import Floats
from analyse.widths.faces import Edge, Graph, polygons_of, without_slits
from analyse.widths.rings import Rings
from analyse.widths.samples import Ints

Place = tuple[int, float]  # a ring and the way along it

GRID_PER_PX = 2.0**28
LEAST_DEPTH = 0.05  # of its length: a cut whose middle lies nearer the outline than this runs along it
INSET = 1e-3  # of its length: a cut without this much at its ends must lie inside
CRUMB = 0.005  # of the whole's mean thickness squared: nor is what is smaller than this
SHORTEST_PX = 0.5  # no cut is shorter: that is a tip's last half pixel
SNAP_PX = 1e-3  # a cut that ends this near a vertex ends on it,
SAME_PX = 1e-6  # and one that ends this near another's end ends there
DOUBLED = 0.1  # of its length: a cut whose middle lies nearer another's than this is the same
TILES = 1e-6  # pieces add up to the whole but for this share, else a cut was not sound
LEAST_PIECE = 0.45  # of a cut's length squared: what a cut leaves smaller than this is no piece of its own


@dataclass(frozen=True, slots=True)
class Cut:
    """A straight cut across a region from one place on its outline to another."""

    start: Place
    end: Place


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A piece of a region. cuts: (C, 2) the ends of the cuts on its outline.

    measured: the outline with those cuts in it that do not part it, such as the one that opens a ring to a run.
    """

    outline: Polygon
    measured: Polygon
    cuts: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Placed:
    """Cuts with their ends' places and points: whole (C,) which region; ring (C, 2), way (C, 2), points (C, 2, 2)."""

    whole: Ints
    ring: Ints
    way: Floats
    points: Floats

    def places(self, cut: int) -> tuple[Place, Place]:
        (one, two), (here, there) = self.ring[cut].tolist(), self.way[cut].tolist()
        return (one, here), (two, there)


def uncut(outline: Polygon) -> Piece:
    """A region as one piece."""
    return Piece(outline, outline, np.empty((0, 2)))


def on_grid(xy: Floats) -> Floats:
    """Points on a grid so fine that it does not show, and on which sums of pixels are exact."""
    return np.asarray(np.round(xy * GRID_PER_PX) / GRID_PER_PX)


def split(
    wholes: Sequence[Piece], rings: Rings, own_rings: Sequence[Sequence[int]], cuts: Sequence[Sequence[Cut]]
) -> list[tuple[Piece, ...]]:
    """The pieces of each whole; cuts that cross an earlier one, leave it or leave a sliver are left out."""
    pieces: list[tuple[Piece, ...]] = [(whole,) for whole in wholes]
    placed = _placed(rings, cuts)
    sound: dict[int, list[int]] = {}
    for cut in _sound([whole.measured for whole in wholes], placed):
        sound.setdefault(int(placed.whole[cut]), []).append(cut)
    for i, kept in sound.items():
        pieces[i] = _split(wholes[i], rings, own_rings[i], placed, kept)
    return pieces


def _placed(rings: Rings, cuts: Sequence[Sequence[Cut]]) -> _Placed:
    whole = np.repeat(np.arange(len(cuts)), [len(own) for own in cuts])
    table = np.array([(*cut.start, *cut.end) for own in cuts for cut in own]).reshape(-1, 4)
    ring = table[:, 0::2].astype(np.int64)
    way = _joined(ring.ravel(), rings.snapped(ring, table[:, 1::2], SNAP_PX).ravel()).reshape(-1, 2)
    return _Placed(whole, ring, way, on_grid(rings.at(ring, way)))


def _joined(ring: Ints, way: Floats) -> Floats:
    """The ways, those that differ on their ring by no more than rounding made the same."""
    order = np.lexsort((way, ring))
    fresh = np.append(True, (np.diff(way[order]) > SAME_PX) | (np.diff(ring[order]) != 0))[: len(order)]
    first = np.maximum.accumulate(np.where(fresh, np.arange(len(order)), 0))
    joined = np.empty_like(way)
    joined[order] = way[order[first]]
    return joined


def _sound(outlines: Sequence[Polygon], placed: _Placed) -> list[int]:
    """Cuts that run inside, clear of the outline, and neither cross nor double an earlier one of their region."""
    start, end = placed.points[:, 0], placed.points[:, 1]
    span, middle = end - start, (start + end) / 2.0
    length = np.hypot(*span.T)
    own = np.array(outlines, dtype=object)
    used = np.unique(placed.whole)
    shapely.prepare(own[used])
    rims = np.full(len(own), None)
    rims[used] = shapely.boundary(own[used])
    inner = shapely.linestrings(np.stack([start + span * INSET, end - span * INSET], axis=1))
    depth = shapely.distance(shapely.points(middle), rims[placed.whole])
    sound = (length > SHORTEST_PX) & (depth > LEAST_DEPTH * length)
    sound &= shapely.contains_properly(own[placed.whole], inner)
    kept: list[int] = []
    at, long, whole = (middle @ (1.0, 1.0j)).tolist(), length.tolist(), placed.whole.tolist()
    for i in np.flatnonzero(sound).tolist():
        near = [k for k in kept if whole[k] == whole[i] and abs(at[k] - at[i]) < (long[k] + long[i]) / 2.0]
        doubled = any(abs(at[k] - at[i]) < DOUBLED * max(long[k], long[i]) for k in near)
        if not doubled and not (near and shapely.crosses(inner[near], inner[i]).any()):
            kept.append(i)
    return kept


def _split(whole: Piece, rings: Rings, own_rings: Sequence[int], placed: _Placed, kept: list[int]) -> tuple[Piece, ...]:
    """The pieces of one whole, fewer cuts taken until all that is left is sound."""
    crumb = CRUMB * (4.0 * whole.outline.area / whole.outline.length) ** 2
    length = np.abs((placed.points[kept, 1] - placed.points[kept, 0]) @ (1.0, 1.0j))
    graph, alone = _graph(rings, own_rings, placed, kept)
    left = set(range(len(kept)))
    while left:
        faces = graph.faces({2 * cut + side for cut in range(len(kept)) if cut not in left for side in (0, 1)})
        slivers = _slivers(graph, faces, length, crumb)
        if slivers:
            left -= slivers
            continue
        measured = polygons_of(alone + [graph.loop(face) for face in faces])
        if abs(sum(piece.area for piece in measured) - whole.measured.area) <= TILES * whole.measured.area:
            every = np.vstack([whole.cuts, placed.points[[kept[cut] for cut in sorted(left)]].reshape(-1, 2)])
            outlines = [whole.outline] if len(measured) == 1 else [without_slits(piece) for piece in measured]
            pieces = tuple(
                Piece(outline, piece, _on(piece, every))
                for outline, piece in zip(outlines, measured, strict=True)
                if outline is not None
            )
            if len(pieces) == len(measured):
                return pieces
        left.discard(max(left))
    return (whole,)


def _on(piece: Polygon, ends: Floats) -> Floats:
    """Those of the points that are vertices of a piece, each once."""
    corners = set(map(tuple, shapely.get_coordinates(piece).tolist()))
    return np.array(sorted(corners.intersection(map(tuple, ends.tolist()))), dtype=float).reshape(-1, 2)


def _slivers(graph: Graph, faces: Sequence[list[int]], length: Floats, crumb: float) -> set[int]:
    """For each face too small for the longest cut on it, or no more than a crumb of the whole, that cut."""
    found = set()
    for face in faces:
        own = [edge // 2 for edge in face if edge < 2 * len(length)]
        if not own:
            continue
        longest = max(own, key=lambda cut: (length[cut], -cut))
        if 0.0 < sum(graph.area[edge] for edge in face) < max(LEAST_PIECE * float(length[longest]) ** 2, crumb):
            found.add(longest)
    return found


def _graph(rings: Rings, own_rings: Sequence[int], placed: _Placed, kept: Sequence[int]) -> tuple[Graph, list[Floats]]:
    """Both sides of each cut in turn, then the outline's stretches between them, the inside on the left.

    Also the rings that no cut touches.
    """
    points: dict[Place, Floats] = {}
    edges: list[Edge] = []
    for cut in kept:
        (a, b), (here, there) = placed.places(cut), placed.points[cut]
        points[a], points[b] = here, there
        edges += [(a, b, placed.points[cut]), (b, a, placed.points[cut, ::-1])]
    stops: dict[int, list[float]] = {}
    for number, way in sorted(points):
        stops.setdefault(number, []).append(way)
    spans = [
        (number, way, after)
        for number, ways in stops.items()
        for way, after in zip(ways, [*ways[1:], ways[0]], strict=True)
    ]
    table = np.array(spans)
    ring, start, end = table[:, 0].astype(np.int64), table[:, 1], table[:, 2]
    inner, which = rings.between(ring, start, np.where(end > start, end, end + rings.length[ring]))
    xy = rings.at(ring[which], inner)
    bounds = np.searchsorted(which, np.arange(len(spans) + 1)).tolist()
    for (own, way, after), low, high in zip(spans, bounds[:-1], bounds[1:], strict=True):
        a, b = (own, way), (own, after)
        edges.append((a, b, np.vstack([points[a], xy[low:high], points[b]])))
    return Graph.of(edges), [rings.vertices(number) for number in own_rings if number not in stops]
