"""Screenshots: pictures of a screen's own size or shape, with a screen's bars across them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

# Screens in wide use, in pixels, the long side first.
_SCREENS = (
    (1280, 720), (1280, 800), (1366, 768), (1440, 900), (1536, 864), (1600, 900), (1680, 1050), (1920, 1080),
    (1920, 1200), (2048, 1152), (2560, 1440), (2560, 1600), (2880, 1800), (3024, 1964), (3072, 1920), (3440, 1440),
    (3840, 2160), (1334, 750), (1792, 828), (2340, 1080), (2400, 1080), (2436, 1125), (2532, 1170), (2556, 1179),
    (2622, 1206), (2688, 1242), (2778, 1284), (2796, 1290), (2868, 1320), (2048, 1536), (2160, 1620), (2224, 1668),
    (2360, 1640), (2388, 1668), (2732, 2048), (3088, 1440), (3120, 1440), (3200, 1440),
)  # fmt: skip
# A picture smaller than this is no screen's, however it was passed on; a shrunk one's sides are off by a pixel at most.
_LEAST_PX, _OFF_PX = 600, 1.0
# An edge of a bar or window crosses so much of the picture within so many rows, by so many levels.
_ACROSS, _ROWS, _LEVELS = 0.95, 2, 4
# Where bars are: within this share of the height from the top or bottom, or of the width from the sides; and how thick
# they are at least.
_RIM, _THINNEST = 0.2, 0.012
# A bar is of one colour but for its words and signs: share of that colour, within so many levels, and of the others.
_BAR_LEVELS, _LEAST_PLAIN, _LEAST_WORDS = 12, 0.7, 0.002


def is_screenshot(rgb: NDArray[np.uint8], file_px: tuple[int, int]) -> bool:
    """Whether (H, W, 3) is a screen's picture, as it was or passed on smaller: by its shape, and bars across it."""
    if not _is_of_a_screen(max(file_px), min(file_px)):
        return False
    sides = rgb, rgb[::-1], rgb.swapaxes(0, 1), rgb.swapaxes(0, 1)[::-1]
    return any(_has_bar(side) for side in sides)


def _is_of_a_screen(long: int, short: int) -> bool:
    return long >= _LEAST_PX and any(
        abs(short - long * least / most) <= _OFF_PX for most, least in _SCREENS if long <= most
    )


def _has_bar(rgb: NDArray[np.uint8]) -> bool:
    """Whether a bar with words or signs in it lies along the upper edge."""
    rim = rgb[: round(_RIM * len(rgb))].astype(np.int16)
    step = np.abs(rim[_ROWS:] - rim[:-_ROWS]).max(axis=2) >= _LEVELS
    edges = np.flatnonzero(step.mean(axis=1) >= _ACROSS)
    edges = edges[edges >= _THINNEST * len(rgb)]
    return len(edges) > 0 and _is_bar(rim[: edges[0]])


def _is_bar(strip: NDArray[np.int16]) -> bool:
    off = np.abs(strip - np.median(strip, axis=(0, 1))).max(axis=2) > _BAR_LEVELS
    return bool(_LEAST_WORDS < off.mean() <= 1 - _LEAST_PLAIN)
