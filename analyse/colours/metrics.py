"""How far apart two pixels are, in steps of 255, in what a file keeps of colours."""

from __future__ import annotations

import numpy as np

from analyse.colours.lab import Floats

CHROMA_WEIGHT = 0.35  # compressed art keeps colour at half the resolution of light
LUMA = np.array([0.299, 0.587, 0.114])  # of sRGB, as JPEG has it: ITU-T T.871


def lengths(steps: Floats) -> Floats:
    """Length of each step, (N, 3) to (N,)."""
    long: Floats = np.sqrt(np.einsum("ij,ij->i", steps, steps))
    return long


def metric(*, compressed: bool) -> Floats:
    """3 x 3: from sRGB to a space whose plain distance tells colours apart in steps of 255."""
    if not compressed:
        plain: Floats = np.eye(3) / np.sqrt(3)
        return plain
    chroma = np.array([np.array([0, 0, 0.564]) - 0.564 * LUMA, np.array([0.713, 0, 0]) - 0.713 * LUMA])
    turn: Floats = np.vstack([LUMA, CHROMA_WEIGHT * chroma])
    return turn
