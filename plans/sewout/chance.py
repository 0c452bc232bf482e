"""Chance that does not change: numbers that hang on a place, or on their turn, and on nothing else."""

from __future__ import annotations

import numpy as np

from analyse.values import Floats
from plans.sewout.tones import Light


def scattered(at_mm: Floats, salt: int) -> Light:
    """(N,) numbers in -1..1 that depend on where a thing lies, (N, 2) mm, and on nothing else."""
    micron = np.round(at_mm * 1000).astype(np.int64)
    mixed = micron[:, 0] * 73856093 ^ micron[:, 1] * 19349663 ^ salt * 83492791
    mixed = (mixed ^ (mixed >> 15)) * 1274126177
    mixed = (mixed ^ (mixed >> 13)) * 2246822519
    return np.asarray(((mixed ^ (mixed >> 16)) & 0xFFFF) / 32767.5 - 1.0, dtype=np.float32)


def drawn(count: int, salt: int) -> Light:
    """(count,) numbers in 0..1, the same ones every time."""
    turn = np.arange(count, dtype=np.uint32) + np.uint32(salt * 1_000_003 % 2**32)
    turn = (turn ^ (turn >> np.uint32(16))) * np.uint32(0x7FEB352D)
    turn = (turn ^ (turn >> np.uint32(15))) * np.uint32(0x846CA68B)
    return np.asarray((turn ^ (turn >> np.uint32(16))) / np.float32(2**32), dtype=np.float32)
