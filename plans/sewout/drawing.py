"""The sew-out, put together: cloth, shadow, strands."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.values import SizedDrawing
from plans.sewout.cover import BARE, draw_cover
from plans.sewout.frame import MM_PER_INCH, Frame, frame
from plans.sewout.grounds import draw_ground
from plans.sewout.sheen import light_strands
from plans.sewout.strands import Strands, lay_strands
from plans.sewout.tones import Light, to_linear, to_srgb
from plans.values import Step, Stitches

FINER = 2
"""Strands are drawn this many times finer than the picture and averaged: smooth edges, no moire."""
SHADOW_MM, SHADOW_DARK = 0.28, 0.55
"""Thread stands a little proud of the cloth and darkens it beside and away from the light."""


def draw_strands(strands: Strands, palette: Light, place: Frame, px_per_mm: float) -> tuple[Light, Light]:
    """Light from the thread (H, W, 3), already weighed by its cover, and the cover (H, W), 0..1."""
    rows, columns = place.pixels(px_per_mm)
    fine = px_per_mm * FINER
    ids = draw_cover(strands, place, fine, (rows * FINER, columns * FINER))
    covered = np.flatnonzero(ids.ravel() != BARE)
    diffuse, sheen = light_strands(ids, covered, strands, place, fine)
    colour = palette[strands.thread][ids.ravel()[covered]]
    picture = np.zeros((ids.size, 4), np.float32)
    picture[covered, :3] = colour * diffuse[:, None] + (0.25 + 0.75 * colour) * sheen[:, None] * 0.5
    picture[covered, 3] = 1.0
    small = cv2.resize(picture.reshape(*ids.shape, 4), (columns, rows), interpolation=cv2.INTER_AREA)
    return np.asarray(small[..., :3]), np.asarray(small[..., 3])


def shadow(cover: Light, px_per_mm: float) -> Light:
    """(H, W) light left on the cloth beside the thread."""
    soft = cv2.GaussianBlur(cover, (0, 0), SHADOW_MM * px_per_mm)
    shift = np.array([[1, 0, 0.5], [0, 1, 0.7]]) * [1, 1, SHADOW_MM * px_per_mm]
    cast = cv2.warpAffine(soft, shift, (cover.shape[1], cover.shape[0]), borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(1 - SHADOW_DARK * cast, dtype=np.float32)


def draw_sewout(
    stitches: Stitches,
    steps: tuple[Step, ...],
    sized: SizedDrawing,
    *,
    dpi: float = 300,
    back: bool = False,
    drift_mm: float = 0.0,
) -> NDArray[np.uint8]:
    """The finished piece at true scale, (H, W, 3) sRGB; its corner and size in mm are `frame(sized, stitches)`.

    back: the wrong side, mirrored as one turns the piece over. drift_mm: how far things sewn apart may drift.
    """
    place, px_per_mm = frame(sized, stitches), dpi / MM_PER_INCH
    strands = lay_strands(stitches, steps, sized, drift_mm)
    palette = to_linear(np.array([colour.rgb for colour in sized.drawing.palette], np.uint8).reshape(-1, 3))
    thread, cover = draw_strands(strands, palette, place, px_per_mm)
    cloth_light = draw_ground(
        sized.trade.cloth(sized.cloth).ground, cover.shape, (place.left_mm, place.top_mm), px_per_mm
    )
    cloth_light = cloth_light * shadow(cover, px_per_mm) * (1 - cover)
    cloth = to_linear(np.array(sized.cloth_rgb, np.uint8)) * cloth_light[..., None]
    picture = to_srgb(np.asarray(cloth + thread, np.float32))
    return picture[:, ::-1] if back else picture
