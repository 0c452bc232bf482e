"""How far apart two colours look: CIEDE2000.

Source: Sharma, Wu, Dalal, "The CIEDE2000 color-difference formula", Color Res. Appl. 30(1), 2005.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_GREY_25_7 = 25.0**7


def ciede2000(lab1: ArrayLike, lab2: ArrayLike) -> Floats:
    """CIEDE2000 of CIELAB colours, (..., 3) each, broadcast against each other; weights 1.

    Accuracy: the paper's pairs within the four decimals it prints.
    """
    first, second = np.asarray(lab1, dtype=np.float64), np.asarray(lab2, dtype=np.float64)
    chroma = (np.hypot(first[..., 1], first[..., 2]) + np.hypot(second[..., 1], second[..., 2])) / 2
    stretch = 1.5 - 0.5 * np.sqrt(chroma**7 / (chroma**7 + _GREY_25_7))
    c1, h1 = _polar(first, stretch)
    c2, h2 = _polar(second, stretch)
    hue_step = _hue_step(h1, h2, c1 * c2)
    dl, dc = second[..., 0] - first[..., 0], c2 - c1
    dh = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(hue_step) / 2)
    light, chroma = (first[..., 0] + second[..., 0]) / 2, (c1 + c2) / 2
    hue = _mean_hue(h1, h2, c1 * c2)
    sl, sc, sh = _weights(light, chroma, hue)
    rotation = _rotation(chroma, hue)
    square = (dl / sl) ** 2 + (dc / sc) ** 2 + (dh / sh) ** 2 + rotation * (dc / sc) * (dh / sh)
    return np.sqrt(np.maximum(square, 0))


def _polar(lab: Floats, stretch: Floats) -> tuple[Floats, Floats]:
    a, b = lab[..., 1] * stretch, lab[..., 2]
    return np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360


def _hue_step(h1: Floats, h2: Floats, product: Floats) -> Floats:
    step = h2 - h1
    step = np.where(step > 180, step - 360, np.where(step < -180, step + 360, step))
    return np.where(product == 0, 0, step)


def _mean_hue(h1: Floats, h2: Floats, product: Floats) -> Floats:
    total = h1 + h2
    across_zero = np.where(total < 360, total + 360, total - 360)  # Sharma 2005, mean hue across 0 degrees
    mean = np.where(np.abs(h1 - h2) <= 180, total, across_zero) / 2
    return np.where(product == 0, total, mean)


def _weights(light: Floats, chroma: Floats, hue: Floats) -> tuple[Floats, Floats, Floats]:
    turn = np.radians(hue)
    tint = (
        1
        - 0.17 * np.cos(turn - np.radians(30))
        + 0.24 * np.cos(2 * turn)
        + 0.32 * np.cos(3 * turn + np.radians(6))
        - 0.20 * np.cos(4 * turn - np.radians(63))
    )
    from_50 = (light - 50) ** 2
    return 1 + 0.015 * from_50 / np.sqrt(20 + from_50), 1 + 0.045 * chroma, 1 + 0.015 * chroma * tint


def _rotation(chroma: Floats, hue: Floats) -> Floats:
    angle = 30 * np.exp(-(((hue - 275) / 25) ** 2))
    strength = 2 * np.sqrt(chroma**7 / (chroma**7 + _GREY_25_7))
    rotation: Floats = -np.sin(np.radians(2 * angle)) * strength
    return rotation
