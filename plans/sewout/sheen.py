"""How thread shines: bright where it runs across the light, dark where it runs along it, softly everywhere.

A strand is lit as a fibre (Kajiya and Kay 1989): diffuse light by the sine between strand and light, sheen by the sine
between strand and the half-way vector. A stitch is not flat: it dips to its holes, and a column's stitch arches over
what lies beneath, so the sheen wanders along it.
"""

from __future__ import annotations

import numpy as np

from analyse.values import Floats
from plans.sewout.chance import scattered
from plans.sewout.strands import KINDS, Strands
from plans.sewout.tones import Light

LIGHT = (np.array([-0.42, -0.62, 0.66]) / np.linalg.norm([-0.42, -0.62, 0.66])).astype(np.float32)
"""From the upper left, as pictures are lit; x right, y down, z to the eye."""
_BETWEEN = LIGHT + np.array([0, 0, 1], np.float32)
HALFWAY = _BETWEEN / np.float32(np.linalg.norm(_BETWEEN))
DIP_MM = 0.5
DIP_SLOPE = {"fill": 0.42, "column": 0.75, "running": 0.7}
"""The last stretch of a stitch sinks to its hole, this steeply at the hole."""
ARCH = {"fill": 0.06, "column": 0.50, "running": 0.25}
"""Slope at the ends of a stitch's arch from edge to edge."""
AMBIENT, DIFFUSE, SHEEN, GLINT = 0.475, 0.40, 0.32, 0.008
"""Light from all round, from the lamp, the sheen in the thread's own colour, and the little that stays white.

Set so that a full fill, over all directions, averages its thread's colour.
"""
HOLE_MM, HOLE_DARK = 0.16, 0.22
UNEVEN = 0.045
"""Strand to strand, light differs by up to this share either way."""


def directions(strands: Strands) -> tuple[Floats, Floats]:
    """Unit run (N, 2) and length (N,) in mm of every strand."""
    run = strands.end - strands.start
    length = np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-6)
    return run / length[:, None], length


def slopes(out: Light, half_mm: Light, arch: Light, dip_slope: Light) -> Light:
    """(N, S) sine of a strand's rise, going from its start to its end. out: (1, S) from -1 to 1; else (N, 1)."""
    dip = np.clip(1 - half_mm * (1 - np.abs(out)) / np.float32(DIP_MM), 0, 1)
    return np.asarray(-out * (arch * np.minimum(half_mm, 1)) - np.sign(out) * (dip * dip * dip_slope))


def across_share(run: Light, slope: Light, flat: Light, towards: Light) -> Light:
    """(N, S) square of the sine between fibres and a direction."""
    along = (run @ towards[:2])[:, None] * flat + slope * towards[2]
    return np.asarray(np.maximum(1 - along * along, 0))


def light_along(strands: Strands, colours: Light, samples: int) -> Light:
    """(N, S, 3) light from the crest of every strand at S places; colours: (N, 1 or S, 3) of its thread, linear."""
    out = np.linspace(-1, 1, samples, dtype=np.float32)[None, :]
    run, length = (part.astype(np.float32) for part in directions(strands))
    half_mm = length[:, None] / 2
    arch, dip = (
        np.array([table[kind] for kind in KINDS], np.float32)[strands.kind][:, None] for table in (ARCH, DIP_SLOPE)
    )
    slope = slopes(out, half_mm, arch, dip)
    flat = np.sqrt(np.maximum(1 - slope * slope, 0))
    sheen = across_share(run, slope, flat, HALFWAY)
    sheen *= sheen * sheen  # the sixth power of the sine, then the twelfth
    sheen *= sheen
    shade = 1 - np.float32(HOLE_DARK) * np.clip(1 - half_mm * (1 - np.abs(out)) / np.float32(HOLE_MM), 0, 1)
    shade *= 1 + np.float32(UNEVEN) * scattered(strands.start, 1)[:, None]
    body = np.float32(AMBIENT) + np.float32(DIFFUSE) * np.sqrt(across_share(run, slope, flat, LIGHT))
    body = (body + np.float32(SHEEN) * sheen) * shade
    glint = np.float32(GLINT) * sheen * sheen * shade
    return np.asarray(colours * body[..., None] + glint[..., None], np.float32)
