"""Thread by lockstitch geometry: how much of each a row of stitches takes."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats

Link = Literal["middle", "underside"]


def lockstitch_m(lengths_mm: Floats, through_mm: float, link: Link = "underside") -> tuple[float, float]:
    """Needle and bobbin thread in m for stitches of these lengths (ISO 4915, type 301).

    With the link in mid cloth both threads go half the way through and back: l + T each, the garment handbooks'
    C = 2 + 2 T S. Embroidery is sewn with the link drawn to the underside: the needle thread goes all the way down
    and up again, l + 2 T, and the bobbin thread lies flat, l.
    """
    laid, ways = float(lengths_mm.sum()) / 1000, len(lengths_mm) * through_mm / 1000
    return (laid + ways, laid + ways) if link == "middle" else (laid + 2 * ways, laid)


def column_in_thirds_m(count: int, width_mm: float, spacing_mm: float, through_mm: float) -> tuple[float, float]:
    """Needle and bobbin thread in m of a column whose underside shows top, bobbin, top in thirds.

    Source: common practice of judging tension; the geometry worked out from it.
    """
    half = spacing_mm / 2
    needle = math.hypot(width_mm, half) + 2 * through_mm + 2 * width_mm / 3
    return count * needle / 1000, count * math.hypot(width_mm / 3, half) / 1000


def thread_by_colour_m(
    lengths_mm: Floats, thread: NDArray[np.int64], colours: int, through_mm: float, waste: float
) -> tuple[float, ...]:
    """Top thread in m of each colour, the way through the cloth and the waste included."""
    taken = np.bincount(thread, lengths_mm + 2 * through_mm, colours)
    return tuple(float(metres) for metres in taken * (1 + waste) / 1000)
