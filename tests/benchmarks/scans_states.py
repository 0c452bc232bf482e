"""Flat art as it comes back from paper: scanned askew, or photographed on a desk, with the way there known."""

from __future__ import annotations

import io
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

Picture = NDArray[np.uint8]
Floats = NDArray[np.float64]

PAPER = np.array([247.0, 246.0, 241.0])
MARGIN = 0.14


@dataclass(frozen=True, slots=True, eq=False)
class Sent:
    """data: the file. from_art: 3 x 3, art px to file px. corners: (4, 2) of the sheet in file px, or None."""

    data: bytes
    from_art: Floats
    corners: Floats | None


def smooth_noise(shape: tuple[int, int], rng: np.random.Generator, across_px: float) -> Floats:
    """Noise of unit deviation with patches `across_px` wide."""
    rows, columns = (max(4, int(side / across_px) + 3) for side in shape)
    coarse = cv2.resize(rng.standard_normal((rows, columns)), shape[::-1], interpolation=cv2.INTER_CUBIC)
    return coarse / coarse.std()


def on_page(art: Picture) -> tuple[Floats, Floats]:
    """The art on paper with a margin, as reflectance 0..255, and the 3 x 3 from art px to page px."""
    high, wide = art.shape[:2]
    margin = round(MARGIN * max(high, wide))
    page = np.full((high + 2 * margin, wide + 2 * margin, 3), 255.0)
    page[margin : margin + high, margin : margin + wide] = art
    return page * PAPER / 255.0, np.array([[1.0, 0, margin], [0, 1, margin], [0, 0, 1]])


def encoded(pixels: Floats, quality: int) -> bytes:
    stream = io.BytesIO()
    picture = Image.fromarray(np.clip(np.rint(pixels), 0, 255).astype(np.uint8))
    picture.save(stream, "JPEG", quality=quality, subsampling=2)
    return stream.getvalue()


def scanned(art: Picture, seed: int, *, turn_deg: float = 1.5, grain: float = 3.0, quality: int = 85) -> Sent:
    """A flatbed scan: a slight turn, grain of paper and sensor, paper that is not even, a little blur."""
    rng = np.random.default_rng(seed)
    page, to_page = on_page(art)
    high, wide = page.shape[:2]
    turn = np.vstack([cv2.getRotationMatrix2D((wide / 2, high / 2), turn_deg, 1.0), [0, 0, 1]])
    page = cv2.warpPerspective(page, centred(turn), (wide, high), flags=cv2.INTER_CUBIC, borderValue=(*PAPER,))
    page = cv2.GaussianBlur(page, (0, 0), 0.8)
    page *= (1 + 0.015 * smooth_noise((high, wide), rng, wide / 4))[..., None]
    page *= np.linspace(1.0, 0.96, wide)[None, :, None]
    page += grain * (0.7 * smooth_noise((high, wide), rng, 1.6)[..., None] + 0.7 * rng.standard_normal(page.shape))
    return Sent(encoded(page, quality), turn @ to_page, None)


def photographed(art: Picture, seed: int, *, strength: float = 1.0, quality: int = 85) -> Sent:
    """A phone's photo of the page on a desk: perspective, falling light, a cast, noise, blur; `strength` of it all."""
    rng = np.random.default_rng(seed)
    page, to_page = on_page(art)
    high, wide = page.shape[:2]
    canvas = round(1.25 * wide), round(1.25 * high)
    corners = np.array([[0.0, 0], [wide, 0], [wide, high], [0, high]])
    middle = np.array(canvas) / 2
    turn = np.deg2rad(rng.uniform(-4, 4) * strength)
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    seen = (corners - corners.mean(axis=0)) @ spin.T * 0.97 + middle
    seen += rng.uniform(-0.045, 0.045, (4, 2)) * strength * max(wide, high)
    view = cv2.getPerspectiveTransform(corners.astype(np.float32), seen.astype(np.float32)).astype(float)
    desk = np.array(rng.uniform((60, 50, 40), (130, 110, 100))) + 6 * smooth_noise(canvas[::-1], rng, 60)[..., None]
    cover = cv2.warpPerspective(np.ones((high, wide)), centred(view), canvas, flags=cv2.INTER_LINEAR)[..., None]
    shown = cv2.warpPerspective(page, centred(view), canvas, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    shadow = 1 - 0.4 * cv2.GaussianBlur(np.roll(cover[..., 0], (12, 9), (0, 1)), (0, 0), 12)[..., None]
    picture = shown * cover + desk * shadow * (1 - cover)
    y, x = np.mgrid[: canvas[1], : canvas[0]] / max(canvas)
    light = 1.0 - 0.4 * strength * np.hypot(x - rng.uniform(0, 0.4), y - rng.uniform(0, 0.4)) ** 1.2
    picture = picture * light[..., None] * (1 + strength * np.array([0.01, -0.01, -0.06]))
    picture = cv2.GaussianBlur(picture, (0, 0), 0.6 + 0.5 * strength)
    picture = picture + rng.standard_normal(picture.shape) * (1.5 + 2.0 * strength)
    return Sent(encoded(picture, quality), view @ to_page, seen)


def centred(matrix: Floats) -> Floats:
    """A 3 x 3 between corners of pixels as OpenCV wants it: between their centres."""
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    return np.linalg.inv(half) @ matrix @ half
