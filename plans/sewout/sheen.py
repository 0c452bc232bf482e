"""How thread shines: bright where it runs across the light, dark where it runs along it, softly everywhere.

A strand is lit as a fibre (Kajiya and Kay 1989): diffuse light by the sine between strand and light, sheen by the sine
between strand and the half-way vector. A stitch is not flat: it dips to its holes, and a column's stitch arches over
what lies beneath, so the sheen wanders along it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plans.sewout.frame import Frame
from plans.sewout.strands import KINDS, Strands
from plans.sewout.tones import Light

LIGHT = np.array([-0.42, -0.62, 0.66]) / np.linalg.norm([-0.42, -0.62, 0.66])
"""From the upper left, as pictures are lit; x right, y down, z to the eye."""
HALFWAY = (LIGHT + np.array([0.0, 0.0, 1.0])) / np.linalg.norm(LIGHT + np.array([0.0, 0.0, 1.0]))
DIP_MM, DIP_SLOPE = 0.45, 0.55
"""The last stretch of a stitch sinks to its hole, this steeply at the hole."""
ARCH = {"fill": 0.05, "column": 0.42, "running": 0.2}
"""Slope at the ends of a stitch's arch from edge to edge."""
AMBIENT, DIFFUSE, SHEEN = 0.50, 0.62, 0.30
EDGE_DARK = 0.42
"""How much darker a strand is at its sides than on top."""
UNEVEN = 0.05
"""Strand to strand, light differs by up to this share either way."""


def scattered(strands: Strands, salt: int) -> Light:
    """(N,) numbers in -1..1 that depend on where a strand lies and nothing else."""
    at = np.round(np.concatenate([strands.start, strands.end], axis=1) * 1000).astype(np.int64)
    mixed = at @ np.array([73856093, 19349663, 83492791, 49979687]) + salt * 2654435761
    mixed = (mixed ^ (mixed >> 13)) * 1274126177
    return np.asarray(((mixed ^ (mixed >> 16)) & 0xFFFF) / 32767.5 - 1.0, dtype=np.float32)


def light_strands(
    ids: NDArray[np.int32], covered: NDArray[np.int64], strands: Strands, place: Frame, px_per_mm: float
) -> tuple[Light, Light]:
    """Diffuse light and sheen, (M,) each, at the covered pixels (flat indices)."""
    strand = ids.ravel()[covered]
    y, x = np.divmod(covered, ids.shape[1])
    start, end = place.to_px(strands.start, px_per_mm), place.to_px(strands.end, px_per_mm)
    middle, run = ((start + end) / 2).astype(np.float32), (end - start).astype(np.float32)
    length = np.maximum(np.hypot(run[:, 0], run[:, 1]), np.float32(1e-3))
    tx, ty = run[:, 0] / length, run[:, 1] / length
    dx, dy = x.astype(np.float32) + 0.5 - middle[strand, 0], y.astype(np.float32) + 0.5 - middle[strand, 1]
    sx, sy = tx[strand], ty[strand]
    along = dx * sx + dy * sy
    across = (dy * sx - dx * sy) * np.float32(2 / (strands.width_mm * px_per_mm))
    half = (length / 2)[strand]
    slope = slopes(along, half, np.array([ARCH[kind] for kind in KINDS], np.float32)[strands.kind][strand], px_per_mm)
    diffuse, sheen = shine(tx, ty, strand, slope)
    side = (strands_side(tx, ty)[strand]) * across
    square = across * across
    profile = 1 - np.float32(EDGE_DARK) * square * (0.5 + 0.5 * square) + np.float32(0.16) * side
    uneven = 1 + np.float32(UNEVEN) * scattered(strands, 1)[strand]
    return diffuse * profile * uneven, sheen * np.clip(1 - 0.8 * square, 0, 1)


def slopes(along: Light, half: Light, arch: Light, px_per_mm: float) -> Light:
    """Sine of a strand's rise at each pixel, going from start to end."""
    left = np.clip(1 - (half - np.abs(along)) / np.float32(DIP_MM * px_per_mm), 0, 1)
    out = along / half
    return np.asarray(-np.clip(out, -1, 1) * arch - np.sign(along) * left * left * np.float32(DIP_SLOPE))


def shine(tx: Light, ty: Light, strand: NDArray[np.int32], slope: Light) -> tuple[Light, Light]:
    """Diffuse and sheen of fibres of that direction and rise."""
    flat = np.sqrt(np.maximum(1 - slope * slope, 0))
    to_light = (tx * LIGHT[0] + ty * LIGHT[1]).astype(np.float32)[strand] * flat + slope * np.float32(LIGHT[2])
    to_half = (tx * HALFWAY[0] + ty * HALFWAY[1]).astype(np.float32)[strand] * flat + slope * np.float32(HALFWAY[2])
    diffuse = AMBIENT + DIFFUSE * np.sqrt(np.maximum(1 - to_light * to_light, 0))
    across = np.maximum(1 - to_half * to_half, 0)
    across *= across
    across *= across
    return diffuse.astype(np.float32), (across * across * SHEEN).astype(np.float32)


def strands_side(tx: Light, ty: Light) -> Light:
    """Which side of a strand faces the light, and how much."""
    return np.asarray(-ty * LIGHT[0] + tx * LIGHT[1], dtype=np.float32)
