"""Everything of the widths that needs no size: measured once for a drawing and kept with it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from weakref import WeakKeyDictionary

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from analyse.values import Drawing, Floats
from analyse.widths.axes import Axes, axes_apart, axes_of
from analyse.widths.bodies import body_of
from analyse.widths.centreline import Branch
from analyse.widths.cuts import on_grid, uncut
from analyse.widths.junctions import Meeting, meetings_of, strokes_of
from analyse.widths.profile import known_together
from analyse.widths.rings import Rings
from analyse.widths.samples import GRID_PX
from analyse.widths.sides import Run, runs_of
from analyse.widths.strokes import Stroke, cut_up, follow_together, lay, stroke_of
from analyse.widths.tracks import Track, track_of

MARGIN = 0.15  # of the design's longer side: how far outside it the background is looked at
COVERED = 0.5  # of a hole: so much lies in it,
OTHER = 0.2  # and so much of that in another colour than what surrounds its region: it is not seen through the hole
CUTTING_ROUNDS = 3  # what was cut may hold a junction or a corner that only shows by itself


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """One polygon measured: a region (what lies on it left in), or a piece of the background.

    branches: its axis. lines: the same as runs that go on straight through junctions. free: which of their ends are
    ends, not junctions. whole: itself as one stroke.
    """

    outline: Polygon
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
            none = [np.empty((0, 2))] * len(self.lines)
            self._runs.append(tuple(runs_of(self.lines, self.rings, self.free, none)) or (self.whole.run,))
        return self._runs[0]

    @property
    def branch_runs(self) -> tuple[Run, ...]:
        """Every branch as a spine of its own, those that others run through among them."""
        tracks = [track_of((branch,), self.rings) for branch in self.branches]
        inner = [(False, False)] * len(tracks)
        return tuple(runs_of(tracks, self.rings, inner, [np.empty((0, 2))] * len(tracks)))

    @property
    def pole(self) -> Floats:
        """x, y, width of its largest disc."""
        return self.whole.pole


@dataclass(frozen=True, slots=True, eq=False)
class Measures:
    """The size-free measuring of a drawing: its regions in order, and the background's pieces."""

    regions: tuple[Shape, ...]
    background: tuple[Shape, ...]
    _sources: tuple[tuple[Axes, int], ...]
    _meetings: tuple[Meeting, ...]
    _pieces: dict[int, tuple[Stroke, ...]] = field(default_factory=dict)

    def pieces(self, wanted: Sequence[int]) -> list[tuple[Stroke, ...]]:
        """For each of these regions its strokes and bodies, which tile it; worked out when first asked for."""
        new = [i for i in dict.fromkeys(wanted) if i not in self._pieces]
        for axes in {id(self._sources[i][0]): self._sources[i][0] for i in new}.values():
            self._cut([i for i in new if self._sources[i][0] is axes], axes)
        return [self._pieces[i] for i in wanted]

    def _cut(self, regions: Sequence[int], source: Axes) -> None:
        axes = source.pick([self._sources[i][1] for i in regions])
        whole = [uncut(outline) for outline in axes.outlines]
        lines = [self.regions[i].lines for i in regions]
        cut = cut_up(axes, whole, [self._meetings[i] for i in regions], lines, CUTTING_ROUNDS)
        for i, strokes in zip(regions, cut, strict=True):
            self._pieces[i] = _without(strokes, whole=self.regions[i].whole.outline, region=self.regions[i].outline)
        pieces = [stroke for i in regions for stroke in self._pieces[i]]
        lay(pieces)
        known_together(pieces)
        follow_together(pieces)


_KEPT: WeakKeyDictionary[Drawing, Measures] = WeakKeyDictionary()


def measure(drawing: Drawing) -> Measures:
    """Widths, runs and gaps of all regions, in px. Worked out once for a drawing."""
    if drawing not in _KEPT:
        _KEPT[drawing] = _measured(drawing)
    return _KEPT[drawing]


def _without(strokes: tuple[Stroke, ...], *, whole: Polygon, region: Polygon) -> tuple[Stroke, ...]:
    """The strokes of a body as pieces of its region: what lies on it taken out of their outlines again."""
    if len(whole.interiors) == len(region.interiors):
        return strokes
    on_top = whole.difference(region)
    left = [replace(stroke, outline=stroke.outline.difference(on_top), body=stroke.outline) for stroke in strokes]
    return tuple(stroke for stroke in left if not stroke.outline.is_empty)


