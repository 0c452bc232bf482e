"""Everything of the widths that needs no size: measured once for a drawing and kept with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from weakref import WeakKeyDictionary

import numpy as np
import shapely
from shapely import Polygon

from analyse.values import Drawing, Floats
from analyse.widths.centreline import Branch, branches_of
from analyse.widths.corners import corner_cuts, neck_cuts
from analyse.widths.cuts import Cut, Piece, Place, on_grid, split, uncut
from analyse.widths.junctions import Meeting, meeting_of, mouth_cuts, strokes_of
from analyse.widths.medial import Medial, medial_axis
from analyse.widths.paths import main_path
from analyse.widths.rings import Rings
from analyse.widths.samples import boundary_of
from analyse.widths.sides import Run, Track, run_of, sliced, track_of
from analyse.widths.triangulation import triangulate

MARGIN = 0.15  # of the design's longer side: how far outside it the background is looked at
CUTTING_ROUNDS = 3  # what was cut may hold a junction or a corner that only shows by itself


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """A piece of a region that can be followed in one run (or, where it cannot, is taken as a body).

    outline: in px. axes: its branches' x, y, width. track: its main run, None for a compact shape. pole: x, y, width
    of its largest disc. cuts: ends of the cuts on its outline.
    """

    outline: Polygon
    axes: tuple[Floats, ...]
    track: Track | None
    rings: Rings
    pole: Floats
    cuts: Floats
    _run: list[Run] = field(default_factory=list)

    @property
    def run(self) -> Run:
        """Its spine with both sides out to the ends; worked out when first asked for."""
        if not self._run:
            whole = (True, True)
            self._run.append(
                sliced(self.outline) if self.track is None else run_of(self.track, self.rings, whole, self.cuts)
            )
        return self._run[0]

    @property
    def covered(self) -> float:
        """Share of the outline's area that lies between the run's two sides."""
        run = self.run
        loops = [run.left, run.right[::-1]]
        areas = [_loop_area(loop) for loop in loops] if run.closed else [_loop_area(np.vstack(loops))]
        return abs(sum(areas)) / float(self.outline.area)


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """One polygon measured: a region, or a piece of the background (`region` is None).

    branches: its axis. lines: the same as runs that go on straight through junctions. pieces: its strokes and bodies,
    which tile it. pole: x, y, width of its largest disc.
    """

    outline: Polygon
    region: int | None
    branches: tuple[Branch, ...]
    lines: tuple[Track, ...]
    pieces: tuple[Stroke, ...]
    pole: Floats
    rings: Rings


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


def _loop_area(loop: Floats) -> float:
    x, y = loop.T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2.0)


def _measured(drawing: Drawing) -> Measures:
    outlines = [shapely.transform(region.outline, on_grid) for region in drawing.regions]
    count = len(outlines)
    axes = _axes(outlines + _background(outlines))
    strokes, lines = _cut_up(axes.first(count), [uncut(outline) for outline in outlines], CUTTING_ROUNDS)
    none: tuple[Track, ...] = ()
    return Measures(
        tuple(
            Shape(outline, i, tuple(own), lines[i], strokes[i], axes.poles[i], axes.rings)
            if i < count
            else Shape(outline, None, tuple(own), none, (), axes.poles[i], axes.rings)
            for i, (outline, own) in enumerate(zip(axes.outlines, axes.branches, strict=True))
        )
    )


@dataclass(frozen=True, slots=True, eq=False)
class Axes:
    """Outlines with their axes. branches: each outline's. radius: of all nodes' discs. poles: largest discs."""

    outlines: Sequence[Polygon]
    branches: Sequence[list[Branch]]
    rings: Rings
    radius: Floats
    poles: Floats

    def first(self, count: int) -> Axes:
        """Those of the first so many outlines."""
        return Axes(self.outlines[:count], self.branches[:count], self.rings, self.radius, self.poles[:count])


def _cut_up(
    axes: Axes, pieces: Sequence[Piece], rounds: int
) -> tuple[list[tuple[Stroke, ...]], list[tuple[Track, ...]]]:
    """Cut every piece where strokes meet, turn or swell; what was cut is measured anew by itself, and cut again.

    Returns its strokes, and the lines its axis makes before it was cut.
    """
    meetings = [meeting_of(own, axes.radius) for own in axes.branches]
    lines = [
        tuple(track_of(legs, axes.rings) for legs in strokes_of(own, meeting))
        for own, meeting in zip(axes.branches, meetings, strict=True)
    ]
    if rounds == 0:
        return [(_stroke(axes, i, piece),) for i, piece in enumerate(pieces)], lines
    parts = _parts(axes, pieces, meetings, lines)
    fresh = [part for own, piece in zip(parts, pieces, strict=True) if own[0] is not piece for part in own]
    again: list[tuple[Stroke, ...]] = []
    if fresh:
        again, _ = _cut_up(_axes_apart(fresh), fresh, rounds - 1)
    measured = iter(again)
    strokes: list[tuple[Stroke, ...]] = []
    for i, (piece, cut) in enumerate(zip(pieces, parts, strict=True)):
        if cut[0] is piece:
            strokes.append((_stroke(axes, i, piece),))
        else:
            strokes.append(tuple(stroke for _ in cut for stroke in next(measured)))
    return strokes, lines


def _axes(outlines: Sequence[Polygon]) -> Axes:
    medial = medial_axis(triangulate(boundary_of(outlines)))
    branches: list[list[Branch]] = [[] for _ in outlines]
    for branch in branches_of(medial):
        branches[branch.polygon].append(branch)
    return Axes(outlines, branches, medial.rings, medial.radius, _poles(medial, outlines))


def _axes_apart(pieces: Sequence[Piece]) -> Axes:
    """Axes of pieces that share edges but not all vertices on them: moved apart, measured, and moved back."""
    boxes = shapely.bounds(np.array([piece.measured for piece in pieces], dtype=object))
    room = np.ceil(boxes[:, 2] - boxes[:, 0]) + np.ceil((boxes[:, 2] - boxes[:, 0]) * MARGIN) + 2.0
    shift = np.cumsum(room) - room - np.floor(boxes[:, 0])
    moved = [
        shapely.transform(piece.measured, lambda xy, by=by: xy + np.array([by, 0.0]))
        for piece, by in zip(pieces, shift.tolist(), strict=True)
    ]
    axes = _axes(moved)
    back = np.zeros((len(pieces), 3))
    back[:, 0] = shift
    rings = replace(
        axes.rings, xy=tuple(xy - back[o, :2] for xy, o in zip(axes.rings.xy, axes.rings.owners, strict=True))
    )
    branches = [[replace(b, axis=b.axis - back[i]) for b in own] for i, own in enumerate(axes.branches)]
    return Axes([piece.measured for piece in pieces], branches, rings, axes.radius, axes.poles - back)


def _background(outlines: list[Polygon]) -> list[Polygon]:
    union = shapely.union_all(np.array(outlines, dtype=object))
    left, top, right, bottom = union.bounds
    margin = MARGIN * max(right - left, bottom - top)
    free = shapely.box(left - margin, top - margin, right + margin, bottom + margin).difference(union)
    return [piece for piece in shapely.get_parts(free) if piece.area > 1e-6]


def _poles(medial: Medial, outlines: Sequence[Polygon]) -> Floats:
    """Centre and width of each polygon's largest disc."""
    owner, radius = medial.mesh.owner, medial.radius
    order = np.lexsort((radius, owner))
    last = order[np.append(owner[order][1:] != owner[order][:-1], True)]
    best = dict(zip(owner[last].tolist(), last.tolist(), strict=True))
    poles = np.zeros((len(outlines), 3))
    for i, outline in enumerate(outlines):
        centre = medial.centre[best[i]] if i in best else np.full(2, np.nan)
        if not (np.isfinite(centre).all() and shapely.contains_xy(outline, *centre)):
            centre = shapely.get_coordinates(shapely.point_on_surface(outline))[0]
        poles[i] = *centre, 2.0 * shapely.distance(outline.boundary, shapely.Point(*centre))
    return poles


