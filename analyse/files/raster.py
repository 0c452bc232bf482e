"""Pixel files: opened by Pillow from an allowlist, their size checked before anything is decoded.

Runs in this process for what is decoded piece by piece, which can be stopped; in the child process for the rest.
"""

from __future__ import annotations

import re
import struct
import warnings
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops

from analyse.errors import ArtworkError, JobError
from analyse.files.calibration import Calibration, calibration_of
from analyse.files.checksums import damaged_chunk
from analyse.files.compression import jpeg_quality
from analyse.files.opened import Opened, scaling
from analyse.files.quiet import quiet
from analyse.files.shrinking import shrunk
from analyse.files.sizes import canonical_size
from analyse.files.timed import OutOfTimeError, TimedBytes
from analyse.files.turning import turned, turning
from analyse.limits import Limits, exceeded, too_dear
from analyse.values import Floats

# Bytes a decoder needs per pixel of the file, its copies included (measured; JPEG shrinks while it decodes, but keeps
# a progressive one's coefficients).
_DECODE_BYTES_PER_PX = {"png": 4, "jpeg": 3, "webp": 15, "avif": 11, "gif": 6, "bmp": 4, "tiff": 4, "heic": 11}
_PROGRESSIVE_BYTES_PER_PX = 6
_PILLOW_NAME = {kind: kind.upper() for kind in _DECODE_BYTES_PER_PX}
_EXIF_ORIENTATION = 0x0112
# Whatever Python raises when a parser meets bytes it did not expect.
_BROKEN = (
    OSError, SyntaxError, ValueError, TypeError, LookupError, EOFError, AttributeError, ArithmeticError, MemoryError,
    AssertionError, RuntimeError, struct.error, zlib.error,
)  # fmt: skip


def open_raster(data: bytes, kind: str, name: str, *, page: int, limits: Limits) -> Opened:
    """A pixel file as the canonical raster; accuracy: as its decoder, areas averaged when it is shrunk.

    Errors: ArtworkError for a broken or truncated file, or one beyond the limits; JobError for a page it has not.
    """
    with _pillow_on_guard(limits, kind):
        try:
            return _opened(data, kind, name, page, limits)
        except OutOfTimeError as error:
            raise too_dear(limits, "seconds", kind, name) from error
        except (Image.DecompressionBombError, *_BROKEN) as error:
            if isinstance(error, ArtworkError | JobError):
                raise
            raise _unreadable(error, kind, name, limits) from error


def _opened(data: bytes, kind: str, name: str, page: int, limits: Limits) -> Opened:
    timed = TimedBytes(data, limits.seconds)
    image = _opened_lazily(timed, kind)
    notes = _turn_to_page(image, kind, name, page, limits)
    width, height = image.size
    decoding = len(data) + width * height * _bytes_per_px(image, kind)
    check_size(width, height, decoding, name, limits)
    if kind == "jpeg":
        _check_scans(data, name, limits)
        image.draft(None, canonical_size(width, height))
    orientation, dpi = _orientation(image), _dpi(image)
    meant = image.info.get("icc_profile") or calibration_of(image)
    if kind == "tiff" and orientation >= 5:  # Pillow states and loads a TIFF upright
        width, height = height, width
    if kind == "png" and (damage := damaged_chunk(data, timed.check)):
        raise SyntaxError(damage)
    image.load()
    _as_meant(image, kind, data)
    pixels, from_file, colour_notes = _canonical(image, (width, height), orientation, meant, upright=kind == "tiff")
    turn_notes = ("the picture was turned upright, as its orientation tag says",) if orientation != 1 else ()
    return Opened(
        pixels,
        (width, height),
        from_file,
        dpi=dpi,
        compression=jpeg_quality(image) if kind == "jpeg" else None,
        notes=notes + turn_notes + colour_notes,
    )


def _opened_lazily(data: TimedBytes, kind: str) -> Image.Image:
    if kind != "heic":
        return Image.open(data, formats=[_PILLOW_NAME[kind]])
    import pi_heif

    opened: Image.Image = pi_heif.HeifImageFile(data)
    return opened


def _bytes_per_px(image: Image.Image, kind: str) -> int:
    return _PROGRESSIVE_BYTES_PER_PX if "progressive" in image.info else _DECODE_BYTES_PER_PX[kind]


def _canonical(
    image: Image.Image,
    file_px: tuple[int, int],
    orientation: int,
    meant: bytes | Calibration | None,
    *,
    upright: bool,
) -> tuple[NDArray[np.uint8], Floats, tuple[str, ...]]:
    """Canonical pixels, 3 x 3 from the file's, notes. upright: the decoder has turned the picture already."""
    turn = turning(orientation, *file_px)
    width, height = np.abs(turn[:2, :2]) @ file_px if upright else file_px
    rgba, notes = shrunk(image, canonical_size(width, height), meant)
    # A JPEG decoded at 1/2, 1/4 or 1/8 has its last pixel reach over the edge.
    decoded = round(width / image.width), round(height / image.height)
    scale = scaling(rgba.shape[1] / image.width / decoded[0], rgba.shape[0] / image.height / decoded[1])
    if upright:
        return rgba, scale @ turn, notes
    matrix = turning(orientation, rgba.shape[1], rgba.shape[0]) @ scale
    return np.ascontiguousarray(turned(rgba, orientation)), matrix, notes


