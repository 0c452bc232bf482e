"""Every pixel of thread lit: looked up along and across the strand that shows there, band by band."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from plans.sewout.chance import scattered
from plans.sewout.cover import BARE
from plans.sewout.frame import Frame
from plans.sewout.sheen import LIGHT, SAMPLES, directions, light_along
from plans.sewout.strands import Strands
from plans.sewout.tones import Light
from plans.sewout.twist import CODES, LEAN, PLY_MM, SIDE_LIGHT, across_light, along_light

BAND_PX = 1 << 16
"""Pixels lit at a time: what they need stays in the processor's cache."""


@dataclass(frozen=True, slots=True, eq=False)
class Lit:
    """What lighting looks up. crest: (N x SAMPLES, 3) light along each strand; the rest (N,) or a table of CODES.

    A place along a strand is x * ax + y * ay + a0, in samples; across it x * cx + y * cy + c0, in -1..1.
    """

    crest: Light
    along: Light
    across: Light
    side: Light
    round_: Light
    ply: Light
    ply_step: Light
    ply_start: Light


def light_up(strands: Strands, palette: Light, place: Frame, px_per_mm: float) -> Lit:
    """Everything about the strands that does not depend on the pixel."""
    run, length = directions(strands)
    start = place.to_px(strands.start, px_per_mm)
    per_px = (SAMPLES - 1) / (length * px_per_mm)
    along = np.column_stack([run * per_px[:, None], -(start * run).sum(axis=1) * per_px + 0.5])
    normal = np.column_stack([-run[:, 1], run[:, 0]]) * (2 / (strands.width_mm * px_per_mm))
    across = np.column_stack([normal, -(start * normal).sum(axis=1)])
    side = (-run[:, 1] * LIGHT[0] + run[:, 0] * LIGHT[1]) * SIDE_LIGHT
    ply_step = length / (SAMPLES - 1) / PLY_MM * CODES
    return Lit(
        crest=light_along(strands, palette[strands.thread]).reshape(-1, 3),
        along=along.astype(np.float32),
        across=across.astype(np.float32),
        side=side.astype(np.float32),
        round_=across_light(),
        ply=along_light(px_per_mm),
        ply_step=ply_step.astype(np.float32),
        ply_start=scattered(strands.end, 2) * CODES,
    )


def light_band(ids: NDArray[np.int32], first_row: int, lit: Lit) -> Light:
    """(H, W, 3) light of a band of rows; nothing where cloth shows."""
    picture = np.zeros((ids.size, 3), np.float32)
    covered = np.flatnonzero(ids.ravel() != BARE)
    strand = ids.ravel()[covered]
    row, column = np.divmod(covered, ids.shape[1])
    x, y = column.astype(np.float32) + np.float32(0.5), row.astype(np.float32) + np.float32(first_row + 0.5)
    ax, ay, a0 = lit.along[strand].T
    cx, cy, c0 = lit.across[strand].T
    along = np.clip(x * ax + y * ay + a0, 0, SAMPLES - 1)
    across = np.clip(x * cx + y * cy + c0, -1, 1)
    turn = along * lit.ply_step[strand] + across * np.float32(LEAN / PLY_MM * CODES / 2) + lit.ply_start[strand]
    light = lit.round_[((across + 1) * ((CODES - 1) / 2)).astype(np.int32)]
    light = (light + across * lit.side[strand]) * lit.ply[turn.astype(np.int32) & (CODES - 1)]
    crest = lit.crest[strand * SAMPLES + along.astype(np.int32)]
    picture[covered] = crest * light[:, None]
    return picture.reshape(*ids.shape, 3)


def light_thread(ids: NDArray[np.int32], lit: Lit, finer: int) -> Light:
    """(H, W, 3) light from the thread, `finer` times coarser than `ids`, weighed by its cover."""
    rows, columns = ids.shape
    band = max(1, BAND_PX // (columns * finer)) * finer
    small = np.empty((rows // finer, columns // finer, 3), np.float32)
    for first in range(0, rows, band):
        part = light_band(ids[first : first + band], first, lit)
        low, high = first // finer, first // finer + part.shape[0] // finer
        small[low:high] = cv2.resize(part, (columns // finer, high - low), interpolation=cv2.INTER_AREA)
    return small
