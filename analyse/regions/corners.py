"""Where an outline turns sharply, and where exactly its two sides meet there."""

from __future__ import annotations

import numpy as np

from analyse.regions.chains import Bools, Chains, Floats

TURN_DEG = 32.0  # less is a bend, not a corner
_SHARP = 0.72  # of the turn must happen within the near window; a round bend turns half there
_NEAR, _FAR = 5, 9  # points either side
_SKIPPED = 1.6  # px either side of a corner where pixels see both sides at once
_FARTHEST_PX = 2.2  # a corner found farther from its point is none


def cornered(chains: Chains) -> tuple[Chains, Bools]:
    """The chains with their corners in place, and which points are corners.

    A corner is where the lines through the points on either side meet; points that pixels blurred about it go.
    """
    turn = _turn(chains, _NEAR)
    longer = _turn(chains, _FAR)
    own = (turn > np.radians(TURN_DEG)) & ((turn > _SHARP * longer) | (turn > np.radians(75)))
    for step in (-3, -2, -1, 1, 2, 3):
        place, end = chains.places(step)
        other = np.where(end >= 0, 0, turn[place])
        own &= (turn > other) if step < 0 else (turn >= other)
    own &= _clear_of_ends(chains, 3)
    meeting, found = _meeting(chains)
    own &= found & (np.hypot(*(meeting - chains.points).T) < _FARTHEST_PX)
    points = np.where(own[:, None], meeting, chains.points)
    keep = np.ones(len(points), dtype=bool)
    for step in (-3, -2, -1, 1, 2, 3):
        place, end = chains.places(step)
        near = own[place] & (end < 0) & (np.hypot(*(points[place] - chains.points).T) < _SKIPPED)
        keep &= ~(near & ~own)
    keep = chains.sparing(keep | chains.ends)
    return chains.moved(points).kept(keep), own[keep]


def _turn(chains: Chains, reach: int) -> Floats:
    """Angle between the chord behind each point and the one ahead, 0..pi."""
    ahead = chains.shifted(reach) - chains.shifted(1)
    behind = chains.shifted(-1) - chains.shifted(-reach)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    angle: Floats = np.abs(np.arctan2(cross, (behind * ahead).sum(axis=1)))
    return angle


def _clear_of_ends(chains: Chains, steps: int) -> Bools:
    """Points with at least `steps` more on either side."""
    return (chains.places(steps)[1] < 0) & (chains.places(-steps)[1] < 0)


def _meeting(chains: Chains) -> tuple[Floats, Bools]:
    """Where the line through the points behind meets the one through the points ahead; whether it does."""
    lines = []
    for side in (-1, 1):
        around = np.stack([chains.shifted(side * step) for step in range(2, _NEAR + 2)])
        middle = around.mean(axis=0)
        weights = np.arange(len(around)) - (len(around) - 1) / 2
        lines.append((middle, (weights[:, None, None] * around).sum(axis=0)))
    (one, way), (two, other) = lines
    cross = way[:, 0] * other[:, 1] - way[:, 1] * other[:, 0]
    step = two - one
    meets = np.abs(cross) > 1e-6
    along = (step[:, 0] * other[:, 1] - step[:, 1] * other[:, 0]) / np.where(meets, cross, 1)
    return one + along[:, None] * way, meets
