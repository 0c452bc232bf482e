"""Where a stroke runs under what lies beside it: its sides and its ends let out beneath the part that closes there."""

from __future__ import annotations

import numpy as np

from analyse.values import Floats, Spine
from plans.layers.ground import Ground
from plans.seams import CLOTH

LOOK_MM = 0.15
"""How far beyond a side or an end its neighbour is looked for."""
POINTED = 0.6
"""An end narrower than this share of a stroke's width is a point."""
EASED_POINTS = 5
"""Side points over which a side let out comes back: a step there would show as a ledge."""


Runs = tuple[tuple[Spine, ...], tuple[tuple[bool, bool], ...]]


def tucked(ground: Ground, part: int) -> Runs:
    """The runs of a stroke, let out beneath what lies over them, and which ends finish under another part.

    Neither hangs on the approach.
    """
    return ground.survey.kept(("tucked", part), lambda: _tucked(ground, part))


def _tucked(ground: Ground, part: int) -> Runs:
    made = [_tucked_run(ground, part, spine) for spine in ground.parts[part].spines]
    return tuple(spine for spine, _ in made), tuple(ends for _, ends in made)


def _tucked_run(ground: Ground, part: int, spine: Spine) -> tuple[Spine, tuple[bool, bool]]:
    if len(spine.line) < 2:
        return spine, (False, False)
    left, right, line = spine.left, spine.right, spine.line
    if ground.parts[part].kind == "column":
        across = _unit(left - right)
        left = left + across * _let_out(ground, part, left + across * LOOK_MM)[:, None]
        right = right - across * _let_out(ground, part, right - across * LOOK_MM)[:, None]
    if spine.closed:
        return Spine(line, left, right, closed=True), (False, False)
    heads = [_beyond(ground, part, line[0, :2] - line[1, :2], line[0])]
    heads.append(_beyond(ground, part, line[-1, :2] - line[-2, :2], line[-1]))
    first, last = (step for step, _ in heads)
    line = np.vstack([line[:1] + np.append(first, 0.0), line, line[-1:] + np.append(last, 0.0)])
    left = np.vstack([left[:1] + first, left, left[-1:] + last])
    right = np.vstack([right[:1] + first, right, right[-1:] + last])
    kept = np.array([bool(first.any()), *([True] * len(spine.line)), bool(last.any())])
    return Spine(line[kept], left[kept], right[kept]), (heads[0][1], heads[1][1])


def _let_out(ground: Ground, part: int, places: Floats) -> Floats:
    """(N,) mm by which side points go beneath what lies just outside them."""
    beside = ground.survey.parts_map.at(places)
    far = np.zeros(len(places))
    for other in np.unique(beside):
        if other not in (CLOTH, part) and ground.runs_under(part, int(other)):
            far[beside == other] = ground.reach(part, int(other)).ends_mm
    if not far.any() or len(far) < EASED_POINTS:
        return far
    eased = np.convolve(np.pad(far, EASED_POINTS // 2, "edge"), np.full(EASED_POINTS, 1 / EASED_POINTS), "valid")
    return np.asarray(np.minimum(far, eased))


def _beyond(ground: Ground, part: int, ahead: Floats, end: Floats) -> tuple[Floats, bool]:
    """The step by which an open end is lengthened beneath what it meets, and whether it meets something over it.

    A pointed end is left alone: there is nothing to carry on.
    """
    if end[2] < POINTED * ground.parts[part].width_mm.median:
        return np.zeros(2), False
    end = end[:2]
    way = _unit(ahead[None, :])[0]
    (other,) = ground.survey.parts_map.at((end + way * 2 * LOOK_MM)[None, :])
    if other in (CLOTH, part) or not ground.runs_under(part, int(other)):
        return np.zeros(2), False
    return way * ground.reach(part, int(other)).rows_mm, True


def _unit(steps: Floats) -> Floats:
    return np.asarray(steps / np.maximum(np.hypot(steps[:, 0], steps[:, 1]), 1e-9)[:, None])
