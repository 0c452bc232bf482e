"""What the finished piece should show: the parts as drawn, in mm."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from weakref import WeakKeyDictionary

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from analyse.values import Drawing, Part, SizedDrawing
from plans.sewout.frame import Frame, bare_frame

CLOTH = -1
SUBPIXEL_BITS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Target:
    """(H, W) part and palette index, CLOTH where nothing is drawn.

    right: where the piece shows that colour; shown: the palette index that it shows most of.
    """

    parts: NDArray[np.int32]
    colours: NDArray[np.int32]
    place: Frame
    px_per_mm: float
    right: NDArray[np.bool_] = field(default_factory=lambda: np.zeros((0, 0), np.bool_))
    shown: NDArray[np.int32] = field(default_factory=lambda: np.zeros((0, 0), np.int32))

    def with_shown(self, right: NDArray[np.bool_], shown: NDArray[np.int32]) -> Target:
        """The same with `right` and `shown` filled in."""
        return replace(self, right=right, shown=shown)

    def of_place(self, at_mm: tuple[float, float], reach_mm: float) -> tuple[slice, slice]:
        """Rows and columns of a square about a place."""
        x, y = ((at_mm[0] - self.place.left_mm) * self.px_per_mm, (at_mm[1] - self.place.top_mm) * self.px_per_mm)
        reach = reach_mm * self.px_per_mm
        return slice(max(0, int(y - reach)), max(0, int(y + reach) + 1)), slice(
            max(0, int(x - reach)), max(0, int(x + reach) + 1)
        )

    def about(self, at_mm: tuple[float, float], reach_mm: float) -> tuple[NDArray[np.int32], NDArray[np.bool_]]:
        """Parts and right within a square about a place."""
        seen = self.of_place(at_mm, reach_mm)
        return self.parts[seen], self.right[seen]

    def within(self, zone_mm: BaseGeometry) -> tuple[NDArray[np.int32], NDArray[np.bool_]]:
        """(N,) colours and right of the pixels within a zone."""
        mask = np.zeros(self.parts.shape, np.uint8)
        cv2.fillPoly(mask, fixed_rings(zone_mm, self.place, self.px_per_mm), 1, 8, SUBPIXEL_BITS)
        inside = mask > 0
        return self.colours[inside], self.right[inside]


_KEPT: WeakKeyDictionary[Drawing, tuple[tuple[Part, ...], Target]] = WeakKeyDictionary()


def target_of(sized: SizedDrawing, px_per_mm: float) -> Target:
    """What a drawing asks for, on the design's own extent with a margin. Drawn once for all approaches to a size."""
    parts, target = _KEPT.get(sized.drawing, ((), None))
    if target is None or parts is not sized.parts or target.px_per_mm != px_per_mm:
        target = draw_target(sized, bare_frame(sized), px_per_mm)
        _KEPT[sized.drawing] = sized.parts, target
    return target


def fixed_rings(shape: BaseGeometry, place: Frame, px_per_mm: float) -> list[NDArray[np.int32]]:
    """The rings of a shape as fixed-point pixels of a frame."""
    rings = shapely.get_rings(shapely.get_parts(shape))
    points, owner = shapely.get_coordinates(rings, return_index=True)
    drawn = np.round((place.to_px(points, px_per_mm) - 0.5) * 2**SUBPIXEL_BITS).astype(np.int32)
    return np.split(drawn, np.flatnonzero(np.diff(owner)) + 1)


def draw_target(sized: SizedDrawing, place: Frame, px_per_mm: float) -> Target:
    """Every part of the drawing, dropped ones too, on the frame's pixels."""
    parts = np.full(place.pixels(px_per_mm), CLOTH, np.int32)
    for index, part in enumerate(sized.parts):
        cv2.fillPoly(parts, fixed_rings(part.outline_mm, place, px_per_mm), index, 8, SUBPIXEL_BITS)
    colour = np.array([part.colour for part in sized.parts] + [CLOTH], np.int32)
    return Target(parts, colour[parts], place, px_per_mm)
