"""The curve along each chain of cracks: sub-pixel, straight where straight, sharp at corners, smooth between."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from analyse.regions.chains import Bools, Chains, Floats, Ints
from analyse.regions.corners import cornered
from analyse.regions.cracks import STEP_X, STEP_Y, Cracks

_ALONG = 0.6  # cosine between a crack and its outline: below it the crack says little about the outline's place
_LOOK = 3  # cracks either side that give a crack's own direction
_SMOOTH = {
    2: np.array([-3, 12, 17, 12, -3]) / 35,
    3: np.array([-2, 3, 6, 7, 6, 3, -2]) / 21,
    5: np.array([-36, 9, 44, 69, 84, 89, 84, 69, 44, 9, -36]) / 429,
}  # Savitzky and Golay 1964, table I
_JOINT_PX = 1.0  # how far a junction may lie from its lattice corner
_APART = 4  # cracks between two junctions that cannot meet however they move
_CLOSE_JOINT_PX = 0.45  # for junctions nearer to each other
_MIXED_PX = 1.6  # from a junction, within which pixels see a third colour
_END = slice(1, 6)  # points from a chain's end that give its direction there


@dataclass(frozen=True, slots=True, eq=False)
class Outlines:
    """lines: the points of each chain, ends included, a loop's last as its first; rough: along the pixels' cracks.

    spread_px: RMS distance of measured points from the smoothed outline.
    """

    lines: list[Floats]
    rough: list[Floats]
    spread_px: float


def fit(cracks: Cracks, offset: Floats, size: tuple[int, int], *, smooth: int, tolerance_px: float) -> Outlines:
    """Fit an outline to every chain.

    Parameters: offset, (C,), of each crack's edge to the left, px; size, (H, W); smooth, points either side that
    one is smoothed over (2, 3 or 5); tolerance_px, of simplifying.
    """
    measured = _measured(cracks, offset)
    ends = _joints(cracks, measured, size)
    chains, corner = cornered(_with_ends(measured, ends))
    fixed = corner | chains.ends
    even = _smoothed(chains, fixed, _SMOOTH[smooth])
    spread = float(np.sqrt(((even.points - chains.points) ** 2).sum(axis=1).mean())) if len(even.points) else 0.0
    return Outlines(_simplified(even, corner, tolerance_px), crack_lines(cracks), spread)


def crack_lines(cracks: Cracks) -> list[Floats]:
    """Each chain's junctions and the middles of its cracks; a closed chain ends as it starts."""
    start, end = _corners_of(cracks)
    ends = np.stack([start[cracks.first[:-1]], end[cracks.first[1:] - 1]], axis=1)
    return _lines(_with_ends(_midpoints(cracks), ends, mixed_px=0.0))


def _corners_of(cracks: Cracks) -> tuple[Floats, Floats]:
    start = np.stack([cracks.x, cracks.y], axis=1).astype(np.float64)
    return start, start + np.stack([STEP_X[cracks.way], STEP_Y[cracks.way]], axis=1)


def _midpoints(cracks: Cracks) -> Chains:
    start, end = _corners_of(cracks)
    return Chains((start + end) / 2, cracks.first, cracks.closed)


def _measured(cracks: Cracks, offset: Floats) -> Chains:
    """Where the edge crosses the line between the two pixels of each crack that runs along it."""
    middle = _midpoints(cracks)
    way = middle.shifted(_LOOK) - middle.shifted(-_LOOK)
    along = np.abs(way[:, 0] * STEP_X[cracks.way] + way[:, 1] * STEP_Y[cracks.way])
    keep = along >= _ALONG * np.hypot(way[:, 0], way[:, 1])
    short = np.diff(cracks.first) <= 2 * _LOOK
    keep |= short[middle.of]
    left = (cracks.way + 3) % 4
    points = middle.points + offset[:, None] * np.stack([STEP_X[left], STEP_Y[left]], axis=1)
    return middle.moved(points).kept(keep)


def _joints(cracks: Cracks, measured: Chains, size: tuple[int, int]) -> Floats:
    """Where each chain begins and ends, (L, 2, 2).

    Chains that meet in one lattice corner meet in one point: the one nearest to all their lines, not far from the
    corner; on the picture's rim it stays there.
    """
    start, end = _corners_of(cracks)
    corners = np.stack([start[cracks.first[:-1]], end[cracks.first[1:] - 1]], axis=1)
    nodes, which = np.unique(corners.reshape(-1, 2), axis=0, return_inverse=True)
    which = which.reshape(-1)
    normal, middle = _end_lines(measured)
    usable = ~np.repeat(measured.closed, 2) & np.isfinite(middle[:, 0])
    matrix = np.tile(0.05 * np.eye(2), (len(nodes), 1, 1))
    target = 0.05 * nodes
    outer = normal[:, :, None] * normal[:, None, :]
    np.add.at(matrix, which[usable], outer[usable])
    np.add.at(target, which[usable], (outer @ middle[:, :, None])[usable, :, 0])
    found = np.linalg.solve(matrix, target[:, :, None])[:, :, 0]
    limit = np.full(len(nodes), _JOINT_PX)
    limit[which[np.repeat(np.diff(cracks.first) < _APART, 2)]] = _CLOSE_JOINT_PX
    moved = nodes + np.clip(found - nodes, -limit[:, None], limit[:, None])
    for axis, last in ((0, size[1]), (1, size[0])):
        on_rim = (nodes[:, axis] == 0) | (nodes[:, axis] == last)
        moved[on_rim, axis] = nodes[on_rim, axis]
    both = ((nodes == 0) | (nodes == np.array([size[1], size[0]]))).all(axis=1)
    moved[both] = nodes[both]
    return moved[which].reshape(-1, 2, 2)


