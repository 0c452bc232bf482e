"""Sizes of the canonical raster, and of what vector files measure in."""

from __future__ import annotations

import re

LONG_SIDE_PX = 2000
MM_PER_POINT = 25.4 / 72
MM_PER_CSS_PX = 25.4 / 96
_MM_PER = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": MM_PER_POINT, "pc": 12 * MM_PER_POINT, "q": 0.25}
_LENGTH = re.compile(r"\s*([+]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)\s*([a-z%]*)\s*", re.IGNORECASE)


def css_length(text: str | None) -> tuple[float, bool] | None:
    """A CSS length as CSS px, and whether its unit is a physical one; None for none, or a percentage.

    Source: CSS Values and Units 3, section 6.2 (1in = 96px = 72pt).
    """
    match = _LENGTH.fullmatch(text or "")
    if match is None or float(match[1]) <= 0:
        return None
    unit = match[2].lower()
    if unit in _MM_PER:
        return float(match[1]) * _MM_PER[unit] / MM_PER_CSS_PX, True
    if unit in ("", "px"):
        return float(match[1]), False
    return (float(match[1]) * 16.0, False) if unit in ("em", "rem") else None


def canonical_size(width: float, height: float, *, enlarge: bool = False) -> tuple[int, int]:
    """Whole width and height at the canonical long side; smaller ones stay unless they may be enlarged."""
    scale = LONG_SIDE_PX / max(width, height)
    if not enlarge:
        scale = min(1.0, scale)
    return max(1, round(width * scale)), max(1, round(height * scale))
