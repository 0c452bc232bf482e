"""Pictures as bytes: PNG with its true scale, JPEG for the report, and data URIs."""

from __future__ import annotations

import base64
import struct
import zlib

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

COMPRESSION = 1  # of a PNG: thread is too rich to be packed smaller, and above it the time doubles
HEADER = 33  # bytes of a PNG up to the end of its IHDR chunk, which pHYs may follow


def png(picture: NDArray[np.uint8], dpi: float) -> bytes:
    """PNG bytes of an (H, W, 3) picture that prints at true size."""
    how = [cv2.IMWRITE_PNG_COMPRESSION, COMPRESSION, cv2.IMWRITE_PNG_FILTER, cv2.IMWRITE_PNG_FILTER_NONE]
    coded = cv2.imencode(".png", cv2.cvtColor(picture, cv2.COLOR_RGB2BGR), how)[1].tobytes()
    return coded[:HEADER] + _true_scale(dpi) + coded[HEADER:]


def _true_scale(dpi: float) -> bytes:
    """The pHYs chunk: pixels a metre (PNG specification, 11.3.5.3)."""
    metre = round(dpi / 0.0254)
    chunk = b"pHYs" + struct.pack(">IIB", metre, metre, 1)
    return struct.pack(">I", len(chunk) - 4) + chunk + struct.pack(">I", zlib.crc32(chunk))


def jpeg(picture: NDArray[np.uint8], quality: int = 88) -> bytes:
    """JPEG bytes of an (H, W, 3) picture, its colours as fine as its light: thin red lines stay red."""
    how = [cv2.IMWRITE_JPEG_QUALITY, quality, cv2.IMWRITE_JPEG_SAMPLING_FACTOR, cv2.IMWRITE_JPEG_SAMPLING_FACTOR_444]
    return cv2.imencode(".jpg", cv2.cvtColor(picture, cv2.COLOR_RGB2BGR), how)[1].tobytes()


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
