"""Where a stroke's width crosses the limit of a kind on its way: there a hand goes over to the other kind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analyse.kinds.setting import Setting
from analyse.values import Floats
from analyse.widths.parting import parted
from analyse.widths.strokes import Stroke

CLEARLY = 0.1  # a stretch lies beyond a limit only if its mean width does so by this share


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Rows first to last of a run, all on one side of a limit."""

    first: int
    last: int
    over: bool


def tapered(pieces: Sequence[Stroke], setting: Setting) -> list[Stroke]:
    """The pieces, each cut across where it goes from running line to column for long enough, or from column to fill."""
    least = setting.value("kind.change_after")
    thin = setting.value("kind.three_passes_under")
    widest = setting.value("kind.column_widest") - 2.0 * setting.cloth.pull_mm
    stump = setting.value("fill.stump") * widest
    narrow = [part for piece in pieces for part in _crossing(piece, thin, (least, least), setting.mm_per_px)]
    return [part for piece in narrow for part in _crossing(piece, widest, (stump, widest), setting.mm_per_px)]


def _crossing(stroke: Stroke, limit: float, least: tuple[float, float], scale: float) -> tuple[Stroke, ...]:
    """A stroke cut where its width passes a limit; least: how long a stretch under it is at least, and one over it."""
    track = stroke.track
    if track is None or not track.axis[:, 2].min() * scale < limit < track.axis[:, 2].max() * scale:
        return (stroke,)
    stretches = _stretches(track.axis[:, 2] * scale, track.along * scale, limit, least)
    rows = tuple(stretch.last for stretch in stretches[:-1])
    if track.closed and rows and stretches[0].over != stretches[-1].over:
        rows = (*rows, stretches[-1].last)  # where the ring begins, it goes over as well
    if rows not in stroke.parts:
        stroke.parts[rows] = parted(stroke, rows)
    return stroke.parts[rows]


def _stretches(width: Floats, along: Floats, limit: float, least: tuple[float, float]) -> list[_Stretch]:
    """The run in stretches under and over the limit; what is too short or hardly beyond it goes with its neighbours."""
    over = width >= limit
    bounds = np.concatenate([[0], np.flatnonzero(over[1:] != over[:-1]) + 1, [len(width) - 1]]).tolist()
    sums = np.bincount(over[1:], np.diff(along), minlength=2)
    if sums[0] < least[0] or sums[1] < least[1]:
        return [_Stretch(0, len(width) - 1, bool(sums[1] > sums[0]))]
    stretches = [_Stretch(a, b, bool(over[a])) for a, b in pairwise(bounds) if b > a]
    while len(stretches) > 1:
        lengths = [float(along[each.last] - along[each.first]) for each in stretches]
        weak = [
            (length, k)
            for k, (each, length) in enumerate(zip(stretches, lengths, strict=True))
            if length < least[each.over] or not _clearly(width, along, each, limit)
        ]
        if not weak:
            break
        _, k = min(weak)
        low, high = max(k - 1, 0), min(k + 1, len(stretches) - 1)
        joined = _Stretch(stretches[low].first, stretches[high].last, not stretches[k].over)
        stretches[low : high + 1] = [joined]
    return stretches


def _clearly(width: Floats, along: Floats, stretch: _Stretch, limit: float) -> bool:
    own = slice(stretch.first, stretch.last + 1)
    mean = float(np.trapezoid(width[own], along[own])) / max(float(along[stretch.last] - along[stretch.first]), 1e-9)
    return mean >= limit * (1.0 + CLEARLY) if stretch.over else mean <= limit * (1.0 - CLEARLY)
