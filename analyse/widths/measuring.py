"""Everything of the widths that needs no size: measured once for a drawing and kept with it."""

from __future__ import annotations

from collections import Counter
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

    branches: its axis. lines: the same as runs that go on straight through junctions. free: which of their ends are
    ends, not junctions. whole: itself as one stroke.
    """

    outline: Polygon
    region: int | None
    branches: tuple[Branch, ...]
    lines: tuple[Track, ...]
    whole: Stroke
    rings: Rings
    free: tuple[tuple[bool, bool], ...] = ()
    _runs: list[tuple[Run, ...]] = field(default_factory=list)

    @property
    def runs(self) -> tuple[Run, ...]:
        """Its lines as spines, out to their free ends; worked out when first asked for."""
        if not self._runs:
            none = np.empty((0, 2))
            each = zip(self.lines, self.free, strict=True)
            self._runs.append(tuple(run_of(line, self.rings, free, none) for line, free in each) or (self.whole.run,))
        return self._runs[0]

    @property
    def pole(self) -> Floats:
        """x, y, width of its largest disc."""
        return self.whole.pole


@dataclass(frozen=True, slots=True, eq=False)
class Measures:
    """The size-free measuring of a drawing: its regions in order, and the background's pieces."""

    regions: tuple[Shape, ...]
    background: tuple[Shape, ...]
    _axes: Axes
    _meetings: tuple[Meeting, ...]
    _pieces: dict[int, tuple[Stroke, ...]] = field(default_factory=dict)

    def pieces(self, wanted: Sequence[int]) -> list[tuple[Stroke, ...]]:
        """For each of these regions its strokes and bodies, which tile it; worked out when first asked for."""
        new = [i for i in dict.fromkeys(wanted) if i not in self._pieces]
        if new:
            axes = self._axes.pick(new)
            whole = [uncut(outline) for outline in axes.outlines]
            lines = [self.regions[i].lines for i in new]
            cut = _cut_up(axes, whole, [self._meetings[i] for i in new], lines, CUTTING_ROUNDS)
            self._pieces.update(zip(new, cut, strict=True))
        return [self._pieces[i] for i in wanted]


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
    meetings = tuple(meeting_of(own, axes.radius) for own in axes.branches[:count])
    shapes = []
    for i, (outline, own) in enumerate(zip(axes.outlines, axes.branches, strict=True)):
        lines = strokes_of(own, meetings[i]) if i < count else ()
        tracks = tuple(track_of(legs, axes.rings) for legs in lines)
        meets = Counter(node for branch in own for node in branch.ends)
        free = tuple((meets[legs[0].ends[0]] == 1, meets[legs[-1].ends[1]] == 1) for legs in lines)
        region = i if i < count else None
        shapes.append(Shape(outline, region, tuple(own), tracks, _stroke(axes, i, uncut(outline)), axes.rings, free))
    return Measures(tuple(shapes[:count]), tuple(shapes[count:]), axes, meetings)


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


def _cut_up(
    axes: Axes,
    pieces: Sequence[Piece],
    meetings: Sequence[Meeting],
    lines: Sequence[tuple[Track, ...]],
    rounds: int,
) -> list[tuple[Stroke, ...]]:
    """Cut every piece where strokes meet, turn or swell; what was cut is measured anew by itself, and cut again."""
    if rounds == 0:
        return [(_stroke(axes, i, piece),) for i, piece in enumerate(pieces)]
    parts = _parts(axes, pieces, meetings, lines)
    fresh = [part for own, piece in zip(parts, pieces, strict=True) if own[0] is not piece for part in own]
    again: list[tuple[Stroke, ...]] = []
    if fresh:
        deeper = _axes_apart(fresh)
        meets = [meeting_of(own, deeper.radius) for own in deeper.branches]
        runs = [
            tuple(track_of(legs, deeper.rings) for legs in strokes_of(own, meeting))
            for own, meeting in zip(deeper.branches, meets, strict=True)
        ]
        again = _cut_up(deeper, fresh, meets, runs, rounds - 1)
    measured = iter(again)
    strokes: list[tuple[Stroke, ...]] = []
    for i, (piece, cut) in enumerate(zip(pieces, parts, strict=True)):
        if cut[0] is piece:
            strokes.append((_stroke(axes, i, piece),))
        else:
            strokes.append(tuple(stroke for _ in cut for stroke in next(measured)))
    return strokes


def _axes(outlines: Sequence[Polygon]) -> Axes:
    medial = medial_axis(triangulate(boundary_of(outlines)))
    branches: list[list[Branch]] = [[] for _ in outlines]
    for branch in branches_of(medial):
        branches[branch.polygon].append(branch)
    own_rings: list[list[int]] = [[] for _ in outlines]
    for ring, owner in enumerate(medial.rings.owners):
        own_rings[owner].append(ring)
    return Axes(outlines, branches, medial.rings, own_rings, medial.radius, _poles(medial, outlines))


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
    outlines = [piece.measured for piece in pieces]
    return Axes(outlines, branches, rings, axes.own_rings, axes.radius, axes.poles - back)


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
        if outline.is_empty:
            continue
        centre = medial.centre[best[i]] if i in best else np.full(2, np.nan)
        if not (np.isfinite(centre).all() and shapely.contains_xy(outline, *centre)):
            centre = shapely.get_coordinates(shapely.point_on_surface(outline))[0]
        poles[i] = *centre, 2.0 * shapely.distance(outline.boundary, shapely.Point(*centre))
    return poles


def _parts(
    axes: Axes, pieces: Sequence[Piece], meetings: Sequence[Meeting], lines: Sequence[tuple[Track, ...]]
) -> list[tuple[Piece, ...]]:
    rings = axes.rings
    parts = []
    for i, piece in enumerate(pieces):
        cuts = mouth_cuts(axes.branches[i], meetings[i], rings)
        for line in lines[i]:
            cuts += corner_cuts(line, rings)
        ends = {place for cut in cuts for place in (cut.start, cut.end)}
        for branch in axes.branches[i]:
            cuts += [cut for cut in neck_cuts(branch) if not _shares(cut, ends, rings)]
        parts.append(split(piece, rings, axes.own_rings[i], cuts) if cuts else (piece,))
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
