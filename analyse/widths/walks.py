"""In which order the axis' pieces follow each other: from node to node, and round where there is none.

All orders and directions are told by place, from the top down: how the triangles are numbered decides nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analyse.widths.medial import Medial
from analyse.widths.samples import Ints

SAME_PX = 1e-3  # places no farther apart are the same for ordering


@dataclass(frozen=True, slots=True, eq=False)
class Walks:
    """rows (N,): steps over the axis, 3 * triangle + the side it is left by, walk after walk; count (W,) of them.

    ends (W, 2): the nodes a walk runs between, -1 where it runs round. nodes (K,): the triangle of each node.
    """

    rows: Ints
    count: Ints
    ends: Ints
    nodes: Ints


def walks_of(medial: Medial) -> Walks:
    """Every run between ends and forks of the axis once, from its upper end, then the closed rings."""
    steps = np.flatnonzero(medial.alive.ravel())
    if not len(steps):
        return Walks(steps, steps, np.empty((0, 2), dtype=np.int64), steps)
    degree = medial.alive.sum(axis=1)
    nodes = _from_the_top(medial, np.flatnonzero((degree > 0) & (degree != 2)))
    rank = np.full(len(degree), -1)
    rank[nodes] = np.arange(len(nodes))
    beyond = medial.mesh.across.ravel()[steps]
    back = medial.mesh.twin.ravel()[steps]
    number_of = np.full(medial.alive.size, -1)
    number_of[steps] = np.arange(len(steps))
    ahead = _ahead(medial, number_of, back, degree[beyond] == 2)
    last, left = _followed(ahead)
    ends_well = degree[beyond[last]] != 2
    starts = _begun(medial, steps, last, rank)
    walk = np.full(len(steps), -1)
    walk[last[starts]] = np.arange(len(starts))
    own = np.flatnonzero(ends_well & (walk[last] >= 0))
    number, count = walk[last[own]], left[starts] + 1
    rows = np.empty(len(own), dtype=np.int64)
    rows[(np.cumsum(count) - 1)[number] - left[own]] = steps[own]
    ends = np.column_stack([rank[steps[starts] // 3], rank[beyond[last[starts]]]])
    rings = _rings(medial, steps, ahead, number_of[back], np.flatnonzero(~ends_well))
    return Walks(
        np.concatenate([rows, *rings]), np.append(count, [len(ring) for ring in rings]).astype(np.int64),
        np.vstack([ends, np.full((len(rings), 2), -1)]), nodes,
    )  # fmt: skip


def _from_the_top(medial: Medial, triangles: Ints) -> Ints:
    """The triangles by the places of their centres: the upper first, of those as high the left one."""
    x, y = np.round(medial.centre[triangles] / SAME_PX).T
    return np.asarray(triangles[np.lexsort((x, y))])


def _begun(medial: Medial, steps: Ints, last: Ints, rank: Ints) -> Ints:
    """The first step of every walk between nodes: from its upper node, or off a loop's node to the upper side."""
    first = np.flatnonzero(rank[steps // 3] >= 0)
    end = medial.mesh.across.ravel()[steps[last[first]]]
    here, there = rank[steps[first] // 3], rank[end]
    out, home = (medial.centre[t] for t in (medial.mesh.across.ravel()[steps[first]], steps[last[first]] // 3))
    loop = np.flatnonzero(here == there)
    upper = here < there
    upper[loop] = (out[loop, 1] < home[loop, 1]) | ((out[loop, 1] == home[loop, 1]) & (out[loop, 0] < home[loop, 0]))
    y, x = np.round(out[:, 1] / SAME_PX), np.round(out[:, 0] / SAME_PX)
    order = np.lexsort((x, y, there, here))
    return np.asarray(first[order[upper[order]]])


def _ahead(medial: Medial, number_of: Ints, back: Ints, goes_on: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Ints:
    """Which step follows each; itself where the walk ends."""
    both = medial.alive[:, 1] + 2 * medial.alive[:, 2].astype(np.int64)
    beyond = back // 3
    other = 3 * beyond + both[beyond] - back % 3
    return np.where(goes_on, number_of[np.where(goes_on, other, 0)], np.arange(len(back)))


def _followed(ahead: Ints) -> tuple[Ints, Ints]:
    """Each step's last step and how many lie before it, by doubling the stride; any step where a walk runs round."""
    last, left = ahead, (ahead != np.arange(len(ahead))).astype(np.int64)
    for _ in range(len(ahead).bit_length()):
        further = last[last]
        if (further == last).all():
            break
        left = left + left[last]
        last = further
    return last, left


def _rings(medial: Medial, steps: Ints, ahead: Ints, twins: Ints, round_: Ints) -> list[Ints]:
    """Walks that run round, each clockwise as seen, from its highest place."""
    rings = []
    twin = dict(zip(round_.tolist(), twins[round_].tolist(), strict=True))
    leads = dict(zip(round_.tolist(), ahead[round_].tolist(), strict=True))
    while leads:
        ring, here = [], next(iter(leads))
        while here in leads:
            ring.append(here)
            here = leads.pop(here)
        for step in ring:
            leads.pop(twin[step], None)
        rings.append(_turned(medial, steps[ring], steps[twins[ring]]))
    return sorted(rings, key=lambda ring: tuple(np.round(medial.centre[ring[0] // 3, ::-1] / SAME_PX).tolist()))


def _turned(medial: Medial, ring: Ints, back: Ints) -> Ints:
    x, y = medial.centre[ring // 3].T
    if x @ np.roll(y, -1) - y @ np.roll(x, -1) < 0.0:  # y runs down: clockwise as seen has it positive
        ring = back[::-1]
    x, y = np.round(medial.centre[ring // 3] / SAME_PX).T
    return np.asarray(np.roll(ring, -int(np.lexsort((x, y))[0])))
