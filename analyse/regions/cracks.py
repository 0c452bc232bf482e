"""Where regions meet: the cracks between pixels, walked as chains from junction to junction.

A crack is the side shared by two pixels of different regions. A half-edge walks along a crack from one
lattice corner to the next with its region on the right hand (as seen, y down); a chain is a run of half-edges
between two junctions, or a closed loop. All steps work on whole arrays; chains are ordered by pointer doubling.
"""

from __future__ import annotations

from dataclasses import dataclass

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


class _Walk:
    """Half-edges of a padded map, and which follows which."""

    def __init__(self, padded: NDArray[np.int32], joined: NDArray[np.int8]) -> None:
        self.wide, self.joined = padded.shape[1] - 1, joined
        # Whether there is a crack east of each corner, and south of it; the rest follows from its neighbours.
        self.east, self.south = padded[1:] != padded[:-1], padded[:, 1:] != padded[:, :-1]
        parts = []
        for exists, one, other, turn in (
            (self.east[:, 1:], padded[1:, 1:], padded[:-1, 1:], EAST),
            (self.south[1:], padded[1:, :-1], padded[1:, 1:], SOUTH),
        ):
            y, x = np.divmod(np.flatnonzero(exists), exists.shape[1])
            right, left = one[y, x], other[y, x]
            back = right > left
            way = np.where(back, turn + 2, turn)
            y, x = y + back * STEP_Y[turn], x + back * STEP_X[turn]
            parts.append((y, x, way, np.minimum(right, left), np.maximum(right, left)))
        columns = [np.concatenate(column).astype(np.int64) for column in zip(*parts, strict=True)]
        self.ids = self.identity(*columns[:3])
        order = np.argsort(self.ids)
        self.y, self.x, self.way, self.right, self.left = (column[order] for column in columns)
        self.ids = self.ids[order]

    def exists(self, way: Ints, y: Ints, x: Ints) -> NDArray[np.bool_]:
        """Whether a crack leaves each corner that way."""
        y, x = y - (way == NORTH), x - (way == WEST)
        # Corner (y, x) is where pixels (y, x) and (y + 1, x + 1) of the padded map meet.
        found: NDArray[np.bool_] = np.where(way % 2 == 0, self.east[y, x + 1], self.south[y + 1, x])
        return found

    def is_node(self, y: Ints, x: Ints) -> NDArray[np.bool_]:
        """Whether a chain ends at each corner, where a crack does: three meet, or four that no region runs through."""
        count = sum((self.exists(np.full(len(y), way), y, x).astype(np.int8) for way in range(4)), np.int8(0))
        high = len(self.joined) - 1
        own = ((y == 0) | (y == high)) & ((x == 0) | (x == self.wide - 1))  # the picture's own corners stay
        return np.asarray(own | (count == 3) | ((count == 4) & (self.joined[y, x] == 0)))

    def identity(self, y: Ints, x: Ints, way: Ints) -> Ints:
        number: Ints = (y * self.wide + x) * 4 + way
        return number

    def follow(self, y: Ints, x: Ints, way: Ints) -> tuple[Ints, Ints, Ints]:
        """The half-edge that continues the ring of the region on the right."""
        y, x = y + STEP_Y[way], x + STEP_X[way]
        turn_right, turn_left = (way + 1) % 4, (way + 3) % 4
        chosen = np.where(self.exists(way, y, x), way, turn_left)
        chosen = np.where(self.exists(turn_right, y, x), turn_right, chosen)
        # At a saddle the joined region walks through the corner: its pixel lies right behind the corner.
        on_first_diagonal = (way == SOUTH) | (way == NORTH)
        through = np.where(on_first_diagonal, self.joined[y, x] == 1, self.joined[y, x] == 2)
        return y, x, np.where(through, turn_left, chosen)

    def chains(self) -> Cracks:
        y, x, way = self.follow(self.y, self.x, self.way)
        count = len(self.ids)
        ends = self.is_node(y, x)
        following = np.searchsorted(self.ids, self.identity(y, x, way))
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
        order = np.lexsort((-rank, last))
        heads = np.flatnonzero(np.diff(last[order], prepend=-1))
        first = np.append(heads, count)
        closed = looped_last[order[first[1:] - 1]]
        y, x, way, right, left = (column[order] for column in (self.y, self.x, self.way, self.right, self.left))
        chain_of = np.empty(count, dtype=np.int64)
        chain_of[order] = np.repeat(np.arange(len(heads)), np.diff(first))
        links = self._ring_links((y, x, way), first, closed, chain_of)
        return Cracks(y, x, way, right, left, first, closed, links)

    def _ring_links(
        self, half_edges: tuple[Ints, Ints, Ints], first: Ints, closed: NDArray[np.bool_], chain_of: Ints
    ) -> Ints:
        y, x, way = half_edges
        links = np.empty(2 * len(closed), dtype=np.int64)
        ends, starts = first[1:] - 1, first[:-1]
        back_y, back_x, back_way = y + STEP_Y[way], x + STEP_X[way], (way + 2) % 4
        links[0::2] = self._chain(self.follow(y[ends], x[ends], way[ends]), chain_of)
        links[1::2] = self._chain(self.follow(back_y[starts], back_x[starts], back_way[starts]), chain_of)
        own = np.arange(2 * len(closed))
        return np.where(np.repeat(closed, 2), own, links)

    def _chain(self, half_edges: tuple[Ints, Ints, Ints], chain_of: Ints) -> Ints:
        """Directed chain numbers of half-edges, whichever way they run."""
        y, x, way = half_edges
        ids = self.identity(y, x, way)
        place = np.minimum(np.searchsorted(self.ids, ids), len(self.ids) - 1)
        forward = self.ids[place] == ids
        twin = self.identity(y + STEP_Y[way], x + STEP_X[way], (way + 2) % 4)
        twin_place = np.minimum(np.searchsorted(self.ids, twin), len(self.ids) - 1)
        return np.where(forward, 2 * chain_of[place], 2 * chain_of[twin_place] + 1)


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
