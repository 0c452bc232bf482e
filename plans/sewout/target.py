"""What the finished piece should show: the parts as drawn, in mm."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.values import SizedDrawing
from plans.sewout.frame import Frame

CLOTH = -1
SUBPIXEL_BITS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Target:
    """(H, W) part and palette index, CLOTH where nothing is drawn; right: where the piece shows that colour."""

    parts: NDArray[np.int32]
    colours: NDArray[np.int32]
    place: Frame
    px_per_mm: float
    right: NDArray[np.bool_] = field(default_factory=lambda: np.zeros((0, 0), np.bool_))

    def with_right(self, right: NDArray[np.bool_]) -> Target:
        """The same with `right` filled in."""
        return replace(self, right=right)

    def about(self, at_mm: tuple[float, float], reach_mm: float) -> tuple[NDArray[np.int32], NDArray[np.bool_]]:
        """Parts and right within a square about a place."""
        x, y = ((at_mm[0] - self.place.left_mm) * self.px_per_mm, (at_mm[1] - self.place.top_mm) * self.px_per_mm)
        reach = reach_mm * self.px_per_mm
        rows = slice(max(0, int(y - reach)), max(0, int(y + reach) + 1))
        columns = slice(max(0, int(x - reach)), max(0, int(x + reach) + 1))
        return self.parts[rows, columns], self.right[rows, columns]


def draw_target(sized: SizedDrawing, place: Frame, px_per_mm: float) -> Target:
    """Every part of the drawing, dropped ones too, on the frame's pixels."""
    parts = np.full(place.pixels(px_per_mm), CLOTH, np.int32)
    origin = (place.left_mm, place.top_mm)
    for index, part in enumerate(sized.parts):
        rings = shapely.get_rings(shapely.get_parts(part.outline_mm))
        drawn = [
            np.round(((shapely.get_coordinates(ring) - origin) * px_per_mm - 0.5) * 2**SUBPIXEL_BITS).astype(np.int32)
            for ring in rings
        ]
        cv2.fillPoly(parts, drawn, index, 8, SUBPIXEL_BITS)
    colour = np.array([part.colour for part in sized.parts] + [CLOTH], np.int32)
    return Target(parts, colour[parts], place, px_per_mm)
