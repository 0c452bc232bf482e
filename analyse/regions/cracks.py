"""Where regions meet: the cracks between pixels, walked as chains from junction to junction.

A crack is the side shared by two pixels of different regions. A half-edge walks along a crack from one
lattice corner to the next with its region on the right hand (as seen, y down); a chain is a run of half-edges
between two junctions, or a closed loop. All steps work on whole arrays; chains are ordered by pointer doubling.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]

OUTSIDE = -9  # the region number of what lies beyond the picture
EAST, SOUTH, WEST, NORTH = range(4)
STEP_Y = np.array([0, 1, 0, -1])
STEP_X = np.array([1, 0, -1, 0])


@dataclass(frozen=True, slots=True, eq=False)
class Cracks:
    """All chains of a region map of shape (H, W), cracks against the outside included.

    y, x, way: of each half-edge's first corner, sorted chain by chain in walking order.
    right, left: region numbers beside each half-edge; right < left everywhere (each crack once).
    first: index of each chain's first half-edge, with the total appended. closed: chains without a junction.
    following: for each chain the (chain, forward) that continues the right region's ring after its end, and
    (for the left region, walking backwards) after its start; chains number 2 * k (forward) and 2 * k + 1 (backward).
    """

    y: Ints
    x: Ints
    way: Ints
    right: Ints
    left: Ints
    first: Ints
    closed: NDArray[np.bool_]
    following: Ints


def find_cracks(regions: NDArray[np.int32], joined: NDArray[np.int8]) -> Cracks:
    """Walk all cracks of a region map.

    Parameters: regions, (H, W), region numbers; joined, (H + 1, W + 1), from `saddles`: at a saddle 1 where the
    north-west and south-east pixels are one region through the corner, 2 where the other two are, else 0.
    """
    return _Walk(np.pad(regions, 1, constant_values=OUTSIDE), joined).chains()


def _tables() -> tuple[NDArray[np.bool_], Ints]:
    """By the cracks that leave a corner, as bits, and how it is joined: is it a node; and, by the way in, the way on.

    A chain ends where three cracks meet, or four that no region runs through. The ring of the region on the right turns
    right where it can; at a saddle the joined region walks through the corner: its pixel lies right behind it.
    """
    node, onward = np.zeros((16, 3), dtype=bool), np.zeros((16, 3, 4), np.int64)
    for cracks, joined, way in product(range(16), range(3), range(4)):
        node[cracks, joined] = cracks.bit_count() == 3 or (cracks.bit_count() == 4 and joined == 0)
        right, left = (way + 1) % 4, (way + 3) % 4
        through = joined == (1 if way in (SOUTH, NORTH) else 2)
        tried = (left,) if through else (right, way)
        onward[cracks, joined, way] = next((turn for turn in tried if cracks >> turn & 1), left)
    return node, onward


_NODE, _ONWARD = _tables()


class _Walk:
    """Half-edges of a padded map, and which follows which; a half-edge's identity is 4 x its corner's number + way."""

    def __init__(self, padded: NDArray[np.int32], joined: NDArray[np.int8]) -> None:
        self.high, self.wide = padded.shape[0] - 1, padded.shape[1] - 1
        self.joined, self.step = joined, STEP_Y * self.wide + STEP_X
        across, down = padded[1:] != padded[:-1], padded[:, 1:] != padded[:, :-1]
        # Corner (y, x) is where pixels (y, x) and (y + 1, x + 1) of the padded map meet.
        self.cracks = across[:, 1:].view(np.uint8) << EAST
        self.cracks |= down[1:].view(np.uint8) << SOUTH
        self.cracks |= across[:, :-1].view(np.uint8) << WEST
        self.cracks |= down[:-1].view(np.uint8) << NORTH
        parts = []
        for exists, one, other, turn in (
            (across[:, 1:], padded[1:, 1:], padded[:-1, 1:], EAST),
            (down[1:], padded[1:, :-1], padded[1:, 1:], SOUTH),
        ):
            corner = np.flatnonzero(exists)
            y, x = np.divmod(corner, self.wide)
            right, left = one[y, x], other[y, x]
            back = right > left
            way = np.where(back, turn + 2, turn)
            parts.append(
                (4 * (corner + back * self.step[turn]) + way, np.minimum(right, left), np.maximum(right, left))
            )
        columns = [np.concatenate(column).astype(np.int64) for column in zip(*parts, strict=True)]
        order = np.argsort(columns[0])
        self.ids, self.right, self.left = (column[order] for column in columns)

    def ends(self, ids: Ints) -> Ints:
        """The corner that each half-edge runs to."""
        return np.asarray((ids >> 2) + self.step[ids & 3])

    def is_node(self, corner: Ints) -> NDArray[np.bool_]:
        """Whether a chain ends at each corner, where a crack does."""
        y, x = np.divmod(corner, self.wide)
        own = ((y == 0) | (y == self.high - 1)) & ((x == 0) | (x == self.wide - 1))  # the picture's own corners stay
        return np.asarray(own | _NODE[np.take(self.cracks, corner), np.take(self.joined, corner)])

    def follow(self, ids: Ints) -> Ints:
        """The half-edge that continues the ring of the region on the right."""
        corner = self.ends(ids)
        onward = _ONWARD[np.take(self.cracks, corner), np.take(self.joined, corner), ids & 3]
        return np.asarray(4 * corner + onward)

    def chains(self) -> Cracks:
        count = len(self.ids)
        ends = self.is_node(self.ends(self.ids))
        following = np.searchsorted(self.ids, self.follow(self.ids))
        following = np.where(ends, np.arange(count), np.minimum(following, count - 1))
        last, _ = _rank(following)
        looped = following[last] != last
        if looped.any():
            following, ends_of_loops = _cut_loops(following, looped)
            looped_last = np.zeros(count, dtype=bool)
            looped_last[ends_of_loops] = True
        else:
            looped_last = np.zeros(count, dtype=bool)
        last, rank = _rank(following)
        order = np.argsort(last * (count + 1) - rank)
        heads = np.flatnonzero(np.diff(last[order], prepend=-1))
        first = np.append(heads, count)
        closed = looped_last[order[first[1:] - 1]]
        chain_of = np.empty(count, dtype=np.int64)
        chain_of[order] = np.repeat(np.arange(len(heads)), np.diff(first))
        ids, right, left = (column[order] for column in (self.ids, self.right, self.left))
        y, x = np.divmod(ids >> 2, self.wide)
        return Cracks(y, x, ids & 3, right, left, first, closed, self._ring_links(ids, first, closed, chain_of))

    def _ring_links(self, ids: Ints, first: Ints, closed: NDArray[np.bool_], chain_of: Ints) -> Ints:
        links = np.empty(2 * len(closed), dtype=np.int64)
        links[0::2] = self._chain(self.follow(ids[first[1:] - 1]), chain_of)
        links[1::2] = self._chain(self.follow(self._twin(ids[first[:-1]])), chain_of)
        own = np.arange(2 * len(closed))
        return np.where(np.repeat(closed, 2), own, links)

    def _twin(self, ids: Ints) -> Ints:
        """The half-edges along the same cracks, the other way."""
        return 4 * self.ends(ids) + (ids + 2) % 4

    def _chain(self, ids: Ints, chain_of: Ints) -> Ints:
        """Directed chain numbers of half-edges, whichever way they run."""
        place = np.minimum(np.searchsorted(self.ids, ids), len(self.ids) - 1)
        twin_place = np.minimum(np.searchsorted(self.ids, self._twin(ids)), len(self.ids) - 1)
        return np.where(self.ids[place] == ids, 2 * chain_of[place], 2 * chain_of[twin_place] + 1)


def _rank(following: Ints) -> tuple[Ints, Ints]:
    """The last element of each one's run, and how many steps away it lies (loops: of no meaning)."""
    reach = following.copy()
    rank = (following != np.arange(len(following))).astype(np.int64)
    for _ in range(max(1, len(following).bit_length())):
        rank = rank + rank[reach]
        reach = reach[reach]
    return reach, rank


def _cut_loops(following: Ints, looped: NDArray[np.bool_]) -> tuple[Ints, Ints]:
    """Cut each loop before its lowest element; also the elements that became last."""
    lowest, reach = np.arange(len(following)), following.copy()
    for _ in range(int(looped.sum()).bit_length() + 1):
        lowest = np.minimum(lowest, lowest[reach])
        reach = reach[reach]
    last = np.flatnonzero(looped & (following == lowest))
    cut = following.copy()
    cut[last] = last
    return cut, last
