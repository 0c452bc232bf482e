"""What a picture of the piece shows: the design with a margin of cloth."""

from __future__ import annotations

import math
from dataclasses import dataclass

from analyse.values import Floats, SizedDrawing
from plans.values import Stitches

MARGIN_MM = 5.0
MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Frame:
    """A rectangle of cloth in design mm: left, top, width, height."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float

    def pixels(self, px_per_mm: float) -> tuple[int, int]:
        """(rows, columns) of a picture of it."""
        return max(1, math.ceil(self.height_mm * px_per_mm)), max(1, math.ceil(self.width_mm * px_per_mm))

    def to_px(self, xy: Floats, px_per_mm: float) -> Floats:
        """Design mm to picture px, a pixel's corner at whole numbers."""
        return (xy - (self.left_mm, self.top_mm)) * px_per_mm


def frame(sized: SizedDrawing, stitches: Stitches) -> Frame:
    """The design's extent and every needle point, with the margin all round, on whole millimetres."""
    left, top, right, bottom = 0.0, 0.0, *sized.size_mm
    if len(stitches.xy):
        low, high = stitches.xy.min(axis=0), stitches.xy.max(axis=0)
        left, top = min(left, float(low[0])), min(top, float(low[1]))
        right, bottom = max(right, float(high[0])), max(bottom, float(high[1]))
    return _with_margin(left, top, right, bottom)


def bare_frame(sized: SizedDrawing) -> Frame:
    """The design's extent alone, with the margin: the same whatever is sewn."""
    return _with_margin(0.0, 0.0, *sized.size_mm)


def _with_margin(left: float, top: float, right: float, bottom: float) -> Frame:
    left, top = math.floor(left - MARGIN_MM), math.floor(top - MARGIN_MM)
    return Frame(left, top, math.ceil(right + MARGIN_MM) - left, math.ceil(bottom + MARGIN_MM) - top)
