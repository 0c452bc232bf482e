"""Lengths as people write them, in mm; directions as the trade means them."""

from __future__ import annotations

import math
import re

from analyse.errors import JobError

MM_PER = {"": 1.0, "mm": 1.0, "cm": 10.0, "in": 25.4, '"': 25.4}
SMALLEST_MM, LARGEST_MM = 5.0, 1000.0
_LENGTH = re.compile(r"\s*([+-]?\d+(?:[.,]\d+)?|[+-]?[.,]\d+)\s*(mm|cm|in|\"|)\s*", re.IGNORECASE)


def length_mm(text: str, where: str = "a length") -> float:
    """A length such as `3in`, `76 mm`, `7,6cm` or `76` in mm.

    Errors: JobError when it is no length, or outside 5 to 1,000 mm.
    """
    match = _LENGTH.fullmatch(text)
    if match is None:
        raise JobError(f"{text!r} is not a length", where, "write 3in, 76mm or 7.6cm; a bare number is mm")
    return checked_mm(float(match[1].replace(",", ".")) * MM_PER[match[2].lower()], where, text)


def checked_mm(mm: float, where: str, text: str = "") -> float:
    """`mm`, if a design can have that extent; JobError otherwise (nan included)."""
    if not SMALLEST_MM <= mm <= LARGEST_MM:
        shown = text or f"{mm:g} mm"
        raise JobError(
            f"{shown} is outside what can be sewn", where, f"ask for {SMALLEST_MM:g} to {LARGEST_MM:g} mm, such as 3in"
        )
    return mm


def direction(angle_deg: float) -> tuple[float, float]:
    """Unit step (dx, dy) along a stitch angle: y runs down, angles run counter-clockwise as seen."""
    turn = math.radians(angle_deg)
    return math.cos(turn), -math.sin(turn)


def angle_of(dx: float, dy: float) -> float:
    """Stitch angle of a step, in degrees, in [0, 180)."""
    return math.degrees(math.atan2(-dy, dx)) % 180.0


def angle_between(a_deg: float, b_deg: float) -> float:
    """Least turn between two stitch angles, in degrees, 0 to 90."""
    turn = abs(a_deg - b_deg) % 180.0
    return min(turn, 180.0 - turn)
