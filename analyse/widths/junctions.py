"""Which strokes go on straight where strokes meet, and where the others are cut off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analyse.values import Floats
from analyse.widths.centreline import Branch
from analyse.widths.cuts import Cut, Place
from analyse.widths.rings import Rings
from analyse.widths.sides import way_along

End = tuple[int, int]  # a branch and which of its ends

ONE_JUNCTION = 1.5  # nodes nearer than this, in radii of their larger disc, are one junction
WIDTH_COUNTS_DEG = 25.0  # a stroke twice as wide goes on as badly as one turned by this much more
SECOND_PAIR_DEG = 35.0  # at a crossing, the others go on too if they turn less than this
STEEP = 0.6  # a width that changes faster than this with the way belongs to the junction or the body beyond
CROTCH_REACH = 0.15  # in widths: the baseline over which an inward turn is read
CROTCH_DEG = 20.0  # a crotch that turns less is round: it is taken at its middle
STUB = 0.8  # an arm shorter than this, in widths, stays with what it sticks out of


@dataclass(frozen=True, slots=True, eq=False)
class Arm:
    """A branch seen from a junction: which end, its heading away from there, its width."""

    end: End
    heading: Floats
    width: float


@dataclass(frozen=True, slots=True, eq=False)
class Meeting:
    """How a region's branches meet. links: which end goes on in which. absorbed: branches inside a junction.

    crossings: for each junction its arms, counter-clockwise with y taken as up, and which of them go on straight first.
    """

    links: dict[End, End]
    absorbed: frozenset[int]
    crossings: tuple[tuple[tuple[End, ...], frozenset[End]], ...]


def meeting_of(branches: Sequence[Branch], radius: Floats) -> Meeting:
    """Pair the arms of every junction; radius: of all nodes' discs."""
    at = _ends_at(branches)
    absorbed = frozenset(
        i for i, b in enumerate(branches)
        if all(len(at.get(end, ())) > 1 for end in b.ends)
        and b.length < ONE_JUNCTION * max(radius[b.ends[0]], radius[b.ends[1]])
    )  # fmt: skip
    links: dict[End, End] = {}
    crossings = []
    for nodes in _clusters(at, branches, absorbed):
        ends = sorted(end for node in nodes for end in at[node] if end[0] not in absorbed)
        reach = float(max(radius[nodes]))
        arms = [_arm(branches, end, reach) for end in ends]
        paired = _pairs(arms)
        for one, two in paired:
            links[one], links[two] = two, one
        arms.sort(key=lambda arm: float(np.arctan2(arm.heading[1], arm.heading[0])))
        crossings.append((tuple(arm.end for arm in arms), frozenset(paired[0]) if paired else frozenset()))
    return Meeting(links, absorbed, tuple(crossings))


def _ends_at(branches: Sequence[Branch]) -> dict[int, list[End]]:
    at: dict[int, list[End]] = {}
    for i, branch in enumerate(branches):
        if not branch.closed:
            for e, node in enumerate(branch.ends):
                at.setdefault(node, []).append((i, e))
    return at


def _clusters(at: dict[int, list[End]], branches: Sequence[Branch], absorbed: frozenset[int]) -> list[list[int]]:
    """Nodes that make one junction each."""
    cluster = {node: [node] for node in sorted(at) if len(at[node]) > 1}
    for i in sorted(absorbed):
        one, two = (cluster[node] for node in branches[i].ends)
        if one is not two:
            one.extend(two)
            cluster.update(dict.fromkeys(two, one))
    return [nodes for node, nodes in cluster.items() if nodes[0] == node]


def outward(branch: Branch, end: int) -> Branch:
    """The branch as it leaves that end."""
    return branch if end == 0 else branch.turned()


def _arm(branches: Sequence[Branch], end: End, reach: float) -> Arm:
    axis = outward(branches[end[0]], end[1]).axis
    along = way_along(axis)
    low, high = min(reach, 0.4 * along[-1]), min(2.5 * reach, along[-1])
    ends = np.column_stack([np.interp([low, high], along, axis[:, k]) for k in (0, 1)])
    step = ends[1] - ends[0]
    size = float(np.hypot(*step))
    near = (along >= low) & (along <= max(high, low + 1e-9))
    width = max(float(np.median(axis[near, 2])) if near.any() else float(axis[-1, 2]), 1e-6)
    return Arm(end, step / max(size, 1e-9), width)


def _pairs(arms: list[Arm]) -> list[tuple[End, End]]:
    """The pair that goes on straightest, then those of the rest that go on nearly straight."""
    ranked = sorted(
        (_bend(one, two) + WIDTH_COUNTS_DEG * abs(float(np.log2(one.width / two.width))), one.end, two.end,
         _bend(one, two))
        for i, one in enumerate(arms) for two in arms[i + 1 :]
    )  # fmt: skip
    pairs: list[tuple[End, End]] = []
    used: set[End] = set()
    for _, one, two, bend in ranked:
        if one in used or two in used or (pairs and bend > SECOND_PAIR_DEG):
            continue
        pairs.append((one, two))
        used |= {one, two}
    return pairs


