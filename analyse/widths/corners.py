"""Where a stroke turns too sharply for one column, and where it swells into a body: more places to cut."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analyse.values import Floats
from analyse.widths.centreline import Branch, Side
from analyse.widths.cuts import Cut
from analyse.widths.ends import CORNER_REACH, corners_between
from analyse.widths.lines import Lines, lines_of, measured, summed, together
from analyse.widths.rings import Rings
from analyse.widths.samples import Ints
from analyse.widths.tracks import Track

OUTER_WAY = 1.0  # at a sharp corner the outer side goes this far, in widths,
INNER_WAY = 0.15  # while the inner side goes no farther than this
TURN_DEG = 50.0  # from here on a corner is cut, if its outer side has a corner as well
ROUND_TURN_DEG = 100.0  # and from here on in any case
LEG = 0.6  # widths of axis that must lie on either side of it: shorter legs stay with the other
FIRST = 0.8  # the leg that goes on straight for longer keeps the corner; of legs nearly as long, the first
BENT = 0.35  # widths off a straight line: so far a leg is straight
RUN_UP = 0.75  # widths before and after a corner over which the heading is read
NECK_SLOPE = 0.7  # a stroke that widens faster than this has reached a body
NECK_RUN = 1.5  # and has run this many widths before,
TAPER_RUN = 4.0  # or this many if it began at a point
NECK_RATIO = 1.5  # and ends up this much wider,
TAPER_RATIO = 2.5  # or this much if it began at a point: it widens anyway


def corner_cuts(tracks: Sequence[Track], rings: Rings) -> list[list[Cut]]:
    """Each track's cuts at sharp corners: the straighter leg keeps the corner, the other is cut off at its side."""
    cuts: list[list[Cut]] = [[] for _ in tracks]
    if not tracks:
        return cuts
    axis, count = together([track.axis for track in tracks])
    lines = lines_of(axis, count)
    left, right = (_advance(sides, rings, lines) for sides in zip(*((t.left, t.right) for t in tracks), strict=True))
    for turns_left, inner, outer in ((True, left, right), (False, right, left)):
        for number, begin, end in _sharp(axis[:, 2], inner, measured(outer, lines.first, lines.owner)):
            cut = _corner_cut(tracks[number], (begin, end), rings, turns_left=turns_left)
            if cut is not None:
                cuts[number].append(cut)
    return cuts


def _advance(sides: Sequence[Side], rings: Rings, lines: Lines) -> Floats:
    """Way gone from each track's first row: along the outline, straight where it changes rings."""
    ring, way = np.concatenate([side.ring for side in sides]), np.concatenate([side.way for side in sides])
    steps = np.abs(np.diff(way))
    hops = np.flatnonzero(ring[1:] != ring[:-1])
    steps[hops] = np.hypot(*(rings.at(ring[hops + 1], way[hops + 1]) - rings.at(ring[hops], way[hops])).T)
    return summed(steps, lines.first, lines.owner)


def _sharp(width: Floats, inner: Floats, outer: Lines) -> list[tuple[int, int, int]]:
    """Track and span of its rows in which the outer side runs on and the inner side stands nearly still."""
    rows = np.flatnonzero(outer.along + OUTER_WAY * width <= outer.length[outer.owner])
    last = np.searchsorted(outer.measure, outer.measure[rows] + OUTER_WAY * width[rows])
    last = np.minimum(last, outer.last[outer.owner[rows]])
    still = inner[last] - inner[rows] <= INNER_WAY * width[rows]
    rows, last = rows[still], last[still]
    spans: list[tuple[int, int, int]] = []
    first = outer.first[outer.owner[rows]]
    for number, row, end in zip(
        outer.owner[rows].tolist(), (rows - first).tolist(), (last - first).tolist(), strict=True
    ):
        if spans and spans[-1][0] == number and row <= spans[-1][2]:
            spans[-1] = number, spans[-1][1], max(end, spans[-1][2])
        else:
            spans.append((number, row, end))
    return spans


def _corner_cut(track: Track, span: tuple[int, int], rings: Rings, *, turns_left: bool) -> Cut | None:
    inner, outer = (track.left, track.right) if turns_left else (track.right, track.left)
    first, last = span
    along, width = track.along, float(track.axis[first, 2])
    usual = max(width, float(np.median(track.axis[:, 2])) / 2.0)
    if min(along[first], along[-1] - along[last]) < LEG * usual:
        return None
    before = _heading(track.axis, along, first, -RUN_UP * width)
    after = _heading(track.axis, along, last, RUN_UP * width)
    turn = float(np.degrees(np.arccos(np.clip(before @ after, -1.0, 1.0))))
    if turn < TURN_DEG:
        return None
    ring, way = int(outer.ring[first]), sorted((float(outer.way[first]), float(outer.way[last])))
    one = (np.array([ring]), np.array(way[:1]), np.array([way[1] - way[0]]), np.array([width]))
    if turn < ROUND_TURN_DEG and not corners_between(rings, *one)[0]:
        return None
    pivot_ring, pivot = int(inner.ring[first]), float((inner.way[first] + inner.way[last]) / 2.0)
    near = (INNER_WAY + CORNER_REACH) * width
    ways, _ = rings.sharpest(
        np.array([pivot_ring]), np.array([pivot - near]), np.array([pivot + near]), np.array([near])
    )
    pivot = float(ways[0])
    keeps_first = _straight(track, first, -before) >= FIRST * _straight(track, last, after)
    back = RUN_UP * width * (-1.0 if keeps_first == turns_left else 1.0)
    corner, behind = rings.at(np.array([pivot_ring] * 2), np.array([pivot, pivot + back]))
    hit = _hit(rings, ring, (way[0] - width, way[1] + width), corner, corner - behind)
    return None if hit is None else Cut((pivot_ring, pivot), (ring, hit))