def _end_lines(measured: Chains) -> tuple[Floats, Floats]:
    """(2 L, 2) unit normal and middle of the line through the points near each chain's start and end; nan if none."""
    count = len(measured.closed)
    first, last = measured.first[:-1], measured.first[1:] - 1
    steps = np.arange(_END.start, _END.stop)
    normal, middle = np.zeros((count, 2, 2)), np.full((count, 2, 2), np.nan)
    long = last - first >= _END.stop
    for side, index in ((0, first[long, None] + steps), (1, last[long, None] - steps)):
        points = measured.points[index]
        centre = points.mean(axis=1)
        weights = np.arange(len(steps)) - (len(steps) - 1) / 2
        way = (weights[:, None] * points).sum(axis=1)
        way /= np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]
        normal[long, side] = np.stack([-way[:, 1], way[:, 0]], axis=1)
        middle[long, side] = centre
    return normal.reshape(-1, 2), middle.reshape(-1, 2)


def _with_ends(chains: Chains, ends: Floats, mixed_px: float = _MIXED_PX) -> Chains:
    """Open chains with their junctions put on, points nearer to them than `mixed_px` taken off."""
    of = chains.of
    near = np.minimum(*(np.hypot(*(chains.points - ends[of, side]).T) for side in (0, 1))) < mixed_px
    left = np.bincount(of[~near], minlength=len(chains.closed))
    chains = chains.kept(~near | chains.closed[of] | (left[of] < 3))
    open_ = ~chains.closed
    points = np.concatenate([chains.points, ends[open_, 0], ends[open_, 1]])
    rank = np.concatenate([chains.of * 3 + 1, np.flatnonzero(open_) * 3, np.flatnonzero(open_) * 3 + 2])
    order = np.argsort(rank, kind="stable")
    counts = np.diff(chains.first) + 2 * open_
    return Chains(points[order], np.concatenate([[0], np.cumsum(counts)]), chains.closed)


def _pieces(chains: Chains, corner: Bools) -> tuple[Chains, Ints]:
    """The chains cut at their corners (the corner ends both pieces), and the points' indices in the chains."""
    index: list[Ints] = []
    closed: list[bool] = []
    for start, stop, loop in zip(chains.first[:-1], chains.first[1:], chains.closed, strict=True):
        cuts = np.flatnonzero(corner[start:stop]) + start
        own = np.arange(start, stop)
        if loop and len(cuts):
            own = np.concatenate([np.arange(cuts[0], stop), np.arange(start, cuts[0] + 1)])
            at = np.concatenate([cuts - cuts[0], [stop - start]])
        else:
            at = np.concatenate([[0], cuts - start, [stop - start - 1]])
        if loop and not len(cuts):
            index.append(own)
            closed.append(True)
            continue
        for begin, end in pairwise(at):
            if end > begin:
                index.append(own[begin : end + 1])
                closed.append(False)
    flat = np.concatenate(index) if index else np.zeros(0, dtype=np.int64)
    first = np.concatenate([[0], np.cumsum([len(piece) for piece in index])]).astype(np.int64)
    return Chains(chains.points[flat], first, np.array(closed, dtype=bool)), flat


def _smoothed(chains: Chains, fixed: Bools, kernel: Floats) -> Chains:
    """Each piece between fixed points smoothed by local parabolas; short pieces stay."""
    pieces, index = _pieces(chains, fixed & ~chains.ends)
    reach = len(kernel) // 2
    even = sum(
        (weight * pieces.shifted(step) for step, weight in zip(range(-reach, reach + 1), kernel, strict=True)),
        np.zeros_like(pieces.points),
    )
    points = chains.points.copy()
    long = (np.diff(pieces.first) > reach)[pieces.of]
    points[index[long]] = even[long]
    points[fixed] = chains.points[fixed]
    return chains.moved(points)


def _simplified(chains: Chains, corner: Bools, tolerance_px: float) -> list[Floats]:
    """Fewer points, none of the outline farther than `tolerance_px` from where it was; corners and ends stay."""
    pieces, index = _pieces(chains, corner)
    looped = [
        np.append(index[a:b], index[a]) if loop else index[a:b]
        for a, b, loop in zip(pieces.first[:-1], pieces.first[1:], pieces.closed, strict=True)
    ]
    of = np.repeat(np.arange(len(looped)), [len(piece) for piece in looped])
    flat = np.concatenate(looped)
    short = shapely.simplify(
        shapely.linestrings(chains.points[flat], indices=of), tolerance_px, preserve_topology=False
    )
    coordinates, owner = shapely.get_coordinates(short, return_index=True)
    first = np.searchsorted(owner, np.arange(len(looped) + 1))
    line_of = chains.of[[piece[0] for piece in looped]]
    lines: list[list[Floats]] = [[] for _ in chains.closed]
    for piece, line in enumerate(line_of.tolist()):
        points = coordinates[first[piece] : first[piece + 1]]
        if pieces.closed[piece] and len(points) < 5:
            points = chains.points[looped[piece]]
        lines[line].append(points if not lines[line] else points[1:])
    return [np.concatenate(parts) for parts in lines]


def _lines(chains: Chains) -> list[Floats]:
    return [
        np.vstack([chains.points[a:b], chains.points[a : a + 1]]) if loop else chains.points[a:b]
        for a, b, loop in zip(chains.first[:-1], chains.first[1:], chains.closed, strict=True)
    ]
