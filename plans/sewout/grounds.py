"""The cloth itself, drawn at true scale: one repeat of its face, lit, and laid out over the frame."""

from __future__ import annotations

import math

import cv2
import numpy as np

from plans.sewout.frame import Frame
from plans.sewout.sheen import LIGHT
from plans.sewout.tones import Light
from plans.sewout.weaves import WEAVES, Weave, noise

TILE_MM = 12.0
"""So much of a regular face is drawn and repeated."""
FINEST_PX_PER_MM = 24.0
CLOUDS_MM, CLOUDS = 7.0, 0.02
"""Cloth is never quite even: soft clouds of that size and depth."""


def lit_face(weave: Weave, shape: tuple[int, int], size_mm: tuple[float, float]) -> Light:
    """(H, W) light on a tile of cloth, mean 1: its slopes to the lamp, its hollows in shade."""
    finer = (
        max(1, math.ceil(FINEST_PX_PER_MM * size_mm[1] / shape[1])) if size_mm[0] < WEAVES["pile"].repeat_mm[0] else 1
    )
    rows, columns = shape[0] * finer, shape[1] * finer
    x = ((np.arange(columns) + 0.5) * size_mm[1] / columns).astype(np.float32)
    y = ((np.arange(rows) + 0.5) * size_mm[0] / rows).astype(np.float32)
    height = weave.height(*np.meshgrid(x, y))
    down = (np.roll(height, -1, 0) - np.roll(height, 1, 0)) / (2 * size_mm[0] / rows)
    right = (np.roll(height, -1, 1) - np.roll(height, 1, 1)) / (2 * size_mm[1] / columns)
    light = weave.lit * np.tanh(-(right * LIGHT[0] + down * LIGHT[1])) + weave.hollow * (height - height.mean())
    small = cv2.resize(light.astype(np.float32), (shape[1], shape[0]), interpolation=cv2.INTER_AREA)
    return np.asarray(1 + small - small.mean() + weave.fuzz * noise(shape, 1.5, 7))


def draw_ground(ground: str, place: Frame, px_per_mm: float) -> Light:
    """(H, W) light on the bare cloth, mean 1."""
    weave = WEAVES[ground]
    times = [max(1, round(TILE_MM / repeat)) for repeat in weave.repeat_mm]
    size_mm = (weave.repeat_mm[1] * times[1], weave.repeat_mm[0] * times[0])
    tile = lit_face(weave, (round(size_mm[0] * px_per_mm), round(size_mm[1] * px_per_mm)), size_mm)
    rows, columns = place.pixels(px_per_mm)
    wide = np.tile(tile, (math.ceil(rows / tile.shape[0]), math.ceil(columns / tile.shape[1])))[:rows, :columns]
    coarse = noise((rows // 16 + 2, columns // 16 + 2), CLOUDS_MM * px_per_mm / 16, 3)
    clouds = cv2.resize(coarse, (columns, rows), interpolation=cv2.INTER_CUBIC)
    return np.asarray(wide * (1 + CLOUDS * clouds), dtype=np.float32)
