"""Where the strokes that end at a junction are cut off: along the side of the stroke that goes on, crotch to crotch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analyse.widths.centreline import Branch
from analyse.widths.cuts import Cut, Place
from analyse.widths.junctions import End, Meeting
from analyse.widths.lines import lines_of, together
from analyse.widths.rings import Rings
from analyse.widths.samples import Ints

STEEP = 0.6  # a width that changes faster than this with the way belongs to the junction or the body beyond
CROTCH_REACH = 0.15  # in widths: the baseline over which an inward turn is read
CROTCH_DEG = 20.0  # a crotch that turns less is round: it is taken at its middle
FOOT = 1.0  # in widths of its own: so far into a hub an arm's foot is looked for
CLEAR = 0.1  # of its length: a cut along several arms keeps so clear of the background between them
STUB = 0.8  # an arm shorter than this, in widths, stays with what it sticks out of


@dataclass(frozen=True, slots=True)
class _Mouth:
    """Arms side by side that are cut off: their region, and the pairs of arms beside the crotches between them.

    hub: they are cut off a hub, or a body.
    """

    region: int
    arms: list[End]
    beside: list[tuple[End, End]]
    hub: bool


def mouth_cuts(regions: Sequence[Sequence[Branch]], meetings: Sequence[Meeting], rings: Rings) -> list[list[Cut]]:
    """For each region the cuts that take off the arms that do not go on straight."""
    mouths = [
        _Mouth(i, [ends[k % len(ends)] for k in range(first, last + 1)], _beside(ends, first, last), apart)
        for i, meeting in enumerate(meetings)
        for ends, through, apart in meeting.crossings
        for first, last in _sides_of(ends, through, apart=apart)
    ]
    cuts: list[list[Cut]] = [[] for _ in regions]
    pairs = [(regions[mouth.region], pair) for mouth in mouths for pair in mouth.beside]
    # of the two arms beside a place, the one whose foot at a hub it is
    feet = [foot for mouth in mouths for foot in ((1, 0) if mouth.hub else (None,) * len(mouth.beside))]
    found = iter(_crotches(pairs, feet, rings))
    for mouth in mouths:
        places = [next(found) for _ in mouth.beside]
        own, meeting = regions[mouth.region], meetings[mouth.region]
        for arms, start, end in _parted(mouth, places, own, rings):
            if start is not None and end is not None:
                cut = Cut(start, end)
                if any(_reaches(own, meeting, arm, cut, rings) for arm in arms):
                    cuts[mouth.region].append(cut)
    return cuts


def _parted(
    mouth: _Mouth, places: Sequence[Place | None], branches: Sequence[Branch], rings: Rings
) -> list[tuple[list[End], Place | None, Place | None]]:
    """One cut for all the arms; one for each where the background between two of them reaches that cut."""
    whole = [(mouth.arms, places[0], places[-1])]
    known = [place for place in places if place is not None]
    if len(places) < 3 or len(known) < len(places):
        return whole
    ring, way = (np.array(column) for column in zip(*known, strict=True))
    points = rings.at(ring, way)
    span = points[-1] - points[0]
    beyond = np.mean([branches[i].axis[len(branches[i].axis) // 2, :2] for i, _ in mouth.arms], axis=0)
    depth = [float(span[0] * off[1] - span[1] * off[0]) for off in (*(points[1:-1] - points[0]), beyond - points[0])]
    clear = [one * np.sign(depth[-1]) >= CLEAR * float(span @ span) for one in depth[:-1]]
    return whole if all(clear) else list(zip([[arm] for arm in mouth.arms], places[:-1], places[1:], strict=True))


def _sides_of(ends: Sequence[End], through: frozenset[End], *, apart: bool) -> list[tuple[int, int]]:
    """Runs of neighbouring arms on one side of the stroke that goes on, as first and last place (cyclic).

    apart: every arm by itself.
    """
    if apart:
        return [(k, k) for k in range(len(ends)) if ends[k] not in through] if len(ends) > 1 else []
    at = [k for k, end in enumerate(ends) if end in through]
    if len(at) != 2:
        return []
    groups = [(at[0] + 1, at[1] - 1), (at[1] + 1, at[0] - 1 + len(ends))]
    return [group for group in groups if group[0] <= group[1]]


def _beside(ends: Sequence[End], first: int, last: int) -> list[tuple[End, End]]:
    count = len(ends)
    return [(ends[(k - 1) % count], ends[k % count]) for k in range(first, last + 2)]


def _crotches(
    pairs: Sequence[tuple[Sequence[Branch], tuple[End, End]]], feet: Sequence[int | None], rings: Rings
) -> list[Place | None]:
    """Where the outline turns from one arm into the next (counter-clockwise, y up): its sharpest inward turn.

    feet: at a hub which of the two arms' foot is meant.
    """
    if not pairs:
        return []
    arms = [(branches[end[0]], end[1]) for branches, pair in pairs for end in pair]
    rows = _resting(arms)
    table = np.array([_leaves(*arms[k], rows[k], right=k % 2 == 0) for k in range(len(arms))])
    one, two = table[0::2], table[1::2]
    ring = one[:, 0].astype(np.int64)
    length = rings.length[ring]
    start = one[:, 1]
    reach = np.mod(two[:, 1] - start + 1e-9, length)
    back = reach > length / 2.0
    start, reach = np.where(back, start + reach - length, start), np.where(back, length - reach, reach)
    foot = np.array([-1 if arm is None else arm for arm in feet])
    near = np.where(foot < 0, reach, np.minimum(reach, FOOT * np.where(foot == 0, one[:, 2], two[:, 2])))
    start, reach = np.where(foot == 1, start + reach - near, start), near
    way, turn = rings.sharpest(ring, start, start + reach, CROTCH_REACH * np.minimum(one[:, 2], two[:, 2]))
    way = np.where(turn > CROTCH_DEG, way, start + reach / 2.0)
    same = one[:, 0] == two[:, 0]
    return [(r, w) if s else None for r, w, s in zip(ring.tolist(), way.tolist(), same.tolist(), strict=True)]


def _leaves(branch: Branch, end: int, row: int, *, right: bool) -> tuple[float, float, float]:
    """Ring, way and width of a branch's right (or left) side at a row, as it leaves one of its ends."""
    side = branch.right if right == (end == 0) else branch.left
    return float(side.ring[row]), float(side.way[row]), float(branch.axis[row, 2])


