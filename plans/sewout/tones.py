"""Light adds up linearly; sRGB values do not. Into linear light and back (IEC 61966-2-1)."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Light = NDArray[np.floating[Any]]
"""Linear light, single precision."""
_STEPS = 4095
_CODES = np.arange(256) / 255.0
_TO_LINEAR = np.where(_CODES <= 0.04045, _CODES / 12.92, ((_CODES + 0.055) / 1.055) ** 2.4).astype(np.float32)
_LINEAR = np.linspace(0.0, 1.0, _STEPS + 1) ** 2
_TO_SRGB = np.round(255 * np.where(_LINEAR <= 0.0031308, 12.92 * _LINEAR, 1.055 * _LINEAR ** (1 / 2.4) - 0.055)).astype(
    np.uint8
)


def to_linear(rgb: NDArray[np.uint8]) -> Light:
    """Turn sRGB codes 0..255 into linear light 0..1."""
    return np.asarray(_TO_LINEAR[rgb])


def to_srgb(light: Light) -> NDArray[np.uint8]:
    """Linear light to sRGB codes; what is beyond 0..1 is cut off. Accuracy: one code."""
    step = np.sqrt(np.clip(light, 0.0, 1.0)) * np.float32(_STEPS) + np.float32(0.5)
    return np.asarray(_TO_SRGB[step.astype(np.uint16)])
