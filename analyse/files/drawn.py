"""SVG and PDF: rendered by the child process, its answer checked and taken in."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from analyse.errors import ArtworkError, JobError
from analyse.files.opened import Opened, scaling
from analyse.files.sandbox import render
from analyse.files.sizes import LONG_SIDE_PX
from analyse.limits import Limits


def open_drawn(data: bytes, kind: str, name: str, *, page: int, limits: Limits) -> Opened:
    """A vector file rendered at the canonical long side, on nothing.

    `file_px` is in the file's own units (CSS px, or points). Errors: as `analyse.files.sandbox.render`.
    """
    if kind == "svg" and page != 1:
        raise JobError(f"there is no page {page}: {name} has 1", "--page", "leave it out")
    header, body = render(kind, data, name, limits, page=page)
    width, height = (int(value) for value in header["size"])
    if max(width, height) > LONG_SIDE_PX + 1:
        raise ArtworkError("the renderer answered with a picture of another size", name, "ask for it as a PNG")
    if kind == "svg":
        rgba = np.array(Image.open(io.BytesIO(body), formats=["PNG"]).convert("RGBA"))
    else:
        rows = np.frombuffer(body, np.uint8).reshape(height, header["stride"])
        rgba = rows[:, : width * 4].reshape(height, width, 4).copy()
    rgba[rgba[..., 3] == 0, :3] = 255
    units = [float(value) for value in header["file_size"]]
    mm = header["mm_per_unit"]
    return Opened(
        rgba,
        (max(1, round(units[0])), max(1, round(units[1]))),
        scaling(width / units[0], height / units[1]),
        px_per_mm=width / (units[0] * mm) if mm else None,
        notes=tuple(str(note) for note in header["notes"]),
    )
