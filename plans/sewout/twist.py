"""The strand from close by: round from side to side, two plies twisted about each other, fine filaments in each."""

from __future__ import annotations

import numpy as np

from plans.sewout.tones import Light

ROUND_DARK = 0.46
"""How much darker a strand is at its sides than on its crest."""
SIDE_LIGHT = {"fill": 0.06, "column": 0.20, "running": 0.20}
"""How much the side that faces the lamp gains over the other.

Little in a fill: each row covers the same side of the one before, and a fill sewn upward must look like one sewn down.
"""
PLY_MM, LEAN = 0.8, 0.30
"""One ply comes up every 0.8 mm (about 600 turns a metre, two plies); from side to side it runs 0.3 mm along."""
PLY_DEEP, FILAMENT_DEEP = 0.10, 0.07
CODES = 256


def across_light() -> Light:
    """(CODES,) light from one side of a strand to the other, the lamp's side not yet reckoned."""
    across = np.linspace(-1, 1, CODES)
    return np.asarray(1.09 - ROUND_DARK * (0.45 * across**2 + 0.55 * across**4), dtype=np.float32)


def along_light(px_per_mm: float) -> Light:
    """(CODES,) light over one ply's length, about 1; finer than the pixels it fades away."""
    phase = np.arange(CODES) / CODES * 2 * np.pi
    ply = np.cos(phase)
    filament = np.cos(3 * phase + 0.7) + 0.8 * np.cos(5 * phase + 2.1) + 0.6 * np.cos(8 * phase + 4.0)
    seen_ply, seen_filament = (np.clip((mm * px_per_mm - 3) / 6, 0, 1) for mm in (PLY_MM / 2, PLY_MM / 5))
    return np.asarray(1 + PLY_DEEP * seen_ply * ply + FILAMENT_DEEP * seen_filament * filament, dtype=np.float32)
