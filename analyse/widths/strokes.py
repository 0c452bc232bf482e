"""The strokes and bodies a region is made of: cut where strokes meet, turn or swell, each measured by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import chain

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from analyse.values import Floats
from analyse.widths.axes import Axes, axes_apart
from analyse.widths.compact import is_compact, sliced
from analyse.widths.corners import corner_cuts, neck_cuts
from analyse.widths.cuts import Cut, Piece, Place, split
from analyse.widths.junctions import Meeting, meetings_of, strokes_of
from analyse.widths.mouths import mouth_cuts
from analyse.widths.paths import main_path
from analyse.widths.rings import Rings
from analyse.widths.sides import Run, runs_of
from analyse.widths.tracks import Track, track_of

FANS_UNDER = 0.5  # of the other's way one side goes: the stitch lines fan, the more the less it goes, till it stands


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """A piece of a region that can be followed in one run (or, where it cannot, is taken as a body).

    outline: in px. axes: its branches' x, y, width, a ring's first row again at
    its end. track: its main run, None for a compact shape. pole: x, y, width
    of its largest disc. cuts: ends of the cuts on its outline. body: the outline with what lies on it, where that
    differs. own_rings: which of the rings are its outline's. free: which ends of its run are ends of the shape, not
    places where it was cut across. laid, known, parts, across: its spine, figures, pieces and
    itself crossed straight, once they have been worked out.
    """

    outline: Polygon | MultiPolygon
    axes: tuple[Floats, ...]
    track: Track | None
    rings: Rings
    pole: Floats
    cuts: Floats
    body: Polygon | None = None
    own_rings: tuple[int, ...] = ()
    free: tuple[bool, bool] = (True, True)
    laid: list[Run] = field(default_factory=list)
    known: dict[str, tuple[float, ...]] = field(default_factory=dict)
    parts: dict[tuple[int, ...], tuple[Stroke, ...]] = field(default_factory=dict)
    across: list[Stroke] = field(default_factory=list)

    @property
    def filled(self) -> Polygon:
        """Its outline with what lies on it."""
        return self.outline if self.body is None else self.body

    @property
    def closed(self) -> bool:
        """Whether its run comes back to where it began."""
        return self.track is not None and self.track.closed

    @property
    def compact(self) -> bool:
        """Whether its stitches lie straight across: it is hardly longer than wide, and bulges everywhere."""
        if self.track is None or "compact" in self.known:
            return self.track is None or bool(self.known["compact"][0])
        whole = self.free == (True, True) and not self.closed
        self.known["compact"] = (float(whole and is_compact(self.filled, float(self.pole[2]))),)
        return self.compact

    @property
    def run(self) -> Run:
        """Its spine with both sides out to the ends; worked out when first asked for."""
        if not self.laid:
            lay([self])
        return self.laid[0]

    @property
    def straight(self) -> Stroke:
        """The same with its stitches straight across, whatever its axis does."""
        if not self.across:
            (run,) = sliced([self.filled])
            self.across.append(replace(self, laid=[run], axes=(run.line,), known={}, parts={}, across=[]))
        return self.across[0]

    @property
    def covered(self) -> float:
        """Share of the outline's area its stitch lines sweep over once, less what they sweep over twice or outside."""
        if "covered" not in self.known:
            follow_together([self])
        return self.known["covered"][0]

    @property
    def fanned(self) -> float:
        """Share of the run's length over which its stitch lines fan round a point on one side, by how much they do."""
        if "fanned" not in self.known:
            follow_together([self])
        return self.known["fanned"][0]


def follow_together(strokes: Sequence[Stroke]) -> None:
    """Work out how well the runs of many strokes cover them, and how they fan."""
    if not strokes:
        return
    runs = [stroke.run for stroke in strokes]
    count = np.array([len(run.line) + run.closed for run in runs])
    left, right = (
        np.concatenate([side for run, line in zip(runs, lines, strict=True) for side in (line, line[: run.closed])])
        for lines in ([run.left for run in runs], [run.right for run in runs])
    )
    last = np.cumsum(count) - 1
    owner = np.delete(np.repeat(np.arange(len(runs)), count)[:-1], last[:-1])
    one, two = (np.delete(side, last[:-1], axis=0) for side in (right[1:] - left[:-1], right[:-1] - left[1:]))
    swept = (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) / 2.0
    whole, every = np.abs(np.bincount(owner, swept, len(runs))), np.bincount(owner, np.abs(swept), len(runs))
    area = shapely.area(np.array([stroke.filled for stroke in strokes], dtype=object))
    covered = 1.0 - np.abs(1.0 - whole / area) - (every - whole) / area
    steps = [np.delete(np.hypot(*np.diff(side, axis=0).T), last[:-1]) for side in (left, right)]
    most, least = np.maximum(*steps), np.minimum(*steps)
    back = (last - np.arange(len(last)) - 1)[np.array([run.closed for run in runs], dtype=bool)]
    most[back] = 0.0  # what closes a ring is no step of the run
    fans = np.bincount(owner, fanning(most, least), len(runs))
    fanned = fans / np.maximum(np.bincount(owner, most, len(runs)), 1e-9)
    for stroke, one_covered, one_fanned in zip(strokes, covered.tolist(), fanned.tolist(), strict=True):
        stroke.known.update(covered=(one_covered,), fanned=(one_fanned,))


