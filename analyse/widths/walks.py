"""In which order the axis' pieces follow each other: from node to node, and round where there is none."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analyse.widths.medial import Medial
from analyse.widths.samples import Ints


@dataclass(frozen=True, slots=True, eq=False)
class Walks:
    """rows (N,): steps over the axis, 3 * triangle + the side it is left by, walk after walk; count (W,) of them.

    ends (W, 2): the triangles a walk runs between, -1 where it runs round.
    """

    rows: Ints
    count: Ints
    ends: Ints


def walks_of(medial: Medial) -> Walks:
    """Every run between ends and forks of the axis once, from its lower end, then the closed rings."""
    steps = np.flatnonzero(medial.alive.ravel())
    if not len(steps):
        return Walks(steps, steps, np.empty((0, 2), dtype=np.int64))
    degree = medial.alive.sum(axis=1)
    beyond = medial.mesh.across.ravel()[steps]
    back = _back(medial, steps, beyond)
    ahead = _ahead(medial, steps, back, degree[beyond] == 2)
    last, left = _followed(ahead)
    ends_well = degree[beyond[last]] != 2
    starts = np.flatnonzero(degree[steps // 3] != 2)
    starts = starts[starts < np.searchsorted(steps, back[last[starts]])]
    walk = np.full(len(steps), -1)
    walk[last[starts]] = np.arange(len(starts))
    own = np.flatnonzero(ends_well & (walk[last] >= 0))
    number, count = walk[last[own]], left[starts] + 1
    rows = np.empty(len(own), dtype=np.int64)
    rows[(np.cumsum(count) - 1)[number] - left[own]] = steps[own]
    ends = np.column_stack([steps[starts] // 3, beyond[last[starts]]])
    rings = _rings(steps, ahead, back, np.flatnonzero(~ends_well))
    return Walks(
        np.concatenate([rows, *rings]), np.append(count, [len(ring) for ring in rings]).astype(np.int64),
        np.vstack([ends, np.full((len(rings), 2), -1)]),
    )  # fmt: skip


def _back(medial: Medial, steps: Ints, beyond: Ints) -> Ints:
    """The step that leads back over the same side."""
    same = medial.mesh.sides[beyond] == medial.mesh.sides.ravel()[steps][:, None]
    return np.asarray(3 * beyond + same.argmax(axis=1))


def _ahead(medial: Medial, steps: Ints, back: Ints, goes_on: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Ints:
    """Which step follows each; itself where the walk ends."""
    both = (medial.alive * np.arange(3)).sum(axis=1)
    beyond, side = back // 3, back % 3
    other = 3 * beyond + both[beyond] - side
    return np.where(goes_on, np.searchsorted(steps, np.where(goes_on, other, 0)), np.arange(len(steps)))


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


def _rings(steps: Ints, ahead: Ints, back: Ints, round_: Ints) -> list[Ints]:
    """Walks that run round, each in one direction, from its lowest step."""
    seen: set[int] = set()
    rings = []
    leads, twin = ahead.tolist(), np.searchsorted(steps, back).tolist()
    for start in round_.tolist():
        ring, here = [], start
        while here not in seen:
            seen.update((here, twin[here]))
            ring.append(here)
            here = leads[here]
        if ring:
            rings.append(steps[ring])
    return rings
