"""The face of each cloth as heights: yarns over and under, loops, pebbles; one repeat of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from plans.sewout.chance import drawn
from plans.sewout.tones import Light

SEED = 20


@dataclass(frozen=True, slots=True)
class Weave:
    """height: (x, y) in mm to mm, repeating every repeat_mm; lit: share of the light its slopes turn."""

    height: Callable[[Light, Light], Light]
    repeat_mm: tuple[float, float]
    lit: float
    hollow: float
    fuzz: float = 0.03


def noise(shape: tuple[int, int], size_px: float, seed: int) -> Light:
    """Soft noise of unit spread, its blobs about `size_px` wide, that repeats without a seam."""
    raw = drawn(shape[0] * shape[1], seed).reshape(shape) - np.float32(0.5)
    pad = min(int(size_px * 2) + 2, *shape)
    soft = cv2.GaussianBlur(np.pad(raw, pad, mode="wrap"), (0, 0), max(size_px / 2.5, 0.4))[pad:-pad, pad:-pad]
    return np.asarray(soft / max(float(np.std(soft)), 1e-6), dtype=np.float32)


def woven(x: Light, y: Light, yarn_mm: tuple[float, float], over: Callable[[Light, Light], NDArray[np.bool_]]) -> Light:
    """Warp runs up, weft across; where `over` (of yarn and pick number) holds the warp lies on top."""
    u, v = x / np.float32(yarn_mm[0]), y / np.float32(yarn_mm[1])
    i, j = np.floor(u), np.floor(v)
    warp, weft = np.sin(np.pi * (u - i)), np.sin(np.pi * (v - j))
    on_warp = np.sqrt(warp) * (0.7 + 0.3 * weft)
    on_weft = 0.85 * np.sqrt(weft) * (0.6 + 0.4 * warp)
    return np.asarray(np.where(over(i, j), on_warp, on_weft) * 0.12)


def twill(x: Light, y: Light) -> Light:
    """Two picks over, one under, a step further each yarn: ribs that climb at 60 degrees."""
    rib = np.cos(2 * np.pi * (x / np.float32(0.90) + y / np.float32(1.56) - 0.5))
    return woven(x, y, (0.30, 0.52), lambda i, j: np.asarray((i + j) % 3 != 0)) * 0.6 + np.float32(0.07) * rib


def plain(x: Light, y: Light) -> Light:
    """Over and under in turn."""
    return woven(x, y, (0.28, 0.32), lambda i, j: np.asarray((i + j) % 2 != 0))


def loops(x: Light, y: Light, wale_mm: float, course_mm: float) -> Light:
    """Knit face: in every wale two legs that lean together to a v."""
    side = np.abs((x / np.float32(wale_mm)) % 1.0 * 2 - 1)
    leg = np.sqrt(np.maximum(1 - (2 * side - 1) ** 2, 0))
    turn = np.abs(np.sin(np.pi * (y / np.float32(course_mm) + 0.6 * side)))
    return np.asarray(leg * (0.35 + 0.65 * turn**0.7))


def jersey(x: Light, y: Light) -> Light:
    """Plain knit: wales 0.7 mm wide, courses 0.5 mm."""
    return np.asarray(0.15 * loops(x, y, 0.7, 0.5))


def pique(x: Light, y: Light) -> Light:
    """Knit with tucks: a field of fine loops with small hollows in staggered rows."""
    hollow = np.zeros_like(x)
    for shift_x, shift_y in ((0.0, 0.0), (0.7, 0.8)):
        dx = (x - shift_x + 0.7) % np.float32(1.4) - 0.7
        dy = (y - shift_y + 0.8) % np.float32(1.6) - 0.8
        hollow = hollow + np.exp(-((dx / 0.27) ** 2) - (dy / 0.36) ** 2)
    return np.asarray(0.06 * loops(x, y, 0.35, 0.4) - 0.22 * hollow)


def pile(x: Light, y: Light) -> Light:
    """Loops of yarn that lean every way, later ones over earlier ones."""
    side, pad = y.shape[0], round(1.5 * x.shape[1] / PILE_MM)
    px = side / PILE_MM
    height = np.full((side + 2 * pad, side + 2 * pad), 0.2, np.float32)
    for at_x, at_y, turn, level, size in drawn(LOOPS * 5, SEED).reshape(-1, 5).tolist():
        axes = (round(px * (0.35 + 0.25 * size)), round(px * 0.28))
        for centre in wrapped(round(at_x * side), round(at_y * side), side, pad):
            for share in (1.0, 0.7, 0.4, 0.15):
                thick, tall = max(1, round(0.42 * px * share)), 0.25 + 0.2 * level + 0.22 * (1 - share * share)
                cv2.ellipse(height, centre, axes, 360 * turn, 150, 390, tall, thick, cv2.LINE_AA)
    return np.asarray(cv2.GaussianBlur(height, (0, 0), 0.05 * px)[pad:-pad, pad:-pad], np.float32)


def wrapped(x: int, y: int, side: int, pad: int) -> list[tuple[int, int]]:
    """A place on a tile's padded canvas, and wherever it comes round again within the padding."""
    across = [at + pad for at in (x - side, x, x + side) if -pad < at < side + pad]
    down = [at + pad for at in (y - side, y, y + side) if -pad < at < side + pad]
    return [(right, low) for right in across for low in down]


def leather(x: Light, y: Light) -> Light:
    """Pebbles parted by creases."""
    px, side = x.shape[1] / LEATHER_MM, y.shape[0]
    away = np.full((side, side), 255, np.uint8)
    middles = (drawn(PEBBLES * 2, SEED).reshape(-1, 2) * side).astype(np.int64)
    away[middles[:, 1], middles[:, 0]] = 0
    pad = side // 8
    mm = cv2.distanceTransform(np.pad(away, pad, mode="wrap"), cv2.DIST_L2, 5)[pad:-pad, pad:-pad] / px
    dome = 0.10 * np.maximum(1 - (mm / 0.75) ** 2, -0.6)
    return np.asarray(cv2.GaussianBlur(dome, (0, 0), 0.07 * px) + 0.012 * noise(y.shape, 0.3 * px, SEED), np.float32)


def felt(x: Light, y: Light) -> Light:
    """Bonded fibres: the backing."""
    px = x.shape[1] / LEATHER_MM
    return np.asarray(0.02 * noise(x.shape, 0.9 * px, SEED) + 0.02 * noise(y.shape, 0.25 * px, SEED + 1))


PILE_MM, LEATHER_MM = 20.0, 30.0
LOOPS, PEBBLES = 1900, 1000
WEAVES = {
    "plain": Weave(plain, (0.56, 0.64), 0.30, 0.9),
    "twill": Weave(twill, (0.90, 1.56), 0.32, 0.9),
    "pique": Weave(pique, (1.4, 1.6), 0.24, 0.7),
    "jersey": Weave(jersey, (0.7, 0.5), 0.28, 0.8),
    "pile": Weave(pile, (PILE_MM, PILE_MM), 0.38, 0.70, 0.03),
    "felt": Weave(felt, (LEATHER_MM, LEATHER_MM), 0.3, 0.5, 0.02),
    "leather": Weave(leather, (LEATHER_MM, LEATHER_MM), 0.75, 1.2, 0.015),
}
