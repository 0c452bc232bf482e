"""From whatever mode a file has to RGBA in sRGB at the canonical size, in bands so that memory stays low."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from analyse.files.calibration import Calibration
from analyse.files.profiles import to_srgb

# Pixels converted at once: enough to be fast, few enough to add little to the decoder's own memory.
_BAND_PX = 2_000_000
_KEPT_MODES = {"L", "RGB", "CMYK", "LAB"}


def shrunk(
    image: Image.Image, size: tuple[int, int], meant: bytes | Calibration | None
) -> tuple[NDArray[np.uint8], tuple[str, ...]]:
    """`image` (loaded) as (H, W, 4) RGBA of the given width and height, and notes on colour.

    Areas are averaged, weighted by alpha. What is fully transparent is white.
    """
    mode = _target_mode(image)
    if mode == "RGBA" and size != image.size:
        mode = "RGBa"
    pixels = _resized(image, mode, size)
    rgba = np.full((*pixels.shape[:2], 4), 255, np.uint8)
    if mode in ("RGBA", "RGBa"):
        straight = Image.frombuffer(mode, size, pixels, "raw", mode, 0, 1).convert("RGBA")
        rgba[..., 3] = np.asarray(straight)[..., 3]
        picture = straight.convert("RGB")
    else:
        picture = Image.frombuffer(mode, size, pixels, "raw", mode, 0, 1)
    srgb, notes = to_srgb(picture, meant)
    rgba[..., :3] = np.asarray(srgb)
    rgba[rgba[..., 3] == 0, :3] = 255
    return rgba, notes


def _target_mode(image: Image.Image) -> str:
    if image.has_transparency_data and not _is_opaque(image):
        return "RGBA"
    if image.mode in _KEPT_MODES:
        return image.mode
    return "L" if image.mode in ("1", "LA", "I", "F") or image.mode.startswith("I;16") else "RGB"


def _is_opaque(image: Image.Image) -> bool:
    if image.mode not in ("RGBA", "LA"):
        return False
    return all(
        image.crop((0, top, image.width, bottom)).getchannel("A").getextrema()[0] == 255
        for top, bottom in _bands(image, 1)
    )


def _bands(image: Image.Image, factor: int) -> list[tuple[int, int]]:
    """First and last row of bands of few pixels, a multiple of `factor` rows each."""
    rows = max(factor, _BAND_PX // image.width // factor * factor)
    return [(top, min(top + rows, image.height)) for top in range(0, image.height, rows)]


def _resized(image: Image.Image, mode: str, size: tuple[int, int]) -> NDArray[np.uint8]:
    factor = max(1, min(image.width // size[0], image.height // size[1]))
    scale = _deep_range(image)
    bands = [_band(image, top, bottom, mode, factor, scale) for top, bottom in _bands(image, factor)]
    pixels = np.concatenate(bands) if len(bands) > 1 else bands[0]
    if pixels.shape[1::-1] != size:
        import cv2

        pixels = np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), np.uint8)
    return np.ascontiguousarray(pixels)


def _band(
    image: Image.Image, top: int, bottom: int, mode: str, factor: int, scale: tuple[float, float] | None
) -> NDArray[np.uint8]:
    band = image if (top, bottom) == (0, image.height) else image.crop((0, top, image.width, bottom))
    if scale is not None:
        band = _flattened(band, image.info.get("transparency"), scale)
    elif image.mode == "RGB" and mode in ("RGBA", "RGBa"):
        band = band.convert("RGBA")
    if band.mode != mode:
        band = band.convert("RGBA").convert("RGBa") if mode == "RGBa" else band.convert(mode)
    return np.asarray(band.reduce(factor) if factor > 1 else band, np.uint8)


def _deep_range(image: Image.Image) -> tuple[float, float] | None:
    """Black and white of a grey mode that is not of 8 bits; None for the others."""
    if image.mode.startswith("I;16"):
        return 0.0, 65535.0
    if image.mode == "1":
        return 0.0, 1.0
    if image.mode not in ("I", "F"):
        return None
    values = np.asarray(image)
    low, high = float(values.min()), float(values.max())
    if not (np.isfinite(low) and np.isfinite(high)):
        raise ValueError("pixels that are no numbers")
    return min(0.0, low), next((white for white in (1.0, 255.0, 65535.0) if high <= white), high)


def _flattened(band: Image.Image, transparent: object, scale: tuple[float, float]) -> Image.Image:
    deep = np.asarray(band).astype(np.float32)
    low, high = scale
    grey = Image.fromarray(((deep - low) * (255.0 / (high - low)) + 0.5).astype(np.uint8))
    if not isinstance(transparent, int):
        return grey
    grey.putalpha(Image.fromarray(np.where(deep == transparent, 0, 255).astype(np.uint8)))
    return grey