def check_size(width: int, height: int, decoding: int, name: str, limits: Limits) -> None:
    """Refuse a picture too small to show a shape, or one that would cost too much, `decoding` in bytes of memory.

    Errors: ArtworkError.
    """
    where = f"{name}, {width:,} x {height:,} px"
    if min(width, height) < limits.least_side:
        raise ArtworkError("the picture is too small to show a shape", where, "ask for the artwork in its full size")
    if min(canonical_size(width, height)) < limits.least_side:
        times = max(width, height) / min(width, height)
        what = f"the picture is a strip, {times:,.0f} times as long as it is wide"
        raise ArtworkError(what, where, "cut the artwork out of it and send that")
    if width * height > limits.pixels:
        raise exceeded(limits, "pixels", width * height, where)
    if max(width, height) > limits.side:
        raise exceeded(limits, "side", max(width, height), where)
    if decoding > limits.decode_bytes:
        raise exceeded(limits, "decode_bytes", decoding, where, how="opening it takes")


def _check_scans(data: bytes, name: str, limits: Limits) -> None:
    scans = data.count(b"\xff\xda")
    if scans > limits.scans:
        raise exceeded(limits, "scans", scans, name, "save it again as an ordinary JPEG")


def _turn_to_page(image: Image.Image, kind: str, name: str, page: int, limits: Limits) -> tuple[str, ...]:
    count = 1
    if kind in ("tiff", "gif", "webp", "avif", "png"):
        if kind == "tiff" and page > limits.pages:
            raise exceeded(limits, "pages", page, name)
        count = int(getattr(image, "n_frames", 1))
    pages = count if kind == "tiff" else 1
    if not 1 <= page <= pages:
        raise JobError(
            f"there is no page {page}: {name} has {pages}",
            "--page",
            f"ask for 1 to {pages}" if pages > 1 else "leave it out",
        )
    if kind == "tiff" and page > 1:
        image.seek(page - 1)
    if count == 1:
        return ()
    return (f"page {page} of {count} was read",) if kind == "tiff" else (f"the first of {count} frames was read",)


def _as_meant(image: Image.Image, kind: str, data: bytes) -> None:
    """Two things Pillow leaves as they stand in the file, brought to what they mean.

    A transparent grey or colour of a PNG is stated in the file's own bits. A CMYK JPEG holds inverted inks where
    Adobe's marker says so, and only there; Pillow inverts them all.
    """
    clear = image.info.get("transparency")
    depth = data[24] if kind == "png" else 8
    if isinstance(clear, int) and depth < 8 and image.mode == "L":
        image.info["transparency"] = clear * 255 // ((1 << depth) - 1)
    elif isinstance(clear, tuple) and depth == 16:
        image.info["transparency"] = tuple(value >> 8 for value in clear)
    if kind == "jpeg" and image.mode == "CMYK" and "adobe" not in image.info:
        image.paste(ImageChops.invert(image))


def _orientation(image: Image.Image) -> int:
    try:
        orientation = int(image.getexif().get(_EXIF_ORIENTATION, 1))
    except _BROKEN:
        return 1
    return orientation if 1 <= orientation <= 8 else 1


def _dpi(image: Image.Image) -> float | None:
    """Stated pixels per inch, of the file's own pixels, where both directions agree."""
    try:
        across, down = (float(value) for value in image.info["dpi"])
    except (KeyError, TypeError, ValueError, ZeroDivisionError):
        return None
    return across if 1 <= across <= 20_000 and abs(across - down) < 0.01 * across else None


@contextmanager
def _pillow_on_guard(limits: Limits, kind: str) -> Iterator[None]:
    """Pillow's own bomb check set to our limit; warnings about odd metadata kept from the user."""
    before = Image.MAX_IMAGE_PIXELS
    Image.MAX_IMAGE_PIXELS = limits.pixels
    try:
        with warnings.catch_warnings(), quiet() if kind == "tiff" else nullcontext():
            warnings.simplefilter("ignore")
            yield
    finally:
        Image.MAX_IMAGE_PIXELS = before


def _unreadable(error: BaseException, kind: str, name: str, limits: Limits) -> ArtworkError:
    shown = kind.upper()
    if isinstance(error, Image.DecompressionBombError):
        pixels = re.search(r"\d+", str(error))
        return exceeded(limits, "pixels", float(pixels[0]) if pixels else 2.0 * limits.pixels, name)
    if "truncated" in str(error).lower() or isinstance(error, EOFError):
        return ArtworkError(f"the {shown} breaks off: a part of it is missing", name, "ask for it to be sent again")
    return ArtworkError(f"the {shown} is damaged, or of a kind that is not read", name, "ask for it again, as a PNG")
