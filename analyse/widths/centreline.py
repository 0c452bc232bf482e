"""Where each stroke runs and how wide it is there: the pruned axis as branches, put right to the exact outline."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from analyse.widths.lines import lines_of, summed
from analyse.widths.medial import Medial
from analyse.widths.rings import Rings
from analyse.widths.samples import Ints
from analyse.widths.triangulation import nearest_on
from analyse.widths.walks import Walks, walks_of

ROUNDS = 12  # Newton steps; each squares an error that starts at a hundredth of the width, or goes a sample along
SETTLED = 1e-7  # of the width: a point so equally far from both sides is not moved on
LEAST_STEP = 0.1
MERGED = 0.15  # of a disc's width: touching its sides nearer to each other than this, it sits in a round tip
END = (-1, -1)

Complex = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """Where one side of a run lies on the outline: ring (N,) and way along it (N,), row by row of the axis."""

    ring: Ints
    way: Floats

    def turned(self) -> Side:
        """The same from the other end."""
        return Side(self.ring[::-1], self.way[::-1])

    def points(self, rings: Rings) -> Floats:
        """As points, (N, 2)."""
        return rings.at(self.ring, self.way)


@dataclass(frozen=True, slots=True, eq=False)
class Branch:
    """One run of the axis between ends and junctions.

    polygon: which outline. axis (N, 3): x, y, width; along (N,): way from the first row. left, right: where its discs
    touch the outline; as the run goes, ways on the left (as seen, y down) rise and on the right fall. ends: the nodes
    it runs between, (-1, -1) for a ring.
    """

    polygon: int
    axis: Floats
    along: Floats
    left: Side
    right: Side
    ends: tuple[int, int]

    @property
    def closed(self) -> bool:
        """Whether it runs round without an end or a junction."""
        return self.ends == END

    @property
    def length(self) -> float:
        """Length of the axis in px."""
        return float(self.along[-1])

    def turned(self) -> Branch:
        """The same from the other end."""
        along = self.along[-1] - self.along[::-1]
        return Branch(self.polygon, self.axis[::-1], along, self.right.turned(), self.left.turned(), self.ends[::-1])


def branches_of(medial: Medial) -> tuple[list[Branch], Ints]:
    """Every branch of every polygon's pruned axis; those whose axis is a point have none. Also nodes' triangles."""
    walks = walks_of(medial)
    if not len(walks.ends):
        return [], walks.nodes
    walks, pairs = _spaced(medial, walks)
    owner = medial.mesh.owner[walks.rows // 3]
    axis, sides, apart = _put_right(medial, owner, pairs)
    kept, count = _apart(apart >= MERGED * axis[:, 2], walks.count)
    axis, owner, sides = axis[kept], owner[kept], [(ring[kept], way[kept]) for ring, way in sides]
    lines = lines_of(axis, count)
    left, right = (
        Side(ring, _steady(medial.rings, ring, way, sign, lines.first, lines.owner))
        for (ring, way), sign in zip(sides, (1.0, -1.0), strict=True)
    )
    branches = [
        Branch(
            polygon, axis[a:b], lines.along[a:b], Side(left.ring[a:b], left.way[a:b]),
            Side(right.ring[a:b], right.way[a:b]), (one, two),
        )
        for polygon, a, b, (one, two) in zip(
            owner[lines.first].tolist(), lines.first.tolist(), (lines.last + 1).tolist(), walks.ends.tolist(),
            strict=True,
        )
    ]  # fmt: skip
    return branches, walks.nodes


def _spaced(medial: Medial, walks: Walks) -> tuple[Walks, Ints]:
    """Rows no nearer to each other than LEAST_STEP widths, both ends kept: nearer ones only add the samples' jitter.

    Returns them with the two sites of each side crossed, that on the left hand (as seen, y down) first.
    """
    triangle, k = walks.rows // 3, walks.rows % 3
    corners = medial.mesh.triangles
    # out of a counter-clockwise triangle (y up) across side k, corner k+1 is on the right hand: the left with y down
    pairs = np.column_stack([corners[triangle, (k + 1) % 3], corners[triangle, (k + 2) % 3]])
    one, two = (medial.mesh.boundary.points[pairs[:, s]] for s in (0, 1))
    middle, width = (one + two) / 2.0, _length(one - two)
    first = np.cumsum(walks.count) - walks.count
    owner = np.repeat(np.arange(len(walks.count)), walks.count)
    steps = _length(np.diff(middle, axis=0)) / np.maximum(LEAST_STEP * width[1:], 1e-9)
    whole = np.floor(summed(steps, first, owner))
    kept = np.append(True, whole[1:] > whole[:-1])
    kept[first] = True
    kept[first + walks.count - 1] = True
    return Walks(walks.rows[kept], np.bincount(owner[kept], minlength=len(first)), walks.ends, walks.nodes), pairs[kept]


def _put_right(medial: Medial, owner: Ints, pairs: Ints) -> tuple[Floats, list[tuple[Ints, Floats]], Floats]:
    """Axis points at equal distance from the outline's two sides themselves, not only from its samples.

    Returns x, y, width; for either side ring and way of the touching points; how far these lie apart.
    """
    points, rings = medial.mesh.boundary.points, medial.rings
    rows = np.stack([rings.find(owner, pairs[:, s], pairs[:, 1 - s], points) for s in (0, 1)])
    places: Complex = points @ np.array([1.0, 1.0j])  # as complex numbers: half the arrays
    around = places[rings.before], places[rings.site], places[rings.after]
    at = places[pairs].mean(axis=1)
    width, apart, ways = np.empty(len(at)), np.empty(len(at)), np.empty((2, len(at)))
    moving = np.arange(len(at))
    for number in range(ROUNDS + 1):
        before = rows[:, moving]
        touch, off, after = _touch(at[moving], rings, before, around)
        rows[:, moving] = after
        ways[:, moving] = rings.along[after] + off
        apart[moving] = np.abs(touch[0] - touch[1])
        heading = touch - at[moving]
        far = np.abs(heading)
        width[moving] = far[0] + far[1]
        unequal = np.abs(far[0] - far[1]) > SETTLED * (far[0] + far[1])
        slides = unequal | (after != before).any(axis=0)
        if number == ROUNDS or not slides.any():
            break
        heading /= np.maximum(far, 1e-9)
        lean = heading[0] - heading[1]
        share = (far[0] - far[1]) / np.maximum(lean.real**2 + lean.imag**2, 1e-6)
        at[moving[unequal]] += (lean * share)[unequal]
        moving = moving[slides]
    axis = np.column_stack([at.real, at.imag, width])
    return axis, [(rings.ring[row], way) for row, way in zip(rows, ways, strict=True)], apart


def _apart(clear: NDArray[np.bool_], count: Ints) -> tuple[NDArray[np.bool_], Ints]:
    """Which rows to keep: not those at a walk's ends whose disc touches both sides in one place, beyond the axis' end.

    Also how many of each walk.
    """
    row, first = np.arange(len(clear)), np.cumsum(count) - count
    low = np.minimum.reduceat(np.where(clear, row, len(row)), first)
    high = np.maximum.reduceat(np.where(clear, row, -1), first)
    few = high - low < 1
    low, high = np.where(few, first, low), np.where(few, first + count - 1, high)
    walk = np.repeat(np.arange(len(count)), count)
    return (row >= low[walk]) & (row <= high[walk]), np.asarray(high - low + 1)


def _touch(at: Complex, rings: Rings, row: Ints, around: tuple[Complex, ...]) -> tuple[Complex, Floats, Ints]:
    """Nearest point on the two pieces beside a site, its way from the nearest site's, and the row of that site.

    at (N,) complex; row (2, N), one of each side; around: the places before, at and after every row's site.
    """
    before, site, after = (place[row] for place in around)
    one, two = nearest_on(at, site, before), nearest_on(at, site, after)
    nearer = np.abs(one - at) <= np.abs(two - at)
    point = np.where(nearer, one, two)
    off, span = np.abs(point - site), np.abs(np.where(nearer, before, after) - site)
    beyond = span - off < off
    off = np.where(beyond, off - span, off)
    return (
        point,
        np.where(nearer, -off, off),
        np.where(beyond, np.where(nearer, rings.back[row], rings.ahead[row]), row),
    )


def _length(vectors: Floats) -> Floats:
    return np.asarray(np.hypot(vectors[:, 0], vectors[:, 1]))


def _steady(rings: Rings, ring: Ints, way: Floats, sign: float, first: Ints, owner: Ints) -> Floats:
    """Sides' ways without wrapping round the ring, and never turning back."""
    length = rings.length[ring[first]]
    turns = summed(np.round((way[1:] - way[:-1]) / -length[owner[1:]]), first, owner)
    ahead = sign * (way + turns * length[owner])
    low, high = np.minimum.reduceat(ahead, first), np.maximum.reduceat(ahead, first)
    room = np.cumsum(high - low + 1.0)
    raised = ahead + (np.append(0.0, room[:-1]) - low)[owner]
    front = np.where(raised == np.maximum.accumulate(raised), np.arange(len(ahead)), 0)
    return np.asarray(sign * ahead[np.maximum.accumulate(front)])