def _measured(drawing: Drawing) -> Measures:
    outlines = _on_grid([region.outline for region in drawing.regions])
    count = len(outlines)
    axes = axes_of(outlines + _background(outlines))
    filled = _bodies(drawing, outlines, axes)
    bodies = {i: body for i, body in enumerate(filled) if body is not outlines[i]}
    deeper = axes_apart(list(bodies.values())) if bodies else axes
    sources = [(axes, i) for i in range(len(axes.outlines))]
    for k, i in enumerate(bodies):
        sources[i] = deeper, k
    meetings = _meetings(sources[:count])
    shapes = [
        _shape(outline, source, k, meetings[i] if i < count else None)
        for i, (outline, (source, k)) in enumerate(zip(axes.outlines, sources, strict=True))
    ]
    return Measures(tuple(shapes[:count]), tuple(shapes[count:]), tuple(sources[:count]), meetings)


def _bodies(drawing: Drawing, outlines: Sequence[Polygon], axes: Axes) -> list[Polygon]:
    """Each region with what lies on it filled in again."""
    discs = axes.poles[: len(outlines), 2]
    inside: dict[int, list[int]] = {}
    for region in drawing.regions:
        if region.parent is not None:
            inside.setdefault(region.parent, []).append(region.id)

    def laid_on(holes: NDArray[np.object_], number: int) -> tuple[NDArray[np.bool_], Floats]:
        own = inside.get(number, [])
        if not own:
            return np.zeros(len(holes), dtype=bool), np.zeros(len(holes))
        parent = drawing.regions[number].parent
        around = None if parent is None else drawing.regions[parent].colour
        other = np.array([drawing.regions[i].colour != around for i in own])
        laid = np.array([outlines[i] for i in own], dtype=object)
        shapely.prepare(holes)
        held = shapely.contains(holes[:, None], shapely.point_on_surface(laid))
        area = held * shapely.area(laid)
        covered = area.sum(axis=1) > COVERED * shapely.area(holes)
        covered &= (area * other).sum(axis=1) > OTHER * shapely.area(holes)
        return covered, (held * discs[own]).max(axis=1)

    return [
        body_of(outline, disc, partial(laid_on, number=number), [branch.axis for branch in axes.branches[number]])
        for number, (outline, disc) in enumerate(zip(outlines, discs.tolist(), strict=True))
    ]


def _meetings(sources: Sequence[tuple[Axes, int]]) -> tuple[Meeting, ...]:
    found: dict[int, Meeting] = {}
    for axes in {id(axes): axes for axes, _ in sources}.values():
        own = [i for i, (source, _) in enumerate(sources) if source is axes]
        met = meetings_of([axes.branches[sources[i][1]] for i in own], axes.radius)
        found.update(zip(own, met, strict=True))
    return tuple(found[i] for i in range(len(sources)))


def _shape(outline: Polygon, axes: Axes, index: int, meeting: Meeting | None) -> Shape:
    own = axes.branches[index]
    lines = strokes_of(own, meeting) if meeting else ()
    tracks = tuple(track_of(legs, axes.rings) for legs in lines)
    meets = Counter(node for branch in own for node in branch.ends)
    free = tuple((meets[legs[0].ends[0]] == 1, meets[legs[-1].ends[1]] == 1) for legs in lines)
    return Shape(outline, tuple(own), tracks, stroke_of(axes, index, uncut(axes.outlines[index])), axes.rings, free)


def _on_grid(outlines: list[Polygon]) -> list[Polygon]:
    """The outlines on the grid, but for those that would touch themselves there."""
    rounded = shapely.transform(np.array(outlines, dtype=object), on_grid)
    sound = shapely.is_valid(rounded)
    return [new if good else old for new, old, good in zip(rounded, outlines, sound.tolist(), strict=True)]


def _union(outlines: NDArray[np.object_]) -> BaseGeometry:
    """All outlines as one; where they overlap by a rounding error, shared edges do not tell it."""
    try:
        joined = shapely.coverage_union_all(outlines)
    except shapely.GEOSException:  # edges that cross are no coverage
        return shapely.union_all(outlines, grid_size=GRID_PX)
    return joined if shapely.is_valid(joined) else shapely.union_all(outlines, grid_size=GRID_PX)


def _background(outlines: list[Polygon]) -> list[Polygon]:
    union = _union(np.array(outlines, dtype=object))
    left, top, right, bottom = union.bounds
    margin = MARGIN * max(right - left, bottom - top)
    free = shapely.box(left - margin, top - margin, right + margin, bottom + margin).difference(union)
    return [piece for piece in shapely.get_parts(free) if piece.area > 1e-6]
