"""Where an outline turns sharply, and where exactly its two sides meet there."""

from __future__ import annotations

import numpy as np

from analyse.regions.chains import Bools, Chains, Floats, Ints

TURN_DEG = 32.0  # less is a bend, not a corner
_LEAST_DEG = 20.0  # and less than this is not looked at
_SHARP = 0.72  # of the turn must happen within the near window; a round bend turns half there
_NEAR, _FAR = 5, 9  # points either side
_SKIPPED = 1.6  # px either side of a corner where pixels see both sides at once
_PAST_TIP = 0.9  # and so far past the point that a long tip was found from
_CLOSER = 0.1  # radians of turn that a point nearer to its corner by 1 px may lack
_FARTHEST_PX = 4.0  # a corner found farther from its point is none
_BLUNT_PX = 1.2  # and it lies so far at most, if it is square or blunt
_TIP_PX = 0.6  # and so much more for each px that a tip is longer than wide: where it is thin no pixel is its own
_CUT_OFF = 0.5  # px^2 a radian of turn, that points a pixel apart cut off a sharp corner
_ABOUT = 4  # points either side between which what is cut off is measured: fewer than its sides are fitted to


def cornered(chains: Chains, round_px: float) -> tuple[Chains, Bools]:
    """The chains with their corners in place, and which points are corners.

    A corner is where the lines through the points on either side meet; points that pixels blurred about it go. A bend
    of a radius over `round_px` is none.
    """
    bends = _turn(chains, _NEAR, np.arange(len(chains.points)))
    at = np.flatnonzero(bends > np.radians(_LEAST_DEG))
    turn, longer = bends[at], _turn(chains, _FAR, at)
    corner = (turn > np.radians(TURN_DEG)) & ((turn > _SHARP * longer) | (turn > np.radians(75)))
    meeting, found = _meeting(chains, at)
    off = np.hypot(*(meeting - chains.points[at]).T)
    merit = np.zeros(len(bends))
    merit[at] = turn - _CLOSER * np.minimum(off, _FARTHEST_PX)
    for step in (-3, -2, -1, 1, 2, 3):
        place, end = chains.places(step, at)
        corner &= (merit[at] > merit[place]) if step < 0 else (merit[at] >= merit[place])
        corner &= end < 0
    corner &= found & (off < np.minimum(_BLUNT_PX + _TIP_PX * np.tan(turn / 2), _FARTHEST_PX))
    corner &= _cut_off(chains, at, meeting) < _CUT_OFF * turn + round_px**2 * (np.tan(turn / 2) - turn / 2)
    return _with_corners(chains, at[corner], meeting[corner], off[corner])


def _with_corners(chains: Chains, at: Ints, corners: Floats, off: Floats) -> tuple[Chains, Bools]:
    """The chains through their corners, without the points about these; and which points are corners."""
    own = np.zeros(len(chains.points), dtype=bool)
    own[at] = True
    points = chains.points.copy()
    points[at] = corners
    keep = np.ones(len(points), dtype=bool)
    reach = np.maximum(_SKIPPED, off + _PAST_TIP)
    for step in (-3, -2, -1, 1, 2, 3):
        place, _ = chains.places(step, at)
        near = np.hypot(*(corners - chains.points[place]).T) < reach
        keep[place[near & ~own[place]]] = False
    keep = chains.sparing(keep | chains.ends)
    return chains.moved(points).kept(keep), own[keep]


def _turn(chains: Chains, reach: int, at: Ints) -> Floats:
    """Angle between the chord behind each of the points `at` and the one ahead, 0..pi."""
    ahead = chains.shifted(reach, at) - chains.shifted(1, at)
    behind = chains.shifted(-1, at) - chains.shifted(-reach, at)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    angle: Floats = np.abs(np.arctan2(cross, (behind * ahead).sum(axis=1)))
    return angle


def _cut_off(chains: Chains, at: Ints, meeting: Floats) -> Floats:
    """Area, px^2, between the points about each of those `at` and the corner their sides would meet in.

    Negative beyond it. An arc of radius r that turns by t leaves r^2 (tan(t / 2) - t / 2), and pixels keep areas.
    """
    path = [chains.shifted(step, at) for step in range(-_ABOUT, _ABOUT + 1)] + [meeting]
    swept = np.zeros(len(meeting))
    for one, two in zip(path, path[1:] + path[:1], strict=True):
        swept += one[:, 0] * two[:, 1] - two[:, 0] * one[:, 1]
    into, out = path[_ABOUT] - path[0], path[2 * _ABOUT] - path[_ABOUT]
    area: Floats = -0.5 * swept * np.sign(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0])
    return area


def _meeting(chains: Chains, at: Ints) -> tuple[Floats, Bools]:
    """Where the line through the points behind each of those `at` meets the one ahead; whether it does."""
    lines = []
    for side in (-1, 1):
        around = np.stack([chains.shifted(side * step, at) for step in range(2, _NEAR + 2)])
        middle = around.mean(axis=0)
        weights = np.arange(len(around)) - (len(around) - 1) / 2
        lines.append((middle, (weights[:, None, None] * around).sum(axis=0)))
    (one, way), (two, other) = lines
    cross = way[:, 0] * other[:, 1] - way[:, 1] * other[:, 0]
    step = two - one
    meets = np.abs(cross) > 1e-6
    along = (step[:, 0] * other[:, 1] - step[:, 1] * other[:, 0]) / np.where(meets, cross, 1)
    return one + along[:, None] * way, meets
