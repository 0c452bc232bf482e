"""What the child process opens, vector files and some pixel formats: its answer checked and taken in."""

from __future__ import annotations

import io
import sys
from importlib.util import find_spec
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from analyse.errors import ArtworkError, JobError
from analyse.files.opened import Opened
from analyse.files.sandbox import render
from analyse.files.sizes import LONG_SIDE_PX
from analyse.limits import Limits

# Artwork that fills less than this of its page's length is rendered again, by itself.
_SMALL_ON_PAGE = 0.7
# Room left round it, as a share of its long side.
_ROOM = 0.02


def open_drawn(data: bytes, kind: str, name: str, *, page: int, limits: Limits) -> Opened:
    """A vector file rendered at the canonical long side, on nothing; of a large page only what is drawn on.

    `file_px` is in the file's own units (CSS px, or points). Errors: as `analyse.files.sandbox.render`.
    """
    if kind == "svg" and page != 1:
        raise JobError(f"there is no page {page}: {name} has 1", "--page", "leave it out")
    header, rgba = _rendered(data, kind, name, page, None, limits)
    crop = _drawn_on(rgba, header)
    if crop is not None:
        header, rgba = _rendered(data, kind, name, page, crop, limits)
    rgba[rgba[..., 3] == 0, :3] = 255
    width, height = (float(value) for value in header["file_size"])
    scale, mm = float(header["scale"]), header["mm_per_unit"]
    left, top = (float(value) for value in header["offset"])
    notes = tuple(str(note) for note in header["notes"])
    return Opened(
        rgba,
        (max(1, round(width)), max(1, round(height))),
        np.array([[scale, 0, -scale * left], [0, scale, -scale * top], [0, 0, 1]]),
        px_per_mm=scale / mm if mm else None,
        notes=(*notes, "only the part of the page that is drawn on was read") if crop else notes,
        pictures_within=bool(header["pictures"]),
    )


def open_apart(data: bytes, kind: str, name: str, *, page: int, limits: Limits) -> Opened:
    """A pixel file as `analyse.files.raster.open_raster` opens it, in the child. Errors: as `sandbox.render` too."""
    if kind == "heic" and find_spec("pi_heif") is None:
        do = f"install its reader: {sys.executable} -m pip install pi-heif; or ask for a JPEG"
        raise ArtworkError("HEIC, a phone's own format, is not read without its reader", name, do)
    header, body = render(kind, data, name, limits, page=page)
    width, height = _checked_size(header, name)
    compression, dpi = header["compression"], header["dpi"]
    return Opened(
        np.frombuffer(body, np.uint8).reshape(height, width, 4).copy(),
        (int(header["file_px"][0]), int(header["file_px"][1])),
        np.array(header["from_file"], float),
        dpi=None if dpi is None else float(dpi),
        compression=None if compression is None else int(compression),
        notes=tuple(str(note) for note in header["notes"]),
    )


def _checked_size(header: dict[str, Any], name: str) -> tuple[int, int]:
    width, height = (int(value) for value in header["size"])
    if max(width, height) > LONG_SIDE_PX + 1:
        raise ArtworkError("its reader answered with a picture of another size", name, "ask for it as a PNG")
    return width, height


def _rendered(
    data: bytes, kind: str, name: str, page: int, crop: list[float] | None, limits: Limits
) -> tuple[dict[str, Any], NDArray[np.uint8]]:
    header, body = render(kind, data, name, limits, page=page, crop=crop)
    width, height = _checked_size(header, name)
    if kind == "svg":
        return header, np.array(Image.open(io.BytesIO(body), formats=["PNG"]).convert("RGBA"))
    rows = np.frombuffer(body, np.uint8).reshape(height, header["stride"])
    return header, rows[:, : width * 4].reshape(height, width, 4).copy()


def _drawn_on(rgba: NDArray[np.uint8], header: dict[str, Any]) -> list[float] | None:
    """The box of all that is drawn, in the file's units, if it is small on its page."""
    drawn = rgba[..., 3] > 0
    across, down = np.flatnonzero(drawn.any(axis=0)), np.flatnonzero(drawn.any(axis=1))
    if not len(across):
        return None
    box = np.array([across[0], down[0], across[-1] + 1, down[-1] + 1], float)
    long_side = float(max(box[2] - box[0], box[3] - box[1]))
    if long_side >= _SMALL_ON_PAGE * max(rgba.shape[:2]) or long_side < 4:
        return None
    room = 2 + _ROOM * long_side
    limit = np.array([rgba.shape[1], rgba.shape[0]] * 2, float)
    box = np.clip(box + np.array([-room, -room, room, room]), 0, limit)
    return [float(value) for value in box / float(header["scale"])]
