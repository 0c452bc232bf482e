"""How thread shines: bright where it runs across the light, dark where it runs along it, softly everywhere.

A strand is lit as a fibre (Kajiya and Kay 1989): diffuse light by the sine between strand and light, sheen by the sine
between strand and the half-way vector. A stitch is not flat: it dips to its holes, and a column's stitch arches over
what lies beneath, so the sheen wanders along it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from plans.sewout.chance import scattered
from plans.sewout.strands import KINDS, Strands
from plans.sewout.tones import Light

LIGHT = np.array([-0.42, -0.62, 0.66]) / np.linalg.norm([-0.42, -0.62, 0.66])
"""From the upper left, as pictures are lit; x right, y down, z to the eye."""
HALFWAY = (LIGHT + np.array([0.0, 0.0, 1.0])) / np.linalg.norm(LIGHT + np.array([0.0, 0.0, 1.0]))
SAMPLES = 48
"""A strand is lit at so many places along it: 0.1 mm or less on any stitch the frame can make."""
DIP_MM = 0.5
DIP_SLOPE = {"fill": 0.5, "column": 0.75, "running": 0.7}
"""The last stretch of a stitch sinks to its hole, this steeply at the hole."""
ARCH = {"fill": 0.06, "column": 0.50, "running": 0.25}
"""Slope at the ends of a stitch's arch from edge to edge."""
AMBIENT, DIFFUSE, SHEEN, GLINT = 0.475, 0.40, 0.32, 0.008
"""Light from all round, from the lamp, the sheen in the thread's own colour, and the little that stays white.

Set so that a full fill, over all directions, averages its thread's colour.
"""
SHEEN_POWER = 12
HOLE_MM, HOLE_DARK = 0.16, 0.25
UNEVEN = 0.045
"""Strand to strand, light differs by up to this share either way."""


def directions(strands: Strands) -> tuple[Floats, Floats]:
    """Unit run (N, 2) and length (N,) in mm of every strand."""
    run = strands.end - strands.start
    length = np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-6)
    return run / length[:, None], length


def slopes(length_mm: Floats, arch: Floats, dip_slope: Floats) -> Floats:
    """(N, SAMPLES) sine of a strand's rise, going from its start to its end."""
    out = np.linspace(-1, 1, SAMPLES)[None, :]
    half = length_mm[:, None] / 2
    dip = np.clip(1 - half * (1 - np.abs(out)) / DIP_MM, 0, 1) ** 2
    return np.asarray(-out * arch[:, None] * np.minimum(half, 1.0) - np.sign(out) * dip * dip_slope[:, None])


def fibre_light(run: Floats, slope: Floats, towards: NDArray[np.float64]) -> Floats:
    """(N, SAMPLES) sine between fibres and a direction."""
    flat = np.sqrt(np.maximum(1 - slope * slope, 0))
    along = (run @ towards[:2])[:, None] * flat + slope * towards[2]
    return np.asarray(np.sqrt(np.maximum(1 - along * along, 0)))


def light_along(strands: Strands, colours: Light) -> Light:
    """(N, SAMPLES, 3) light from the crest of every strand; colours: (N, 3) of its thread, linear."""
    run, length = directions(strands)
    arch, dip = (np.array([table[kind] for kind in KINDS])[strands.kind] for table in (ARCH, DIP_SLOPE))
    slope = slopes(length, arch, dip)
    sheen = fibre_light(run, slope, HALFWAY) ** SHEEN_POWER
    uneven = 1 + UNEVEN * scattered(strands.start, 1)[:, None]
    hole = np.clip(1 - length[:, None] / 2 * (1 - np.abs(np.linspace(-1, 1, SAMPLES))) / HOLE_MM, 0, 1)
    shade = (1 - HOLE_DARK * hole) * uneven
    body = (AMBIENT + DIFFUSE * fibre_light(run, slope, LIGHT) + SHEEN * sheen) * shade
    glint = GLINT * sheen * sheen * shade
    return np.asarray(
        colours[:, None, :] * body.astype(np.float32)[..., None] + glint.astype(np.float32)[..., None], np.float32
    )
