"""The cloth itself, drawn at true scale: its weave, knit, pile or grain about its own colour."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np

from plans.sewout.tones import Light

Weave = Callable[[Light, Light, float], Light]


def fading(pitch_mm: float, px_per_mm: float) -> float:
    """1 where a pattern of that pitch can be drawn, 0 where it would only alias."""
    return float(np.clip((pitch_mm * px_per_mm - 2.0) / 2.0, 0.0, 1.0))


def noise(shape: tuple[int, int], size_px: float, seed: int) -> Light:
    """Soft noise of unit spread, its blobs about `size_px` wide."""
    raw = np.random.default_rng(seed).standard_normal(shape, dtype=np.float32)
    field = cv2.GaussianBlur(raw, (0, 0), max(size_px / 2.5, 0.4), borderType=cv2.BORDER_REFLECT)
    return np.asarray(field / max(float(np.std(field)), 1e-6))


def plain(x: Light, y: Light, px_per_mm: float) -> Light:
    """Plain weave: threads over and under, 0.36 mm apart."""
    pitch = 0.36
    u, v = x * np.float32(np.pi / pitch), y * np.float32(np.pi / pitch)
    over = np.sin(u) * np.sin(v)
    warp, weft = np.abs(np.sin(u)), np.abs(np.sin(v))
    return np.asarray((np.where(over > 0, warp, weft) - 0.64) * 0.22 * fading(2 * pitch, px_per_mm))


def twill(x: Light, y: Light, px_per_mm: float) -> Light:
    """Twill: ribs that climb at 60 degrees, 0.7 mm apart, each a row of short floats."""
    pitch, along = 0.7, 0.5
    turn = np.radians(60)
    across = x * np.float32(np.sin(turn)) + y * np.float32(np.cos(turn))
    run = x * np.float32(np.cos(turn)) - y * np.float32(np.sin(turn))
    rib = np.sin(across * np.float32(2 * np.pi / pitch))
    bead = np.cos(run * np.float32(2 * np.pi / along) + across * np.float32(np.pi / pitch))
    return np.asarray((0.13 * rib + 0.05 * bead * (rib > 0)) * fading(pitch, px_per_mm))


def pique(x: Light, y: Light, px_per_mm: float) -> Light:
    """Pique knit: small raised cells in staggered rows, 1.2 mm by 1.0 mm."""
    u, v = x * np.float32(2 * np.pi / 1.2), y * np.float32(2 * np.pi / 2.0)
    cell = np.cos(u) * np.cos(v)
    dent = np.clip(-cell, 0, 1) + np.clip(np.sin(u) * np.sin(v) - 0.3, 0, 1) * 0.3
    wale = np.cos(x * np.float32(2 * np.pi / 0.3)) * fading(0.3, px_per_mm)
    return np.asarray((0.10 - 0.30 * dent * dent + 0.03 * wale) * fading(1.0, px_per_mm))


def jersey(x: Light, y: Light, px_per_mm: float) -> Light:
    """Jersey knit: columns of small v's, 0.7 mm wide and 0.5 mm tall."""
    wale, course = 0.7, 0.5
    side = np.abs(((x / np.float32(wale)) % 1.0) - 0.5) * 2
    leg = np.sin((y / np.float32(course) + side * 0.7) * np.float32(2 * np.pi))
    groove = np.clip(side - 0.8, 0, 1) * 5
    return np.asarray((0.10 * leg - 0.22 * groove * groove + 0.03) * fading(course, px_per_mm))


def pile(x: Light, y: Light, px_per_mm: float) -> Light:
    """Pile: loops that lean every way."""
    coarse, fine = noise(x.shape, 1.3 * px_per_mm, 11), noise(y.shape, 0.5 * px_per_mm, 12)
    return np.asarray(0.12 * coarse + 0.13 * fine - 0.05)


def leather(x: Light, y: Light, px_per_mm: float) -> Light:
    """Leather: pebbles parted by fine creases."""
    coarse, fine = noise(x.shape, 1.6 * px_per_mm, 21), noise(y.shape, 0.6 * px_per_mm, 22)
    crease = np.exp(-((coarse * 2.2) ** 2)) + 0.6 * np.exp(-((fine * 2.2) ** 2))
    return np.asarray(0.06 - 0.13 * crease + 0.03 * coarse)


WEAVES: dict[str, Weave] = {
    "plain": plain, "twill": twill, "pique": pique, "jersey": jersey, "pile": pile, "leather": leather,
}  # fmt: skip


def draw_ground(ground: str, shape: tuple[int, int], origin_mm: tuple[float, float], px_per_mm: float) -> Light:
    """(H, W) light on the bare cloth, about 1."""
    x = (np.arange(shape[1], dtype=np.float32) + 0.5) / px_per_mm + origin_mm[0]
    y = (np.arange(shape[0], dtype=np.float32) + 0.5) / px_per_mm + origin_mm[1]
    wide, tall = np.meshgrid(x.astype(np.float32), y.astype(np.float32))
    even = noise(shape, 0.25 * px_per_mm, 5) * np.float32(0.025)
    return np.asarray(1 + WEAVES[ground](wide, tall, px_per_mm) + even, dtype=np.float32)