def _straight(track: Track, row: int, heading: Floats) -> float:
    """How far a run goes on straight from a row, in this direction; a ring's run goes on over its first row."""
    axis, along, width = track.axis, track.along, float(track.axis[row, 2])
    off = axis[:, :2] - axis[row, :2]
    aside, ahead = np.abs(off[:, 0] * heading[1] - off[:, 1] * heading[0]), off @ heading
    way = along - along[row]
    if heading @ (axis[min(row + 1, len(axis) - 1), :2] - axis[max(row - 1, 0), :2]) < 0.0:
        way = -way
    whole = along[-1] + float(np.hypot(*(axis[0, :2] - axis[-1, :2])))
    way = np.mod(way, whole) if track.closed else np.where(way >= 0.0, way, np.inf)
    bent = (aside > BENT * width) & (ahead + way > width)
    return float(way[bent].min(initial=whole if track.closed else way[np.isfinite(way)].max()))


def _heading(axis: Floats, along: Floats, row: int, step: float) -> Floats:
    """Heading of the run over a stretch of `step` that begins (or, where negative, ends) at a row."""
    ways = np.clip(np.sort([along[row], along[row] + step]), along[0], along[-1])
    ends = np.column_stack([np.interp(ways, along, axis[:, k]) for k in (0, 1)])
    run = ends[1] - ends[0]
    return np.asarray(run / max(float(np.hypot(*run)), 1e-9))


def _hit(rings: Rings, ring: int, span: tuple[float, float], start: Floats, ahead: Floats) -> float | None:
    """Way at which a ray first meets a stretch of outline."""
    inner, _ = rings.between(np.array([ring]), np.array(span[:1]), np.array(span[1:]))
    ways = np.concatenate([[span[0]], inner, [span[1]]])
    offset = rings.at(np.full(len(ways), ring), ways) - start
    size = float(np.hypot(*ahead))
    ahead = ahead / max(size, 1e-9)
    off, far = offset[:, 0] * ahead[1] - offset[:, 1] * ahead[0], offset @ ahead
    flips = np.flatnonzero((off[:-1] <= 0) != (off[1:] <= 0))
    share = off[flips] / (off[flips] - off[flips + 1])
    reach = far[flips] + share * (far[flips + 1] - far[flips])
    real = reach > 1e-3 * size
    if not real.any():
        return None
    pick = int(np.where(real, reach, np.inf).argmin())
    return float(ways[flips[pick]] + share[pick] * (ways[flips[pick] + 1] - ways[flips[pick]]))


def neck_cuts(branches: Sequence[Branch], radius: Floats) -> list[list[Cut]]:
    """Each branch's cuts at the foot of every steep swelling, seen from either end. radius: of all nodes' discs."""
    cuts: list[list[Cut]] = [[] for _ in branches]
    each = [seen for branch in branches for seen in (branch, branch.turned())]
    if not each:
        return cuts
    axis, count = together([branch.axis for branch in each])
    beyond = np.array([0.0 if branch.closed else 2.0 * radius[branch.ends[1]] for branch in each])
    for k, row in enumerate(_necks(lines_of(axis, count), axis[:, 2], beyond).tolist()):
        if row >= 0:
            left, right = each[k].left, each[k].right
            cuts[k // 2].append(
                Cut((int(left.ring[row]), float(left.way[row])), (int(right.ring[row]), float(right.way[row])))
            )
    return cuts


def _necks(lines: Lines, width: Floats, beyond: Floats) -> Ints:
    """The first row of each line, far enough from its start, where a steep rise of its width begins; -1 for none.

    beyond: width of the last node.
    """
    reach = np.minimum(width / 2.0, lines.length[lines.owner] - lines.along)
    ahead = lines.read(lines.owner, lines.along + reach, width)
    steep = ((ahead - width) >= NECK_SLOPE * np.maximum(reach, 1e-9)) & (reach > 0.2 * width)
    steep[lines.last] |= beyond >= NECK_RATIO * width[lines.last]
    least = np.minimum.reduceat(width, lines.first)
    tapers = width[lines.first][lines.owner] < width / 2.0
    steep &= lines.along >= np.where(tapers, TAPER_RUN, NECK_RUN) * width
    steep[lines.first] = False
    row = lines.leading(steep)
    foot = np.maximum(row, lines.first)
    ratio = np.where(tapers[foot], TAPER_RATIO, NECK_RATIO)
    # the widest row from the foot on
    rest = np.where(np.arange(len(width)) >= foot[lines.owner], width, 0.0)
    top = np.maximum(np.maximum.reduceat(rest, lines.first), beyond)
    found = (row >= 0) & (lines.last - lines.first >= 2) & (lines.length >= least)
    found &= top >= ratio * width[foot]
    return np.where(found, row - lines.first, -1)
