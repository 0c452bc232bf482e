"""How does a column get round a corner? Turned through, joined on the diagonal, or overlapped square, by the turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analyse.values import Floats
from plans.stitching.curves import SAMPLE_MM, along, at_way, lengths
from plans.stitching.sides import Sides

MITRE_OVER_DEG = 55.0  # a lesser turn is turned through: its stitches fan round the inner corner
SQUARE_OVER_DEG = 110.0  # over a sharper turn a diagonal would run out too far: one leg closes it, the other butts
PIVOT_SHARE = 0.3  # the inner side hardly moves where it makes less than this share of the outer side's way
SHARP_SHARE = 0.6  # a corner is sharp where this share of the whole turn lies within SHARP_OVER widths
SHARP_OVER = 0.4


@dataclass(frozen=True, slots=True)
class CornerRules:
    """Turns, degrees: a lesser one than `mitre_over` is turned through, its stitches fanning round the inner corner.

    Over `square_over` a diagonal would run out too far: one leg closes the corner, the other butts against it.
    """

    mitre_over: float
    square_over: float


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """Samples of a run's sides that are sewn on. measured: the way each step counts, mm, or None for the usual rule."""

    left: Floats
    right: Floats
    measured: Floats | None = None


@dataclass(frozen=True, slots=True)
class _Corner:
    """Samples `first` to `last` turn round the inner corner; `peak` is at the outer one. outer_left: which side."""

    first: int
    peak: int
    last: int
    outer_left: bool
    turn_deg: float


def stretches(sides: Sides, rules: CornerRules) -> list[Stretch]:
    """The run parted at its sharp corners, each corner closed as its turn asks; one stretch where it has none."""
    found: list[Stretch] = []
    done = 0
    for corner in _corners(sides, rules.mitre_over):
        found.append(Stretch(sides.left[done : corner.first + 1], sides.right[done : corner.first + 1]))
        found += _mitre(sides, corner) if corner.turn_deg <= rules.square_over else _square(sides, corner)
        done = corner.last
    found.append(Stretch(sides.left[done:], sides.right[done:]))
    return [stretch for stretch in found if len(stretch.left) > 1]


def _corners(sides: Sides, least_deg: float) -> list[_Corner]:
    left, right = lengths(sides.left), lengths(sides.right)
    found: list[_Corner] = []
    for outer, inner, outer_left in ((left, right, True), (right, left, False)):
        still = np.concatenate([[False], inner < PIVOT_SHARE * outer, [False]])
        change = np.flatnonzero(np.diff(still.astype(np.int8)))
        for first, last in zip(change[::2].tolist(), change[1::2].tolist(), strict=True):
            corner = _judged(sides, first, last, outer_left, least_deg)
            if corner is not None:
                found.append(corner)
    found.sort(key=lambda corner: corner.first)
    return [one for number, one in enumerate(found) if number == 0 or one.first >= found[number - 1].last]


def _judged(sides: Sides, first: int, last: int, outer_left: bool, least_deg: float) -> _Corner | None:
    """The corner between two samples, if it turns far enough and its outer side is sharp."""
    outer = sides.left if outer_left else sides.right
    across = sides.left - sides.right
    turn = _turn_deg(across[first], across[last])
    width = float(min(sides.widths[first], sides.widths[last]))
    if turn < least_deg or first < 2 or last > len(outer) - 3 or width <= 0:
        return None
    way = along(outer)
    reach = SHARP_OVER * width / 2
    inner_ways = way[first : last + 1]
    before, here, after = (at_way(outer, way, inner_ways + step) for step in (-reach, 0.0, reach))
    turns = np.array([_turn_deg(a, b) for a, b in zip(here - before, after - here, strict=True)])
    if turns.max() < SHARP_SHARE * turn:
        return None
    return _Corner(first, first + int(np.argmax(turns)), last, outer_left, turn)


def _mitre(sides: Sides, corner: _Corner) -> list[Stretch]:
    """Each leg keeps its own stitch lines and ends on the diagonal from the inner corner to the outer one."""
    outer, inner = (sides.left, sides.right) if corner.outer_left else (sides.right, sides.left)
    pivot = (inner[corner.first] + inner[corner.last]) / 2
    tip = outer[corner.peak]
    legs = []
    for begin, end, arrives in ((corner.first, corner.peak, True), (corner.peak, corner.last, False)):
        rim = outer[begin : end + 1]
        if len(rim) < 2:
            continue
        share = along(rim) / max(float(lengths(rim).sum()), 1e-9)
        share = share if arrives else 1.0 - share
        legs.append(_stretch(rim, pivot + share[:, None] * (tip - pivot), corner.outer_left))
    return legs


def _square(sides: Sides, corner: _Corner) -> list[Stretch]:
    """The first leg goes on across the corner to its tip; the second fills up to it from beside."""
    outer, inner = (sides.left, sides.right) if corner.outer_left else (sides.right, sides.left)
    pivot = (inner[corner.first] + inner[corner.last]) / 2
    rim, back = outer[corner.first : corner.peak + 1], outer[corner.peak : corner.last + 1]
    ahead = rim[-1] - rim[0]
    ahead = ahead / max(float(np.hypot(*ahead)), 1e-9)
    met = int(np.argmin(np.abs((back - pivot) @ np.array([-ahead[1], ahead[0]]))))
    base = np.vstack([pivot, back[met], *back[:met][::-1]])
    reach = np.maximum.accumulate((base - pivot) @ ahead)
    closing = at_way(base, along(base), np.interp((rim - rim[0]) @ ahead, reach, along(base)))
    butting = back[met:]
    share = along(butting) / max(float(lengths(butting).sum()), 1e-9) if len(butting) > 1 else np.ones(1)
    stretches_here = [_stretch(rim, closing, corner.outer_left)]
    if len(butting) > 1:
        filled = butting[0] + share[:, None] * (pivot - butting[0])
        stretches_here.append(_stretch(butting, filled, corner.outer_left))
    return stretches_here


def _stretch(rim: Floats, other: Floats, outer_left: bool) -> Stretch:
    count = max(int(np.ceil(lengths(rim).sum() / SAMPLE_MM)), 1)
    way = along(rim)
    wanted = np.linspace(0.0, way[-1], count + 1)
    rim, other = at_way(rim, way, wanted), at_way(other, way, wanted)
    return Stretch(*((rim, other) if outer_left else (other, rim)), measured=lengths(rim))


def _turn_deg(a: Floats, b: Floats) -> float:
    return float(np.degrees(np.abs(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))))
