"""Every pixel of thread lit: looked up along and across the strand that shows there, band by band."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from plans.sewout.cover import BARE
from plans.sewout.frame import Frame
from plans.sewout.sheen import LIGHT, directions, light_along
from plans.sewout.strands import KINDS, Strands
from plans.sewout.tones import Light
from plans.sewout.twist import CODES, LEAN, PLY_MM, SIDE_LIGHT, across_light, along_light

SAMPLES, FEWER = 32, 12
"""A strand is lit at so many places along it: an eighth of a millimetre apart on a fill's stitch, or two pixels."""
FINE_PX_PER_MM = 12.0
"""From so many pixels on the first of them."""
BAND_PX = 1 << 16
"""Pixels lit at a time: what they need stays in the processor's cache."""


@dataclass(frozen=True, slots=True, eq=False)
class Lit:
    """What lighting looks up. crest: (3, N x samples) light along each strand; ply, round_: (CODES,).

    lie: (8, N) of each strand: a place along it is x * ax + y * ay + a0, in samples; across it x * cx + y * cy + c0,
    in -1..1; then what its lamp side gains, and how far its ply turns from sample to sample.
    """

    crest: Light
    lie: Light
    ply: Light
    round_: Light
    samples: int


def light_up(strands: Strands, palette: Light, place: Frame, px_per_mm: float) -> Lit:
    """Everything about the strands that does not depend on the pixel. palette: of the threads, then the bobbin."""
    run, length = directions(strands)
    two_threads = bool((2 * strands.top_mm < length).any())
    samples = SAMPLES if px_per_mm >= FINE_PX_PER_MM or two_threads else FEWER
    colours = palette[strands.thread][:, None]
    if two_threads:
        from_end = (0.5 - np.abs(np.linspace(-0.5, 0.5, samples))) * length[:, None]
        colours = np.where((from_end <= strands.top_mm[:, None])[..., None], colours, palette[-1])
    start = place.to_px(strands.start, px_per_mm)
    along = run * ((samples - 1) / (length * px_per_mm))[:, None]
    across = np.column_stack([-run[:, 1], run[:, 0]]) * (2 / (strands.width_mm * px_per_mm * strands.sunk))[:, None]
    lie = [
        along,
        0.5 - (start * along).sum(axis=1),
        across,
        -(start * across).sum(axis=1),
        (-run[:, 1] * LIGHT[0] + run[:, 0] * LIGHT[1]) * np.array([SIDE_LIGHT[kind] for kind in KINDS])[strands.kind],
        length / (samples - 1) / PLY_MM * CODES,
    ]
    return Lit(
        crest=np.ascontiguousarray(light_along(strands, colours, samples).reshape(-1, 3).T),
        lie=np.ascontiguousarray(np.column_stack(lie).T, dtype=np.float32),
        ply=along_light(px_per_mm),
        round_=across_light(),
        samples=samples,
    )


def light_band(ids: NDArray[np.int32], first_row: int, lit: Lit) -> Light:
    """(3, H, W) light of a band of rows; nothing where cloth shows."""
    picture = np.zeros((3, ids.size), np.float32)
    covered = np.flatnonzero(ids.ravel() != BARE).astype(np.int32)
    strand = ids.ravel().take(covered)
    down = covered // np.int32(ids.shape[1])
    x, y = (covered - down * np.int32(ids.shape[1])).astype(np.float32), down.astype(np.float32)
    x += np.float32(0.5)
    y += np.float32(first_row + 0.5)
    ax, ay, a0, cx, cy, c0, side, turn = (row.take(strand) for row in lit.lie)
    along = np.clip(x * ax + y * ay + a0, 0, lit.samples - 1)
    across = np.clip(x * cx + y * cy + c0, -1, 1)
    light = lit.round_.take(((across + 1) * np.float32((CODES - 1) / 2)).astype(np.int32)) + across * side
    turn = along * turn + across * np.float32(LEAN / PLY_MM * CODES / 2) + (strand * np.int32(97)).astype(np.float32)
    light *= lit.ply.take(turn.astype(np.int32) & (CODES - 1))
    at = strand * lit.samples + along.astype(np.int32)
    for plane, crest in zip(picture, lit.crest, strict=True):
        plane[covered] = crest.take(at) * light
    return picture.reshape(3, *ids.shape)


def light_thread(ids: NDArray[np.int32], lit: Lit, finer: int) -> Light:
    """(H, W, 3) light from the thread, `finer` times coarser than `ids`, weighed by its cover.

    Two bands at a time: every band fills rows of its own, so the picture does not depend on which is done first.
    """
    rows, columns = ids.shape
    band = max(1, BAND_PX // (columns * finer)) * finer
    small = np.empty((rows // finer, columns // finer, 3), np.float32)

    def light_rows(first: int) -> None:
        part = light_band(ids[first : first + band], first, lit)
        low, high = first // finer, first // finer + part.shape[1] // finer
        planes = [cv2.resize(plane, (columns // finer, high - low), interpolation=cv2.INTER_AREA) for plane in part]
        small[low:high] = cv2.merge(planes)

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(light_rows, range(0, rows, band)))
    return small
