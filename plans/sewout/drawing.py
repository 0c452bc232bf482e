"""The sew-out, put together: cloth, shadow, strands."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.lab import SRGB_TO_XYZ
from analyse.values import SizedDrawing
from plans.sewout.cover import BARE, draw_cover
from plans.sewout.frame import MM_PER_INCH, Frame, frame
from plans.sewout.grounds import draw_ground
from plans.sewout.lighting import light_thread, light_up
from plans.sewout.relief import contact_light, holes, shadow, slope_light, thread_height
from plans.sewout.strands import Strands, lay_strands
from plans.sewout.tones import Light, to_linear, to_srgb
from plans.sewout.wrong_side import BACKING_RGB, BOBBIN_RGB, from_behind
from plans.values import Step, Stitches

FINER = 2
"""Strands are drawn this many times finer than the picture and averaged: smooth edges, no moire."""
CLOTH_LIGHT = 0.95
"""A photographed white is not paper white: room is left for the yarns that catch the lamp."""
LUMINANCE = SRGB_TO_XYZ[1].astype(np.float32)
"""Of linear red, green and blue."""
HOLE_MM = 0.16
LEATHER_HOLE_MM = 0.42
PILE_MM = 0.5
"""Leather keeps every hole as wide as the needle made it; other cloths close about it."""


def draw_sewout(
    stitches: Stitches,
    steps: tuple[Step, ...],
    sized: SizedDrawing,
    *,
    dpi: float = 300,
    back: bool = False,
    drift_mm: float = 0.0,
    strands: Strands | None = None,
) -> NDArray[np.uint8]:
    """The finished piece at true scale, (H, W, 3) sRGB; its corner and size in mm are `frame(sized, stitches)`.

    back: the wrong side, mirrored as one turns the piece over. drift_mm: how far things sewn apart may drift.
    strands: `lay_strands` of the same, where it was laid before.
    """
    place, px_per_mm = frame(sized, stitches), dpi / MM_PER_INCH
    strands = strands or lay_strands(stitches, steps, sized, drift_mm)
    if back:
        strands = from_behind(strands, stitches, place)
    palette = to_linear(np.array([*(colour.rgb for colour in sized.drawing.palette), BOBBIN_RGB], np.uint8))
    rows, columns = place.pixels(px_per_mm)
    fine = px_per_mm * FINER
    ids = draw_cover(strands, place, fine, (rows * FINER, columns * FINER))
    thread = light_thread(ids, light_up(strands, palette, place, fine), FINER)
    cover = covered_share(ids, (rows, columns))
    relief = slope_light(thread_height(strands, place, *bears(sized)), (rows, columns), px_per_mm)
    relief *= contact_light(ids[::FINER, ::FINER], strands, px_per_mm)
    ground, rgb = ("felt", BACKING_RGB) if back else (sized.trade.cloth(sized.cloth).ground, sized.cloth_rgb)
    colour = to_linear(np.array(rgb, np.uint8))
    light = cloth_light(ground, place, cover, px_per_mm, float(colour @ LUMINANCE)) * pierced(
        ground, stitches, strands, place, px_per_mm
    )
    cover, thread = swallowed(ground, cover, thread, light, px_per_mm)
    cloth = colour * light[..., None]
    picture = cloth * ((1 - cover) * relief)[..., None] + thread * relief[..., None]
    return to_srgb(np.asarray(picture, np.float32))


def bears(sized: SizedDrawing) -> tuple[float, float]:
    """Thread in mm per mm2 from which the cloth puckers, and the mm it is judged over."""
    trade = sized.trade
    full, window, flat = (
        float(trade.value(row)) for row in ("density.full_layer", "density.window", "density.lies_flat")
    )
    return full * max(flat, trade.cloth(sized.cloth).hard_layers), window


def covered_share(ids: NDArray[np.int32], shape: tuple[int, int]) -> Light:
    """(H, W) share of each of the picture's pixels that thread covers."""
    full = (ids != BARE).view(np.uint8) * np.uint8(255)
    small = cv2.resize(full, shape[::-1], interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.float32) * np.float32(1 / 255)


def cloth_light(ground: str, place: Frame, cover: Light, px_per_mm: float, thrown: float) -> Light:
    """(H, W) light on the cloth as if no thread hid it: its face, the shadow on it. thrown: share it throws back."""
    shade = shadow(cover, px_per_mm, thrown)
    return np.asarray(draw_ground(ground, place, px_per_mm) * shade * np.float32(CLOTH_LIGHT))


def pierced(ground: str, stitches: Stitches, strands: Strands, place: Frame, px_per_mm: float) -> Light:
    """(H, W) light left about needle holes. Leather's stay where the needle went: thread draws in and bares them."""
    shape = place.pixels(px_per_mm)
    if ground == "leather":
        return holes(stitches.xy, place, shape, px_per_mm, LEATHER_HOLE_MM)
    return holes(np.concatenate([strands.start, strands.end]), place, shape, px_per_mm, HOLE_MM)


def swallowed(ground: str, cover: Light, thread: Light, light: Light, px_per_mm: float) -> tuple[Light, Light]:
    """Cover and thread that the pile leaves to be seen: its loops stand up through thin lines and over edges."""
    if ground != "pile":
        return cover, thread
    body = cv2.GaussianBlur(cover, (0, 0), PILE_MM * px_per_mm)
    kept = np.clip((body - 0.95 + (1.35 - light) * 1.1) * 5, 0, 1) * cover
    share = kept / np.maximum(cover, 1e-6)
    return np.asarray(kept), np.asarray(thread * share[..., None])
