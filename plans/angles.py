"""Stitch angles of fills: off their long edge, off their neighbours, off the cloth's grain, off what lies on them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.trade import Trade
from analyse.values import Floats, Spine, lock

CANDIDATES_DEG: Floats = np.arange(0.0, 180.0, 5.0)
OWN_EDGE_DEG = 20.0
"""Rows nearer than this to a shape's long edge fray there and leave it ragged."""
LONG_EDGE, NEIGHBOUR, GRAIN, COLUMNS, LINES, SLANT = 1.0, 1.2, 0.5, 3.0, 2.0, 0.15
"""What each breach costs, as shares of an angle wholly wrong: what lies on a base sinks in, so it counts most."""
ROUNDS = 3


@dataclass(frozen=True, slots=True, eq=False)
class Lie:
    """One field as its angle sees it: outline normals with lengths, and the runs of what lies on it.

    normal: (N, 2) outward, length: (N,) mm. columns, lines: (180,) mm of stitch lines, and of running detail, by
    whole degree of their direction. fixed_deg: the practitioner's own word.
    """

    normal: Floats
    length: Floats
    columns: Floats
    lines: Floats
    fixed_deg: float | None = None

    def __post_init__(self) -> None:
        lock(self, "normal", "length", "columns", "lines")


def fill_angles(
    lies: tuple[Lie, ...],
    touching: Floats,
    trade: Trade,
    avoid_deg: tuple[float, ...],
    alike: tuple[tuple[int, ...], ...] = (),
) -> tuple[float, ...]:
    """An angle for each field, in degrees. touching: (n, n) mm between fields that must differ.

    alike: for each field those that share one angle with it, itself among them: mirror images, so that light falls
    alike on both, and the steps of a shading, so that they read as one surface.
    The largest choose first, then each again with all others known. Deterministic; cost n times neighbours.
    """
    if not lies:
        return ()
    alone = np.array([_alone(lie, trade, avoid_deg) for lie in lies])
    chosen = np.full(len(lies), np.nan)
    largest = sorted(range(len(lies)), key=lambda i: (-float(lies[i].length.sum()), i))
    for _ in range(ROUNDS):
        for index in largest:
            own = _alike(lies, alike, index)
            cost = sum(alone[one] + NEIGHBOUR * _clash(chosen, touching[one], own, trade) for one in own)
            chosen[list(own)] = CANDIDATES_DEG[int(np.argmin(np.round(cost, 9)))]
    settled = zip(chosen.tolist(), lies, strict=True)
    return tuple(angle if lie.fixed_deg is None else lie.fixed_deg for angle, lie in settled)


def _alike(lies: tuple[Lie, ...], alike: tuple[tuple[int, ...], ...], index: int) -> tuple[int, ...]:
    """Those that a field shares its angle with, unless the practitioner has a word on any."""
    own = alike[index] if alike else (index,)
    return own if all(lies[each].fixed_deg is None for each in own) else (index,)


def runs_by_degree(spines: tuple[Spine, ...], across: bool, over: NDArray[np.bool_] | None = None) -> Floats:
    """(180,) mm of spine by the direction of its run, or of the stitch lines across it, in whole degrees.

    over: (N,) which points of the one spine count; else all.
    """
    total = np.zeros(180)
    for spine in spines:
        steps = np.diff(spine.line[:, :2], axis=0)
        lines = (spine.right - spine.left)[:-1] if across else steps
        degree = np.round(np.degrees(np.arctan2(-lines[:, 1], lines[:, 0]))).astype(np.int64) % 180
        length = np.hypot(steps[:, 0], steps[:, 1])
        np.add.at(total, degree, length if over is None else length * over[:-1])
    return total


def _turns(first: Floats, second: Floats) -> Floats:
    """(len(first), len(second)) degrees between directions, 0 to 90."""
    turn = np.abs(first[:, None] - second[None, :]) % 180.0
    return np.minimum(turn, 180.0 - turn)


def _alone(lie: Lie, trade: Trade, avoid_deg: tuple[float, ...]) -> Floats:
    """Cost of each candidate before neighbours are known."""
    degrees: Floats = np.arange(180.0)
    edge = np.degrees(np.arctan2(-lie.normal[:, 0], -lie.normal[:, 1])) % 180.0  # the edge itself, not its normal
    cost = LONG_EDGE * _share(_turns(CANDIDATES_DEG, edge) < OWN_EDGE_DEG, lie.length)
    off_columns = _turns(CANDIDATES_DEG, degrees) < float(trade.value("base.angle_off_columns"))
    off_lines = _turns(CANDIDATES_DEG, degrees) < float(trade.value("base.angle_off_lines"))
    cost += COLUMNS * _share(off_columns, lie.columns) + LINES * _share(off_lines, lie.lines)
    for grain in avoid_deg:
        cost += GRAIN * (_turns(CANDIDATES_DEG, np.array([grain]))[:, 0] < float(trade.value("angle.off_grain")))
    cost += SLANT * _turns(CANDIDATES_DEG, np.array([45.0]))[:, 0] / 90.0
    if lie.fixed_deg is not None:
        cost = cost + 100.0 * (_turns(CANDIDATES_DEG, np.array([lie.fixed_deg]))[:, 0] > 2.5)
    return cost


def _share(breach: NDArray[np.bool_], weight: Floats) -> Floats:
    return breach @ weight / max(float(weight.sum()), 1e-9)


def _clash(chosen: Floats, touching: Floats, own: tuple[int, ...], trade: Trade) -> Floats:
    """For each candidate, the share of its edge with settled neighbours that lie too near in angle."""
    settled = np.flatnonzero((touching > 0) & ~np.isnan(chosen))
    known = settled[~np.isin(settled, own)]
    near = _turns(CANDIDATES_DEG, chosen[known]) < float(trade.value("angle.neighbours_differ"))
    return near @ touching[known] / max(float(touching.sum()), 1e-9)
