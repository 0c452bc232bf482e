"""`to-draw-over.png`: drawn and sewn-to outlines over the faint artwork, at a stated scale."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from analyse.files.fonts import REGULAR
from analyse.values import Floats
from plans import words
from plans.pictures.coding import png
from plans.pictures.design import PAPER, Canvas, artwork_on, canvas
from plans.pictures.sewn import Line, rings, sewn_lines
from plans.values import Plan

DPI = 400  # 0.06 mm a pixel
MARGIN_MM = 3.0
MOST_PX = 4000
FAINT = 0.28  # how much of the artwork is left under the lines
DRAWN = (35, 40, 55)
SEWN = (176, 42, 48)
DRAWN_MM, SEWN_MM = 0.08, 0.1
DASH_MM, GAP_MM = 0.9, 0.6
TEXT_MM = 1.8
SUBPIXEL = 4  # binary places below a pixel that cv2 takes
PENCIL = NDArray[np.int32]


def to_draw_over(plan: Plan) -> bytes:
    """PNG bytes: drawn outlines solid, sewn-to outlines dashed; its dpi stands in the file."""
    at = over_canvas(plan)
    picture = _faint(artwork_on(plan.sized, at))
    drawn = [line for part in plan.sized.parts for line in rings(part.outline_mm)]
    outlines = _all_fixed([points for points, _ in drawn], at)
    cv2.polylines(picture, outlines, True, DRAWN, _pen(at, DRAWN_MM), cv2.LINE_AA, SUBPIXEL)
    dashes = [dash for step in plan.steps for line in sewn_lines(step.sewing) for dash in _dashes(line)]
    cv2.polylines(picture, _all_fixed(dashes, at), False, SEWN, _pen(at, SEWN_MM), cv2.LINE_AA, SUBPIXEL)
    _state_scale(picture, plan, at)
    return png(picture, at.px_per_mm * 25.4)


def _state_scale(picture: NDArray[np.uint8], plan: Plan, at: Canvas) -> None:
    """A line in the lower margin that says what the lines are and how large a millimetre is."""
    told = f"{words.size(plan.sized.size_mm)} at {at.px_per_mm * 25.4:.0f} dpi. Solid: as drawn. Dashed: sewn to."
    margin = round(MARGIN_MM * at.px_per_mm)
    strip = Image.new("RGB", (picture.shape[1], margin), PAPER)
    pen = ImageDraw.Draw(strip)
    room = (picture.shape[1] - 2 * margin) / pen.textlength(told, ImageFont.truetype(REGULAR, 100)) * 100
    font = ImageFont.truetype(REGULAR, max(6, min(TEXT_MM * at.px_per_mm, room)))
    pen.text((margin, 0.7 * margin), told, DRAWN, font, anchor="ls")
    picture[-margin:] = np.minimum(picture[-margin:], np.asarray(strip))


def over_canvas(plan: Plan) -> Canvas:
    """What `to-draw-over.png` shows and at which scale."""
    return canvas(plan.sized, MARGIN_MM, DPI, MOST_PX)


def _faint(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    return np.asarray(cv2.convertScaleAbs(picture, alpha=FAINT, beta=255 * (1 - FAINT)), np.uint8)


def _dashes(line: Line) -> list[Floats]:
    """A line cut into dashes of even length."""
    points, closed = line
    points = np.vstack([points, points[:1]]) if closed else points
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    count = int(along[-1] // (DASH_MM + GAP_MM))
    if count < 2:
        return [points]
    starts = np.linspace(0, along[-1], count, endpoint=False)
    at = starts[:, None] + np.linspace(0, along[-1] / count * DASH_MM / (DASH_MM + GAP_MM), 5)
    return list(np.stack([np.interp(at, along, points[:, 0]), np.interp(at, along, points[:, 1])], axis=-1))


def _all_fixed(lines: list[Floats], at: Canvas) -> list[PENCIL]:
    """Lines in mm as pixels with binary places, all at once."""
    if not lines:
        return []
    fixed: PENCIL = np.round((at.px(np.concatenate(lines)) - 0.5) * 2**SUBPIXEL).astype(np.int32)
    return np.split(fixed, np.cumsum([len(line) for line in lines])[:-1])


def _pen(at: Canvas, width_mm: float) -> int:
    return max(1, round(width_mm * at.px_per_mm))
