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
_END = slice(1, 5)  # points from a chain's end that give its direction there
_SURE_PX = 0.05  # how far the points of a straight chain lie off their line; bent chains say less of a junction
_HELD = 0.1  # how much a junction is held to its corner, beside a straight chain that holds it to its line
_BESIDE_BEND = 4  # points beside a vertex that may still belong to its bend
_LONG_EDGE = 14  # points between vertices from which an edge can be told to be straight
_ON_IT_PX = 1e-4  # points so near their outline lie on an edge along the pixels, and say nothing of other edges
_LITTLE = 0.25  # share of the others that is not near a bend, where smoothing alone moves points
_SHIFTED_PX = 0.03  # so far a straight edge may lie beside its points,
_STRAIGHT = 0.3  # if they scatter about their own line by less than this share of it: an arc's scatter by 0.45


@dataclass(frozen=True, slots=True, eq=False)
class Outlines:
    """lines: the points of each chain, ends included, a loop's last as its first.

    spread_px: RMS distance of measured points from the smoothed outline. scatter_px: lower quartile of their distances
    straight across, of those off it: how noisy the picture's edges are, whatever their corners do.
    """

    lines: list[Floats]
    spread_px: float
    scatter_px: float


def fit(
    cracks: Cracks, offset: Floats, size: tuple[int, int], *, smooth: int, tolerance_px: float, round_px: float
) -> Outlines:
    """Fit an outline to every chain.

    Parameters: offset, (C,), of each crack's edge to the left, px; size, (H, W); smooth, points either side that
    one is smoothed over (2, 3 or 5); tolerance_px, of simplifying; round_px, the radius that a sharp corner may seem
    to have.
    """
    measured = _measured(cracks, offset)
    ends = _joints(cracks, measured, size)
    chains, corner = cornered(_with_ends(measured, ends), round_px)
    fixed = corner | chains.ends
    even = _smoothed(chains, fixed, _SMOOTH[smooth])
    spread = float(np.sqrt(((even.points - chains.points) ** 2).sum(axis=1).mean())) if len(even.points) else 0.0
    return Outlines(_simplified(even, corner, tolerance_px), spread, _scatter(chains, even, fixed))


def _scatter(chains: Chains, even: Chains, fixed: Bools) -> float:
    off, along = (even.points - chains.points)[~fixed], (even.shifted(1) - even.shifted(-1))[~fixed]
    across = np.abs(off[:, 0] * along[:, 1] - off[:, 1] * along[:, 0]) / np.maximum(np.hypot(*along.T), 1e-9)
    across = across[across > _ON_IT_PX]
    return float(np.quantile(across, _LITTLE)) if len(across) else 0.0


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
    normal, middle, trust = _end_lines(measured)
    usable = ~np.repeat(measured.closed, 2) & np.isfinite(middle[:, 0])
    most = np.zeros(len(nodes))
    np.maximum.at(most, which[usable], trust[usable])
    held = _HELD * np.where(most > 0, most, 1.0)
    matrix = held[:, None, None] * np.eye(2)
    target = held[:, None] * nodes
    outer = trust[:, None, None] * normal[:, :, None] * normal[:, None, :]
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