def fanning(most: Floats, least: Floats) -> Floats:
    """How much of each step of the longer side is fanned. A sharp limit would hang on where the lines happen to lie."""
    return np.maximum(most - least / FANS_UNDER, 0.0)


def covered_by(runs: Sequence[Run], outline: Polygon | MultiPolygon) -> float:
    """Share of an outline's area that lies between the sides of any of these runs."""
    quads = []
    for run in runs:
        left, right = run.left, run.right
        if run.closed:
            left, right = np.vstack([left, left[:1]]), np.vstack([right, right[:1]])
        quads.append(np.stack([left[:-1], left[1:], right[1:], right[:-1]], axis=1))
    swept = shapely.union_all(shapely.convex_hull(shapely.multipoints(list(np.concatenate(quads)))))
    return float(shapely.intersection(swept, outline).area / outline.area)


def lay(strokes: Sequence[Stroke]) -> None:
    """Work out the spines of many strokes at once."""
    wanted = [stroke for stroke in strokes if not stroke.laid]
    for rings in {id(stroke.rings): stroke.rings for stroke in wanted}.values():
        own = [stroke for stroke in wanted if stroke.rings is rings]
        followed = [(stroke, stroke.track) for stroke in own if stroke.track is not None and not stroke.compact]
        free = [stroke.free for stroke, _ in followed]
        runs = runs_of([track for _, track in followed], rings, free, [stroke.cuts for stroke, _ in followed])
        for (stroke, _), run in zip(followed, runs, strict=True):
            stroke.laid.append(run)
    straight = [stroke for stroke in wanted if stroke.track is None or stroke.compact]
    for stroke, run in zip(straight, sliced([stroke.filled for stroke in straight]), strict=True):
        stroke.laid.append(run)


def cut_up(
    axes: Axes,
    pieces: Sequence[Piece],
    meetings: Sequence[Meeting],
    lines: Sequence[tuple[Track, ...]],
    rounds: int,
) -> list[tuple[Stroke, ...]]:
    """Cut every piece where strokes meet, turn or swell; what was cut is measured anew by itself, and cut again."""
    if rounds == 0:
        return [(stroke_of(axes, i, piece),) for i, piece in enumerate(pieces)]
    parts = _parts(axes, pieces, meetings, lines)
    fresh = [part for own, piece in zip(parts, pieces, strict=True) if own[0] is not piece for part in own]
    again: list[tuple[Stroke, ...]] = []
    if fresh:
        deeper = axes_apart([part.measured for part in fresh])
        meets = meetings_of(deeper.branches, deeper.radius)
        runs = [
            tuple(track_of(legs, deeper.rings) for legs in strokes_of(own, meeting))
            for own, meeting in zip(deeper.branches, meets, strict=True)
        ]
        again = cut_up(deeper, fresh, meets, runs, rounds - 1)
    measured = iter(again)
    strokes: list[tuple[Stroke, ...]] = []
    for i, (piece, cut) in enumerate(zip(pieces, parts, strict=True)):
        if cut[0] is piece:
            strokes.append((stroke_of(axes, i, piece),))
        else:
            strokes.append(tuple(stroke for _ in cut for stroke in next(measured)))
    return strokes


def _parts(
    axes: Axes, pieces: Sequence[Piece], meetings: Sequence[Meeting], lines: Sequence[tuple[Track, ...]]
) -> list[tuple[Piece, ...]]:
    cuts = mouth_cuts(axes.branches, meetings, axes.rings)
    corners = iter(corner_cuts(list(chain(*lines)), axes.rings))
    necks = iter(neck_cuts(list(chain(*axes.branches)), axes.radius))
    for own, tracks, branches in zip(cuts, lines, axes.branches, strict=True):
        own.extend(cut for _ in tracks for cut in next(corners))
        ends = {place for cut in own for place in (cut.start, cut.end)}
        own.extend(cut for _ in branches for cut in next(necks) if not _shares(cut, ends, axes.rings))
    return split(pieces, axes.rings, axes.own_rings, cuts)


def _shares(cut: Cut, ends: set[Place], rings: Rings) -> bool:
    """Whether a cut ends where one of the others does."""
    if not ends:
        return False
    one, two = rings.at(np.array([cut.start[0], cut.end[0]]), np.array([cut.start[1], cut.end[1]]))
    near = 0.1 * float(np.hypot(*(one - two)))
    return any(ring == other and abs(way - at) < near for ring, way in (cut.start, cut.end) for other, at in ends)


def stroke_of(axes: Axes, index: int, piece: Piece) -> Stroke:
    """A piece with its main run."""
    track, branches = None, axes.branches[index]
    if branches:
        path, closed = main_path(branches)
        track = track_of(path, axes.rings, closed=closed)
    shapes = tuple(np.vstack([b.axis, b.axis[:1]]) if b.closed else b.axis for b in branches)
    own = tuple(axes.own_rings[index])
    return Stroke(piece.outline, shapes, track, axes.rings, axes.poles[index], piece.cuts, own_rings=own)