def _bend(one: Arm, two: Arm) -> float:
    return float(np.degrees(np.arccos(np.clip(-(one.heading @ two.heading), -1.0, 1.0))))


def strokes_of(branches: Sequence[Branch], meeting: Meeting) -> tuple[tuple[Branch, ...], ...]:
    """Branches joined to strokes that run on through the junctions."""
    strokes, used = [], set(meeting.absorbed)
    starts = [(i, e) for i in range(len(branches)) for e in (0, 1) if (i, e) not in meeting.links]
    for start in starts + [(i, 0) for i in range(len(branches))]:
        legs, end = [], start
        while end[0] not in used:
            used.add(end[0])
            legs.append(outward(branches[end[0]], end[1]))
            beyond = (end[0], 1 - end[1])
            if beyond not in meeting.links:
                break
            end = meeting.links[beyond]
        if legs:
            strokes.append(tuple(legs))
    return tuple(strokes)


def mouth_cuts(branches: Sequence[Branch], meeting: Meeting, rings: Rings) -> list[Cut]:
    """Where the arms that do not go on are cut off: along the side of the stroke that does, from crotch to crotch."""
    cuts = []
    for ends, through in meeting.crossings:
        arms = [outward(branches[i], e) for i, e in ends]
        for first, last in _sides_of(ends, through):
            cut = _group_cut(arms, first, last, rings)
            group = range(first, last + 1)
            if cut is not None and any(
                _reaches(arms[k % len(arms)], cut, rings, meeting, ends[k % len(arms)]) for k in group
            ):
                cuts.append(cut)
    return cuts


def _sides_of(ends: Sequence[End], through: frozenset[End]) -> list[tuple[int, int]]:
    """Runs of neighbouring arms on one side of the stroke that goes on, as first and last place (cyclic)."""
    at = [k for k, end in enumerate(ends) if end in through]
    if len(at) != 2:
        return []
    groups = [(at[0] + 1, at[1] - 1), (at[1] + 1, at[0] - 1 + len(ends))]
    return [group for group in groups if group[0] <= group[1]]


def _group_cut(arms: Sequence[Branch], first: int, last: int, rings: Rings) -> Cut | None:
    count = len(arms)
    start = _crotch(arms[(first - 1) % count], arms[first % count], rings)
    end = _crotch(arms[last % count], arms[(last + 1) % count], rings)
    return None if start is None or end is None else Cut(start, end)


def _crotch(one: Branch, two: Branch, rings: Rings) -> Place | None:
    """Where the outline turns from one arm into the next (counter-clockwise, y up): its sharpest inward turn."""
    rows = resting_row(one.axis), resting_row(two.axis)
    ring = int(one.right.ring[rows[0]])
    if ring != int(two.left.ring[rows[1]]):
        return None
    start, length = float(one.right.way[rows[0]]), float(rings.length[ring])
    reach = float(np.mod(two.left.way[rows[1]] - start + 1e-9, length))
    if reach > length / 2.0:
        start, reach = start + reach - length, length - reach
    arm = CROTCH_REACH * float(min(one.axis[rows[0], 2], two.axis[rows[1], 2]))
    way, turn = rings.sharpest(ring, start, start + reach, arm)
    return ring, way if turn > CROTCH_DEG else start + reach / 2.0


def _reaches(arm: Branch, cut: Cut, rings: Rings, meeting: Meeting, end: End) -> bool:
    """Whether an arm goes on for long enough beyond a cut to be a piece of its own."""
    if (end[0], 1 - end[1]) in meeting.links or any((end[0], 1 - end[1]) in ends for ends, _ in meeting.crossings):
        return True
    ends = cut.points(rings)
    tip = arm.axis[-1]
    beyond = float(np.hypot(*(tip[:2] - ends.mean(axis=0)))) + float(tip[2]) / 2.0
    return beyond >= STUB * float(np.hypot(*(ends[0] - ends[1])))


def cut_at(branch: Branch, row: int) -> Cut:
    """The cut straight across a branch at one of its rows."""
    return Cut(
        (int(branch.left.ring[row]), float(branch.left.way[row])),
        (int(branch.right.ring[row]), float(branch.right.way[row])),
    )


def resting_row(axis: Floats) -> int:
    """First row from which the width no longer falls steeply, read over half a width ahead."""
    along, width = way_along(axis), axis[:, 2]
    ahead = np.interp(np.minimum(along + width / 2.0, along[-1]), along, width)
    reach = np.maximum(np.minimum(width / 2.0, along[-1] - along), 1e-9)
    at_rest = (width - ahead) / reach < STEEP
    return int(at_rest.argmax()) if at_rest.any() else 0
