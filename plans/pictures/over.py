"""`to-draw-over.png`: drawn and sewn-to outlines over the faint artwork, at a stated scale."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import get_parts
from shapely.geometry.base import BaseGeometry

from plans.pictures.coding import png
from plans.pictures.design import Canvas, artwork_on, canvas
from plans.pictures.sewn import sewn_to
from plans.values import Plan

DPI = 600
MARGIN_MM = 3.0
MOST_PX = 4000
FAINT = 0.28  # how much of the artwork is left under the lines
DRAWN = (35, 40, 55)
SEWN = (176, 42, 48)
DASH_MM, GAP_MM = 0.9, 0.6
SUBPIXEL = 4  # binary places below a pixel that cv2 takes


def to_draw_over(plan: Plan) -> bytes:
    """PNG bytes: drawn outlines solid, sewn-to outlines dashed; its dpi stands in the file."""
    at = over_canvas(plan)
    picture = _faint(artwork_on(plan.sized, at))
    for part in plan.sized.parts:
        _solid(picture, part.outline_mm, at)
    for step in plan.steps:
        _dashed(picture, sewn_to(step.sewing), at)
    return png(picture, at.px_per_mm * 25.4)


def over_canvas(plan: Plan) -> Canvas:
    """What `to-draw-over.png` shows and at which scale."""
    return canvas(plan.sized, MARGIN_MM, DPI, MOST_PX)


def _faint(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    return (255 - (255 - picture.astype(np.float32)) * FAINT).astype(np.uint8)


def _solid(picture: NDArray[np.uint8], shape: BaseGeometry, at: Canvas) -> None:
    lines = [_fixed(at.px(np.asarray(ring.coords))) for ring in _rings(shape)]
    cv2.polylines(picture, lines, True, DRAWN, _pen(at, 0.08), cv2.LINE_AA, SUBPIXEL)


def _dashed(picture: NDArray[np.uint8], shape: BaseGeometry, at: Canvas) -> None:
    dashes = [_fixed(at.px(dash)) for ring in _rings(shape) for dash in _dashes(np.asarray(ring.coords))]
    cv2.polylines(picture, dashes, False, SEWN, _pen(at, 0.1), cv2.LINE_AA, SUBPIXEL)


def _dashes(points: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """A ring cut into dashes of even length."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    count = int(along[-1] // (DASH_MM + GAP_MM))
    if count < 2:
        return [points]
    starts = np.linspace(0, along[-1], count, endpoint=False)
    at = starts[:, None] + np.linspace(0, along[-1] / count * DASH_MM / (DASH_MM + GAP_MM), 5)
    return list(np.stack([np.interp(at, along, points[:, 0]), np.interp(at, along, points[:, 1])], axis=-1))


def _rings(shape: BaseGeometry) -> list[BaseGeometry]:
    polygons = [piece for piece in get_parts(shape) if piece.geom_type == "Polygon" and not piece.is_empty]
    return [ring for piece in polygons for ring in (piece.exterior, *piece.interiors)]


def _fixed(points: NDArray[np.float64]) -> NDArray[np.int32]:
    fixed: NDArray[np.int32] = np.round((points - 0.5) * 2**SUBPIXEL).astype(np.int32)
    return fixed.reshape(-1, 1, 2)


def _pen(at: Canvas, width_mm: float) -> int:
    return max(1, round(width_mm * at.px_per_mm))