def _resting(arms: Sequence[tuple[Branch, int]]) -> list[int]:
    """For each branch left at an end the first row from which the width no longer falls steeply, over half a width."""
    axis, count = together([branch.axis for branch, _ in arms])
    lines = lines_of(axis, count)
    far = np.array([end for _, end in arms])[lines.owner] == 1
    width, length = axis[:, 2], lines.length[lines.owner]
    to_go = np.where(far, lines.along, length - lines.along)
    step = np.minimum(width / 2.0, to_go)
    ahead = lines.read(lines.owner, lines.along + np.where(far, -step, step), width)
    at_rest = (width - ahead) / np.maximum(step, 1e-9) < STEEP
    first = np.maximum(lines.leading(at_rest), lines.first)
    last = np.maximum.reduceat(np.where(at_rest, np.arange(len(width)), -1), lines.first)
    row: Ints = np.where(far[lines.first], np.where(last < 0, lines.last, last), first)
    return list((row - lines.first).tolist())


def _reaches(branches: Sequence[Branch], meeting: Meeting, end: End, cut: Cut, rings: Rings) -> bool:
    """Whether an arm goes on for long enough beyond a cut to be a piece of its own."""
    if (end[0], 1 - end[1]) in meeting.links or any((end[0], 1 - end[1]) in ends for ends, *_ in meeting.crossings):
        return True
    ends = rings.at(np.array([cut.start[0], cut.end[0]]), np.array([cut.start[1], cut.end[1]]))
    tip = branches[end[0]].axis[-1 if end[1] == 0 else 0]
    beyond = float(np.hypot(*(tip[:2] - ends.mean(axis=0)))) + float(tip[2]) / 2.0
    return beyond >= STUB * float(np.hypot(*(ends[0] - ends[1])))
