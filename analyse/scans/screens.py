"""Screenshots: pictures of a screen's own size, or with a screen's bars across them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

# Screens in wide use, in pixels, upright or lying.
_SCREENS = {
    (1280, 720), (1280, 800), (1366, 768), (1440, 900), (1536, 864), (1600, 900), (1680, 1050), (1920, 1080),
    (1920, 1200), (2048, 1152), (2560, 1440), (2560, 1600), (2880, 1800), (3024, 1964), (3072, 1920), (3440, 1440),
    (3840, 2160), (1334, 750), (1792, 828), (2340, 1080), (2400, 1080), (2436, 1125), (2532, 1170), (2556, 1179),
    (2622, 1206), (2688, 1242), (2778, 1284), (2796, 1290), (2868, 1320), (2048, 1536), (2160, 1620), (2224, 1668),
    (2360, 1640), (2388, 1668), (2732, 2048), (3088, 1440), (3120, 1440), (3200, 1440),
}  # fmt: skip
# An edge of a bar or window crosses so much of the picture in one row of pixels, by so many levels.
_ACROSS, _LEVELS = 0.97, 4
# Where bars are: within this share of the height from the top or bottom, or of the width from the sides.
_RIM = 0.2


def is_screenshot(rgb: NDArray[np.uint8], file_px: tuple[int, int]) -> bool:
    """Whether (H, W, 3) is a screen's picture: its file has a screen's size, and bars run right across it."""
    if (max(file_px), min(file_px)) not in _SCREENS:
        return False
    return _bars(rgb, 0) + _bars(rgb, 1) >= 1


def _bars(rgb: NDArray[np.uint8], axis: int) -> int:
    """Edges straight across the picture near its rim."""
    lines = rgb.astype(np.int16)
    step = np.abs(np.diff(lines, axis=axis)).max(axis=2) >= _LEVELS
    across = step.mean(axis=1 - axis) >= _ACROSS
    rim = max(1, round(_RIM * len(across)))
    return int(across[:rim].sum() + across[-rim:].sum())
