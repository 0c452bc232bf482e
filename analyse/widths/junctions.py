"""Which strokes go on straight where strokes meet, and where the others are cut off."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analyse.values import Floats
from analyse.widths.centreline import Branch
from analyse.widths.lines import Lines, lines_of, medians, together
from analyse.widths.samples import Ints

End = tuple[int, int]  # a branch and which of its ends

ONE_JUNCTION = 1.5  # nodes nearer than this, in radii of their larger disc, are one junction
STRETCH = 0.5  # but for a stretch of a stroke between two of them that is at least so long, in radii of the smaller,
SLENDER = 1.06  # and at its narrowest place no wider than this, in widths of the strokes beside it
ONE_WAY = 0.5  # it bends into the one stroke by no more than this share of what it bends into the next
WIDTH_COUNTS_DEG = 25.0  # a stroke twice as wide goes on as badly as one turned by this much more
SECOND_PAIR_DEG = 35.0  # at a crossing, the others go on too if they turn less than this
HUB = 1.9  # a junction's disc so much wider than all its arms is a body of its own: none goes on through it
SPOKE = 1.25  # if they are strokes: no wider than so many times their width where they come out of it
STAR = 5  # so many points, each wider than that where it comes out, make a star: no point goes on into another
BODY = 2.0  # an arm so many times as wide as any other is a body that forks into them: all are cut off from it,
LIMB = 2.0  # if they are so many of its widths long: shorter ones are corners of its end,
FORK_DEG = 60.0  # and bend by no more than this: what turns aside further leaves it whole with the one that goes on
READ_FROM, READ_TO = 1.0, 2.5  # radii of its junction between which an arm's heading and width are read,
READ_SHORT = 0.4  # or from this share of a short arm's length


@dataclass(frozen=True, slots=True, eq=False)
class Arm:
    """A branch seen from a junction: which end, its heading away from there, its width and length, its foot's width."""

    end: End
    heading: complex
    width: float
    foot: float
    length: float


@dataclass(frozen=True, slots=True, eq=False)
class Meeting:
    """How a region's branches meet. links: which end goes on in which. absorbed: branches inside a junction.

    crossings: for each junction its arms, counter-clockwise with y taken as up, which of them go on straight first, and
    whether each of the others is cut off by itself: at a hub, which is a body that all arms end at, and where a body
    forks into them.
    """

    links: dict[End, End]
    absorbed: frozenset[int]
    crossings: tuple[tuple[tuple[End, ...], frozenset[End], bool], ...]


def meetings_of(regions: Sequence[Sequence[Branch]], radius: Floats) -> tuple[Meeting, ...]:
    """Pair the arms of every junction of each region; radius: of all nodes' discs."""
    joints = [_joints(branches, radius) if len(branches) > 1 else (frozenset(), []) for branches in regions]
    wanted = [
        (branches[end[0]], end[1], reach)
        for branches, (_, clusters) in zip(regions, joints, strict=True)
        for ends, reach in clusters
        for end in ends
    ]
    seen = iter(_looks(wanted))
    return tuple(
        _meeting(absorbed, [([Arm(end, *next(seen)) for end in ends], reach) for ends, reach in clusters])
        for absorbed, clusters in joints
    )


def _meeting(absorbed: frozenset[int], clusters: Sequence[tuple[list[Arm], float]]) -> Meeting:
    links: dict[End, End] = {}
    crossings = []
    for arms, reach in clusters:
        paired = _pairs(arms)
        through, apart = frozenset(paired[0]) if paired else frozenset[End](), False
        body = _body(arms)
        if len(arms) > 2 and _is_hub(arms, reach):
            paired, through, apart = [], frozenset[End](), True
        elif len(arms) >= STAR and all(arm.foot > SPOKE * arm.width for arm in arms):
            paired, through, apart = [], frozenset(arm.end for arm in arms), True
        elif body is not None:
            paired, through, apart = [], frozenset((body.end,)), True
        for one, two in paired:
            links[one], links[two] = two, one
        arms.sort(key=lambda arm: float(np.angle(arm.heading)))
        crossings.append((tuple(arm.end for arm in arms), through, apart))
    return Meeting(links, absorbed, tuple(crossings))


def _body(arms: Sequence[Arm]) -> Arm | None:
    """The one arm that is so much wider than all the others that it forks into them."""
    if len(arms) < 3:
        return None
    *limbs, widest = sorted(arms, key=lambda arm: arm.width)
    forks = all(arm.length >= LIMB * widest.width and _bend(arm, widest) <= FORK_DEG for arm in limbs)
    return widest if forks and widest.width >= BODY * limbs[-1].width else None


def _is_hub(arms: Sequence[Arm], reach: float) -> bool:
    """Whether a junction of this radius is a body that all its arms end at, rather than a place they run through."""
    even = all(arm.foot <= SPOKE * arm.width for arm in arms)
    return even and 2.0 * reach >= HUB * max(arm.foot for arm in arms)


def _joints(branches: Sequence[Branch], radius: Floats) -> tuple[frozenset[int], list[tuple[list[End], float]]]:
    """Which branches lie inside a junction; for each junction the ends that meet there and its largest radius."""
    at: dict[int, list[End]] = {}
    for i, branch in enumerate(branches):
        if not branch.closed:
            for e, node in enumerate(branch.ends):
                at.setdefault(node, []).append((i, e))
    absorbed = frozenset(
        i for i, b in enumerate(branches)
        if all(len(at.get(end, ())) > 1 for end in b.ends)
        and b.length < ONE_JUNCTION * max(radius[b.ends[0]], radius[b.ends[1]])
        and not _is_stretch(branches, i, at, radius)
        and not _is_rung(branches, i, at, radius)
    )  # fmt: skip
    joints = []
    for nodes in _clusters(at, branches, absorbed):
        ends = sorted(end for node in nodes for end in at[node] if end[0] not in absorbed)
        joints.append((ends, max(float(radius[node]) for node in nodes)))
    return absorbed, joints


