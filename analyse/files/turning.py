"""Orientation tags: the eight ways a camera may have been held."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats

# For each tag, EXIF 2.3 section 4.6.4: whether x and y change places first, then whether x, then y is mirrored.
_TURNS = {
    1: (False, False, False),
    2: (False, True, False),
    3: (False, True, True),
    4: (False, False, True),
    5: (True, False, False),
    6: (True, True, False),
    7: (True, True, True),
    8: (True, False, True),
}


def turned(pixels: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    """`pixels` upright."""
    swap, mirror_x, mirror_y = _TURNS[orientation]
    pixels = pixels.swapaxes(0, 1) if swap else pixels
    pixels = pixels[:, ::-1] if mirror_x else pixels
    return pixels[::-1] if mirror_y else pixels


def turning(orientation: int, width: float, height: float) -> Floats:
    """The 3 x 3 from a picture of that size, as stored, to the upright one (corner of a pixel at whole numbers)."""
    swap, mirror_x, mirror_y = _TURNS[orientation]
    matrix = np.eye(3)[[1, 0, 2]] if swap else np.eye(3)
    if swap:
        width, height = height, width
    if mirror_x:
        matrix = np.array([[-1.0, 0, width], [0, 1, 0], [0, 0, 1]]) @ matrix
    if mirror_y:
        matrix = np.array([[1.0, 0, 0], [0, -1, height], [0, 0, 1]]) @ matrix
    return matrix
