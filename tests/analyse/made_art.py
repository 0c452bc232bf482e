"""Small artworks drawn for the tests: known colours and outlines, as a customer's picture shows them."""

from __future__ import annotations

from io import BytesIO

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from analyse.values import Artwork

Picture = NDArray[np.uint8]
FINE = 8
WHITE, RED, BLUE, GOLD, BLACK = (255, 255, 255), (200, 30, 40), (20, 60, 160), (235, 180, 40), (20, 20, 20)


def artwork(rgb: Picture, alpha: Picture | None = None) -> Artwork:
    """A decoded picture, (H, W, 3), as the artwork it is."""
    high, wide = rgb.shape[:2]
    opaque = np.full((high, wide), 255, dtype=np.uint8)
    rgba = np.dstack([rgb, opaque if alpha is None else alpha])
    return Artwork(rgba, "made.png", "0" * 64, "png", (wide, high), np.eye(3))


def fine(high: int, wide: int, colour: tuple[int, int, int] = WHITE) -> Picture:
    """An empty picture at FINE samples a pixel, to draw on."""
    return np.full((high * FINE, wide * FINE, 3), colour, dtype=np.uint8)


def seen(drawn: Picture) -> Picture:
    """What was drawn fine, as the pixels see it."""
    high, wide = drawn.shape[0] // FINE, drawn.shape[1] // FINE
    return np.asarray(cv2.resize(drawn, (wide, high), interpolation=cv2.INTER_AREA), dtype=np.uint8)


def majority(drawn: Picture) -> NDArray[np.int64]:
    """The colour, as 0xRRGGBB, that most samples of each pixel have."""
    code = drawn.astype(np.int64) @ np.array([65536, 256, 1])
    values = np.unique(code)
    size = (drawn.shape[1] // FINE, drawn.shape[0] // FINE)
    shares = [cv2.resize((code == value).astype(np.float32), size, interpolation=cv2.INTER_AREA) for value in values]
    return values[np.argmax(shares, axis=0)]


def as_jpeg(picture: Picture, quality: int = 75) -> Picture:
    """Through a JPEG of 4:2:0 and back."""
    kept = BytesIO()
    Image.fromarray(picture).save(kept, "JPEG", quality=quality, subsampling=2)
    return np.asarray(Image.open(kept).convert("RGB"))


def at(*points: tuple[float, float]) -> NDArray[np.int32]:
    """Points in picture px as fine samples, for cv2."""
    return np.rint(np.array(points) * FINE).astype(np.int32)


def badge(high: int = 200, wide: int = 240) -> Picture:
    """A disc, a bar across it, a star-like wedge, a ring and a thin stroke; four colours on white, drawn fine."""
    drawn = fine(high, wide)
    cv2.circle(drawn, at((90, 100))[0].tolist(), 70 * FINE, BLUE, -1)
    cv2.circle(drawn, at((90, 100))[0].tolist(), 45 * FINE, GOLD, 6 * FINE)
    cv2.fillPoly(drawn, [at((60.3, 80.2), (210.4, 60.7), (200.1, 110.9))], RED)
    cv2.rectangle(drawn, at((150, 130))[0].tolist(), at((220, 170))[0].tolist(), BLACK, -1)
    cv2.line(drawn, at((20, 185))[0].tolist(), at((220, 178))[0].tolist(), BLACK, 2 * FINE)
    return drawn
