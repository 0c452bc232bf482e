"""What every way of opening hands on: the canonical raster and what is known about it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats


@dataclass(frozen=True, slots=True, eq=False)
class Opened:
    """rgba: (H, W, 4) uint8. from_file: 3 x 3, file px to `rgba` px. dpi: stated by the file, believed or not.

    compression: JPEG quality. pictures_within: whether a vector file holds pictures.
    """

    rgba: NDArray[np.uint8]
    file_px: tuple[int, int]
    from_file: Floats
    px_per_mm: float | None = None
    dpi: float | None = None
    compression: int | None = None
    notes: tuple[str, ...] = ()
    pictures_within: bool = False


def scaling(x: float, y: float) -> Floats:
    """The 3 x 3 that multiplies x and y."""
    return np.diag([x, y, 1.0])