def _is_stretch(branches: Sequence[Branch], index: int, at: dict[int, list[End]], radius: Floats) -> bool:
    """Whether a short branch between two junctions is a stretch of a stroke that runs on at both, and no wider."""
    branch = branches[index]
    if branch.length < STRETCH * min(radius[branch.ends[0]], radius[branch.ends[1]]):
        return False
    beside = [[end for end in at[node] if end[0] != index] for node in branch.ends]
    widest = min(max(float(np.median(branches[i].axis[:, 2])) for i, _ in arms) for arms in beside)
    if float(branch.axis[:, 2].min()) >= SLENDER * widest:
        return False
    return all(_runs_on(branches, (index, e), beside[e], radius[branch.ends[e]]) for e in (0, 1))


def _is_rung(branches: Sequence[Branch], index: int, at: dict[int, list[End]], radius: Floats) -> bool:
    """Whether a short branch leads across from one stroke that runs on to another, as a rung does, or a ring's bottom.

    Where two strokes cross, what runs on is in line with the branch.
    """
    branch = branches[index]
    if branch.length < STRETCH * min(radius[branch.ends[0]], radius[branch.ends[1]]):
        return False
    for e, node in enumerate(branch.ends):
        arms = [end for end in at[node] if end != (index, e)]
        if len(arms) != 2 or any(i == index for i, _ in arms):
            return False
        one, two = (_step(outward(branches[i], end), READ_TO * radius[node]) for i, end in arms)
        ahead = -_step(outward(branch, e), math.inf)
        if not (one and two and ahead):
            return False
        into = min(abs(float(np.angle(step / ahead))) for step in (one, two))
        if abs(float(np.angle(-one / two))) >= ONE_WAY * into:
            return False
    return True


def _runs_on(branches: Sequence[Branch], end: End, arms: Sequence[End], reach: float) -> bool:
    """Whether a branch clearly goes on in one of the arms at its end: where two strokes cross, in both as well."""
    ahead = -_step(outward(branches[end[0]], end[1]), math.inf)
    steps = [_step(outward(branches[i], e), READ_TO * reach) for i, e in arms]
    bends = sorted(abs(float(np.angle(step / ahead))) for step in steps if step and ahead)
    return len(bends) > 1 and bends[0] < ONE_WAY * bends[1]


def _step(branch: Branch, reach: float) -> complex:
    """From its first row to the one so far along it."""
    row = min(int(np.searchsorted(branch.along, reach)), len(branch.axis) - 1)
    return complex(*(branch.axis[row, :2] - branch.axis[0, :2]).tolist())


def _clusters(at: dict[int, list[End]], branches: Sequence[Branch], absorbed: frozenset[int]) -> list[list[int]]:
    """Nodes that make one junction each."""
    cluster = {node: [node] for node in sorted(at) if len(at[node]) > 1}
    for i in sorted(absorbed):
        one, two = (cluster[node] for node in branches[i].ends)
        if one is not two:
            one.extend(two)
            cluster.update(dict.fromkeys(two, one))
    return [nodes for node, nodes in cluster.items() if nodes[0] == node]


def _looks(wanted: Sequence[tuple[Branch, int, float]]) -> list[tuple[complex, float, float, float]]:
    """All but the end of every arm: a branch, which end of it, the junction's radius."""
    if not wanted:
        return []
    axis, count = together([branch.axis for branch, _, _ in wanted])
    lines = lines_of(axis, count)
    far = np.array([end for _, end, _ in wanted]) == 1
    reach, length = np.array([radius for _, _, radius in wanted]), lines.length
    low = np.minimum(READ_FROM * reach, READ_SHORT * length)
    high = np.minimum(READ_TO * reach, length)
    number = np.arange(len(count))
    start, end = (lines.read(number, np.where(far, length - way, way), axis[:, :2]) for way in (low, high))
    step = (end - start) @ (1.0, 1.0j)
    heading = step / np.maximum(np.abs(step), 1e-9)
    width = _read_width(lines, axis[:, 2], far, low, np.maximum(high, low + 1e-9))
    foot = lines.read(number, np.where(far, length - low, low), axis[:, 2])
    columns = (heading.tolist(), width.tolist(), foot.tolist(), length.tolist())
    return list(zip(*columns, strict=True))


def _read_width(
    lines: Lines, widths: Floats, far: np.ndarray[tuple[int], np.dtype[np.bool_]], low: Floats, high: Floats
) -> Floats:
    """Median width between two ways from an end; that of the other end where no row lies there."""
    length = lines.length
    begins = lines.base + np.where(far, length - high, low)
    stops = lines.base + np.where(far, length - low, high)
    first = np.searchsorted(lines.measure, np.maximum(begins, lines.base) - 1e-9)
    past = np.searchsorted(lines.measure, np.minimum(stops, lines.base + length) + 1e-9)
    width = medians(widths, first, np.maximum(past - first, 0))
    other: Ints = np.where(far, lines.first, lines.last)
    return np.maximum(np.where(np.isnan(width), widths[other], width), 1e-6)


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
    cosine = -(one.heading.conjugate() * two.heading).real
    return math.degrees(math.acos(min(max(cosine, -1.0), 1.0)))


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


def outward(branch: Branch, end: int) -> Branch:
    """The branch as it leaves that end."""
    return branch if end == 0 else branch.turned()