def _parts(
    axes: Axes, pieces: Sequence[Piece], meetings: Sequence[Meeting], lines: Sequence[tuple[Track, ...]]
) -> list[tuple[Piece, ...]]:
    rings = axes.rings
    own_rings: dict[int, list[int]] = {}
    for ring, owner in enumerate(rings.owners):
        own_rings.setdefault(owner, []).append(ring)
    parts = []
    for i, piece in enumerate(pieces):
        cuts = mouth_cuts(axes.branches[i], meetings[i], rings)
        for line in lines[i]:
            cuts += corner_cuts(line, rings)
        ends = {place for cut in cuts for place in (cut.start, cut.end)}
        for branch in axes.branches[i]:
            cuts += [cut for cut in neck_cuts(branch) if not _shares(cut, ends, rings)]
        parts.append(split(piece, rings, own_rings.get(i, []), cuts) if cuts else (piece,))
    return parts


def _shares(cut: Cut, ends: set[Place], rings: Rings) -> bool:
    """Whether a cut ends where one of the others does."""
    points = cut.points(rings)
    near = 0.1 * float(np.hypot(*(points[0] - points[1])))
    return any(ring == other and abs(way - at) < near for ring, way in (cut.start, cut.end) for other, at in ends)


def _stroke(axes: Axes, index: int, piece: Piece) -> Stroke:
    track, branches = None, axes.branches[index]
    if branches:
        path, closed = main_path(branches)
        track = track_of(path, axes.rings, closed=closed)
    shapes = tuple(b.axis for b in branches)
    return Stroke(piece.outline, shapes, track, axes.rings, axes.poles[index], piece.cuts)
