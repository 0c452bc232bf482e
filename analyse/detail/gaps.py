"""Gaps and counters: what must stay open for the cloth to show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from analyse.detail.candidates import Candidate
from analyse.detail.look import contrast, place_factor
from analyse.detail.shapes import FINEST_PX
from analyse.kinds.setting import Setting
from analyse.values import Drawing, Floats
from analyse.widths.centreline import Branch
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import by_length, is_dot, percentiles

RUN_OUT = 0.5  # share of a gap's length that may be narrower than its measure where it runs out to nothing
STEADY = 0.1  # and where it does not
BESIDE = 3.0  # a gap that limits how far a stroke may be widened is at least so many widths long
LONG = 2.0  # a gap is at least so many of its widths long, else it is a notch;
WEDGE = 3.0  # one that runs out to nothing so many of its mouth's widths, else it is the corner between two shapes
DRAWN = 1 / 800  # of the design's width: nobody draws a gap narrower than this, shapes that hardly meet leave it
TIGHT = 1.1  # what is at most so many times its narrowest is as narrow
LIKE = 2.0  # runs that meet are one gap if one is at most so many times as wide as the other
EVEN, EVEN_LONG = 1.25, 8.0  # a keyline of cloth: its width varies at most so much over so many widths of length

Faces = tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Gap:
    """One gap: its runs, end to end, its width and length in px, and the regions on either side."""

    runs: tuple[Branch, ...]
    measure: float
    faces: Faces

    @property
    def length(self) -> float:
        """Length of all its runs."""
        return float(sum(run.length for run in self.runs))

    @property
    def narrowest(self) -> tuple[float, float]:
        """Where it is narrowest: the middle of where it is hardly wider than there."""
        axis = np.vstack([run.axis for run in self.runs])
        tight = np.flatnonzero(axis[:, 2] <= TIGHT * axis[:, 2].min())
        x, y, _ = axis[tight[len(tight) // 2]].tolist()
        return x, y

    @property
    def even(self) -> bool:
        """Whether it is a keyline of cloth: long, and of one width."""
        low, median, high = percentiles(*by_length([run.axis for run in self.runs]))
        return high <= EVEN * low and self.length >= EVEN_LONG * median


def gap_candidates(drawing: Drawing, measures: Measures, setting: Setting, cloth: Floats) -> list[Candidate]:
    """Every gap and counter of cloth. cloth: its Lab."""
    weight = contrast(drawing, None, cloth)
    least = max(FINEST_PX, DRAWN * (drawing.extent_px[2] - drawing.extent_px[0]))
    gaps = [gap for gap in _gaps(drawing, measures) if gap.measure >= least]
    counters = [
        _counter(drawing, measures, shape, setting, weight)
        for shape in measures.background
        if is_counter(drawing, shape) and float(shape.pole[2]) >= least
    ]
    return counters + [_gap(drawing, gap, setting, weight) for gap in gaps]


def _gaps(drawing: Drawing, measures: Measures) -> list[Gap]:
    """Each gap once: runs about as wide that meet between the same shapes are one."""
    found = [
        (shape, branch, measure)
        for shape in measures.background
        if not is_counter(drawing, shape)
        for branch, measure in gaps_of(shape)
    ]
    faces = _faces(measures, [(shape, branch) for shape, branch, _ in found])
    whole = list(range(len(found)))
    ends: dict[tuple[int, Faces, int], list[int]] = {}
    for i, (shape, branch, measure) in enumerate(found):
        for node in sorted(set(branch.ends) - {-1}):
            met = ends.setdefault((id(shape), faces[i], node), [])
            for other in met:
                low, high = sorted((whole[i], whole[other]))
                if max(measure, found[other][2]) <= LIKE * min(measure, found[other][2]):
                    whole = [low if root == high else root for root in whole]
            met.append(i)
    runs = {root: [i for i, own in enumerate(whole) if own == root] for root in dict.fromkeys(whole)}
    return [
        Gap(tuple(found[i][1] for i in own), min(found[i][2] for i in own), faces[root]) for root, own in runs.items()
    ]


def _gap(drawing: Drawing, gap: Gap, setting: Setting, weight: float) -> Candidate:
    look = gap.length * gap.measure * weight * place_factor(drawing, gap.narrowest)
    colours = sorted({drawing.palette[drawing.regions[i].colour].name for i in gap.faces})
    between = f"between {' and '.join(colours)}" if len(colours) > 1 else f"within {colours[0]}"
    row, needs = f"cloth.{setting.cloth.name}.gap_mm", setting.cloth.gap_mm
    keyline = setting.value("registration.keyline") * setting.cloth.drift_mm
    if keyline > needs and gap.even:
        text = f"an even gap {between}"
        return Candidate(
            "registration", gap.narrowest, gap.measure, "registration.keyline", keyline, look, text,
            group=("keyline", tuple(colours)), many=f"even gaps {between}",
        )  # fmt: skip
    return Candidate(
        "gap", gap.narrowest, gap.measure, row, needs, look, f"a gap {between}",
        group=("gap", tuple(colours)), many=f"gaps {between}",
    )  # fmt: skip


def _counter(drawing: Drawing, measures: Measures, shape: Shape, setting: Setting, weight: float) -> Candidate:
    x, y, across = (float(value) for value in shape.pole)
    look = float(shape.outline.area) * weight * place_factor(drawing, (x, y))
    round_it = _nearest(measures, shape.outline.exterior.coords[:1])[0]
    name = drawing.palette[drawing.regions[round_it].colour].name
    row, needs = f"cloth.{setting.cloth.name}.gap_mm", setting.cloth.gap_mm
    text, many = f"an opening in {name}", f"openings in {name}"
    return Candidate("counter", (x, y), across, row, needs, look, text, group=("counter", name), many=many)


def is_counter(drawing: Drawing, shape: Shape) -> bool:
    """Whether a piece of background is an opening, hardly longer than wide."""
    return not is_outer(drawing, shape) and (not shape.branches or is_dot(shape.whole))


def is_outer(drawing: Drawing, shape: Shape) -> bool:
    """Whether a piece of background reaches outside the design."""
    left, top, right, bottom = drawing.extent_px
    box = shape.outline.bounds
    return bool(box[0] < left - 1 or box[1] < top - 1 or box[2] > right + 1 or box[3] > bottom + 1)


def _faces(measures: Measures, found: Sequence[tuple[Shape, Branch]]) -> list[Faces]:
    """The regions on either side of each run, where it is narrowest."""
    ends = []
    for shape, branch in found:
        at = int(branch.axis[:, 2].argmin())
        ends += [side.points(shape.rings)[at] for side in (branch.left, branch.right)]
    near = _nearest(measures, ends)
    return [tuple(sorted({one, other})) for one, other in zip(near[::2], near[1::2], strict=True)]


def _nearest(measures: Measures, points: Sequence[Floats] | Sequence[tuple[float, ...]]) -> list[int]:
    if not len(points):
        return []
    tree = shapely.STRtree([shape.outline for shape in measures.regions])
    nearest: list[int] = tree.nearest(shapely.points(np.asarray(points)[:, :2])).tolist()
    return nearest


def gaps_of(shape: Shape) -> list[tuple[Branch, float]]:
    """The runs of a piece of background that are gaps, with their widths in px."""
    meets: dict[int, int] = {}
    for branch in shape.branches:
        for node in branch.ends:
            meets[node] = meets.get(node, 0) + 1
    gaps = []
    for branch in shape.branches:
        if len(branch.axis) < 2 or branch.length <= 0:
            continue
        runs_out = not branch.closed and min(meets[node] for node in branch.ends) == 1
        measure = _share(branch.axis, RUN_OUT if runs_out else STEADY)
        least = WEDGE * _share(branch.axis, 1.0 - STEADY) if runs_out else LONG * measure
        if branch.length >= least:
            gaps.append((branch, measure))
    return gaps


def _share(axis: Floats, share: float) -> float:
    """The width that this share of the length stays under."""
    widths, lengths = by_length([axis])
    order = np.argsort(widths)
    reach = np.cumsum(lengths[order])
    return float(widths[order][min(int(np.searchsorted(reach, share * reach[-1])), len(widths) - 1)])


def gaps_beside(drawing: Drawing, measures: Measures) -> Sequence[float]:
    """For every region the narrowest gap of cloth along it, in px; inf for none."""
    nearest = [float("inf")] * len(drawing.regions)
    gaps = [(b, m) for shape in measures.background for b, m in gaps_of(shape) if b.length >= BESIDE * m]
    if not gaps:
        return nearest
    middles = [b.axis[int(b.axis[:, 2].argmin())] for b, _ in gaps]
    tree = shapely.STRtree([shape.outline for shape in measures.regions])
    discs = shapely.buffer(shapely.points([m[:2] for m in middles]), [m[2] * 0.55 for m in middles])
    for gap, region in tree.query(discs, predicate="intersects").T.tolist():
        nearest[region] = min(nearest[region], gaps[gap][1])
    return nearest
