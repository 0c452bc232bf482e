"""The rim of a picture with alpha: what colours its half-clear pixels have.

Where two shapes end together on nothing, the lower one shines through the upper one's rim in a sliver thinner than a
pixel, in colours that lie nowhere else.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]

_AROUND = [(y, x) for y in (-1, 0, 1) for x in (-1, 0, 1) if (y, x) != (0, 0)]


def with_plain_rims(rgb: Bytes, alpha: Bytes) -> Bytes:
    """(H, W, 3): every half-clear pixel that touches solid ones in the colour of that which it is most like.

    A hairline without a solid pixel keeps its own.
    """
    solid = np.pad(alpha == 255, 1)
    half = (alpha > 0) & (alpha < 255)
    beside = cv2.dilate((alpha == 255).astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    y, x = np.nonzero(half & beside)
    if not len(y):
        return rgb
    own, padded = rgb[y, x].astype(np.int32), np.pad(rgb, ((1, 1), (1, 1), (0, 0)))
    best, nearest = own.astype(np.uint8), np.full(len(y), np.iinfo(np.int32).max, np.int32)
    for down, right in _AROUND:
        there = padded[y + 1 + down, x + 1 + right]
        apart = ((there.astype(np.int32) - own) ** 2).sum(axis=1)
        better = solid[y + 1 + down, x + 1 + right] & (apart < nearest)
        best[better], nearest[better] = there[better], apart[better]
    plain = rgb.copy()
    plain[y, x] = best
    return plain
