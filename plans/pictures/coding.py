"""Pictures as bytes: PNG with its true scale, WebP for the report, and data URIs."""

from __future__ import annotations

import base64
import io
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

COMPRESSION = 2  # of a PNG: thread is too rich to be packed smaller, and above it the time doubles


def png(picture: NDArray[np.uint8], dpi: float) -> bytes:
    """PNG bytes of an (H, W, 3 or 4) picture that prints at true size."""
    return _coded(picture, "PNG", dpi=(dpi, dpi), compress_level=COMPRESSION)


def webp(picture: NDArray[np.uint8], quality: int = 82) -> bytes:
    """WebP bytes of an (H, W, 3 or 4) picture."""
    return _coded(picture, "WEBP", quality=quality, method=1)


def data_uri(content: bytes, kind: str) -> str:
    """`content` as a data URI of the media type `kind`."""
    return f"data:{kind};base64,{base64.b64encode(content).decode('ascii')}"


def shrunk(picture: NDArray[np.uint8], most_px: int) -> NDArray[np.uint8]:
    """The picture with its long side at most `most_px`."""
    height, width = picture.shape[:2]
    share = most_px / max(height, width)
    if share >= 1:
        return picture
    size = (max(1, round(width * share)), max(1, round(height * share)))
    return np.asarray(Image.fromarray(picture).resize(size, Image.Resampling.BOX, reducing_gap=2.0))


def _coded(picture: NDArray[np.uint8], form: str, **how: Any) -> bytes:
    buffer = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(picture)).save(buffer, form, **how)
    return buffer.getvalue()