def _end_lines(measured: Chains) -> tuple[Floats, Floats, Floats]:
    """(2 L, 2) unit normal and middle of the line through the points near each chain's start and end; nan if none.

    And (2 L,) how far each is to be trusted, 0..1: less if its points lie off their line.
    """
    count = len(measured.closed)
    trust = np.zeros((count, 2))
    first, last = measured.first[:-1], measured.first[1:] - 1
    steps = np.arange(_END.start, _END.stop)
    normal, middle = np.zeros((count, 2, 2)), np.full((count, 2, 2), np.nan)
    long = last - first >= 6  # on both sides a third colour is seen near the end
    for side, index in ((0, first[long, None] + steps), (1, last[long, None] - steps)):
        points = measured.points[index]
        centre = points.mean(axis=1)
        weights = np.arange(len(steps)) - (len(steps) - 1) / 2
        way = (weights[:, None] * points).sum(axis=1)
        way /= np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]
        normal[long, side] = across = np.stack([-way[:, 1], way[:, 0]], axis=1)
        middle[long, side] = centre
        off = ((points - centre[:, None]) * across[:, None]).sum(axis=2)
        trust[long, side] = _SURE_PX**2 / (_SURE_PX**2 + (off**2).mean(axis=1))
    return normal.reshape(-1, 2), middle.reshape(-1, 2), trust.reshape(-1)


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
    start, count = chains.first[:-1], np.diff(chains.first)
    cuts = np.flatnonzero(corner)
    first_cut = np.full(len(start), len(corner))
    np.minimum.at(first_cut, chains.of[cuts], cuts)
    begun = chains.closed & (first_cut < len(corner))  # a loop with corners begins and ends at its first
    lengths = count + begun
    of = np.repeat(np.arange(len(start)), lengths)
    place = np.arange(len(of)) - (np.cumsum(lengths) - lengths)[of]
    turned = np.where(begun, first_cut - start, 0)[of]
    index = start[of] + (turned + place) % count[of]
    twice = corner[index] & (place > 0) & (place < lengths[of] - 1)
    last = np.cumsum(1 + twice) - 1  # the place of each one's last copy
    first = np.append(last[(place == 0) | twice], len(of) + int(twice.sum()))
    return (
        Chains(chains.points[np.repeat(index, 1 + twice)], first, (chains.closed & ~begun)[of[(place == 0) | twice]]),
        np.repeat(index, 1 + twice),
    )


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
    count = np.diff(pieces.first)
    lengths = count + pieces.closed
    of = np.repeat(np.arange(len(count)), lengths)
    place = np.arange(len(of)) - (np.cumsum(lengths) - lengths)[of]
    whole = pieces.points[pieces.first[of] + place % count[of]]
    numbered = np.column_stack([whole, np.arange(len(whole))])
    short = shapely.simplify(shapely.linestrings(numbered, indices=of), tolerance_px, preserve_topology=False)
    kept = shapely.get_coordinates(short, include_z=True)[:, 2].astype(np.int64)
    kept = np.sort(np.append(kept, _shifted_edges(whole, kept, of)))
    first = np.searchsorted(of[kept], np.arange(len(count) + 1))
    parts = _split(whole[kept], first)
    for piece in np.flatnonzero(pieces.closed & (np.diff(first) < 5)).tolist():
        parts[piece] = whole[of == piece]
    line_of = chains.of[index[pieces.first[:-1]]]
    on = np.flatnonzero(np.diff(line_of, prepend=-1) == 0).tolist()
    for piece in on:
        parts[piece] = parts[piece][1:]
    stops = np.cumsum([len(part) for part in parts])[np.flatnonzero(np.diff(line_of, append=len(chains.closed)))]
    return _split(np.concatenate(parts), np.append(0, stops))


def _split(points: Floats, first: Ints) -> list[Floats]:
    """The points from each place in `first` to the next."""
    return [points[start:stop] for start, stop in pairwise(first.tolist())]


def _shifted_edges(points: Floats, kept: Ints, of: Ints) -> Ints:
    """Points to keep besides, so that long straight edges run through their points.

    The smoothing swings over where a bend begins; an edge from swing to swing would lie beside all that is between.
    """
    start, end = kept[:-1], kept[1:]
    long = (of[start] == of[end]) & (end - start >= _LONG_EDGE)
    start, end = start[long], end[long]
    low, high = start + _BESIDE_BEND, end - _BESIDE_BEND
    way = points[end] - points[start]
    size = np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)
    count = high - low + 1
    edge = np.repeat(np.arange(len(low)), count)
    inner = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + low[edge]
    off = points[inner] - points[start][edge]
    along = (off * way[edge]).sum(axis=1) / size[edge]
    aside = (off[:, 0] * way[edge, 1] - off[:, 1] * way[edge, 0]) / size[edge]

    def mean(values: Floats) -> Floats:
        return np.asarray(np.bincount(edge, values, minlength=len(low)) / count)

    shift, middle = mean(aside), mean(along)
    along -= middle[edge]
    slope = mean(along * aside) / np.maximum(mean(along**2), 1e-9)
    scatter = np.sqrt(mean((aside - shift[edge] - slope[edge] * along) ** 2))
    shifted = (np.abs(shift) > _SHIFTED_PX) & (scatter < _STRAIGHT * np.abs(shift))
    return np.append(low[shifted], high[shifted])


def _lines(chains: Chains) -> list[Floats]:
    return [
        np.vstack([chains.points[a:b], chains.points[a : a + 1]]) if loop else chains.points[a:b]
        for a, b, loop in zip(chains.first[:-1], chains.first[1:], chains.closed, strict=True)
    ]
