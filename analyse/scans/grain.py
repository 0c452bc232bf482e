"""Grain of paper and sensor, smoothed without moving edges."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

# Two passes: the first takes out single pixels, the second, guided by its result, evens what is left.
_RADII_PX = (3, 4)
_RANGE_PER_GRAIN = (3.2, 2.2)
_LEAST_RANGE = 8.0


def smoothed(rgb: NDArray[np.uint8], grain: float) -> NDArray[np.uint8]:
    """`rgb` by bilateral filters whose range follows `grain`, the noise's deviation in levels.

    Source: Tomasi and Manduchi 1998, Bilateral filtering for gray and color images.
    """
    for radius, factor in zip(_RADII_PX, _RANGE_PER_GRAIN, strict=True):
        reach = max(_LEAST_RANGE, factor * grain * 3**0.5)
        rgb = np.asarray(cv2.bilateralFilter(rgb, 2 * radius + 1, reach, radius / 1.5), np.uint8)
    return rgb
