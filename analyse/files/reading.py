"""From a source to an `Artwork`: what it is, opened the way its kind wants."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path
from typing import BinaryIO

from analyse.files.content import content_of
from analyse.files.opened import Opened
from analyse.files.sheets import corners_of, sheet_mm_of
from analyse.files.source import fetch
from analyse.limits import Limits, default_limits
from analyse.values import Artwork

VECTOR = {"svg", "svgz", "pdf"}
# Decoded in one call that nothing in this process could stop.
_DECODED_APART = {"tiff", "webp", "avif", "heic"}


def read(
    source: str | Path | bytes | BinaryIO,
    *,
    page: int,
    corners: Sequence[Sequence[float]] | None,
    sheet_size: str | tuple[float, float] | None,
    name: str | None,
    limits: Limits | None,
) -> Artwork:
    """See `analyse.files.read_artwork`."""
    limits = limits or default_limits()
    sheet_mm = sheet_mm_of(sheet_size)
    data, shown = fetch(source, name, limits)
    kind = content_of(data, shown)
    opened = _opened(data, kind, shown, page, limits)
    return Artwork(
        rgba=opened.rgba,
        name=shown,
        sha256=hashlib.sha256(data).hexdigest(),
        format="svg" if kind == "svgz" else kind,
        file_px=opened.file_px,
        from_file=opened.from_file,
        px_per_mm=opened.px_per_mm,
        corners_px=corners_of(corners, opened),
        sheet_mm=sheet_mm,
        notes=opened.notes,
        dpi=opened.dpi,
        compression=opened.compression,
        pictures_within=opened.pictures_within,
    )


def _opened(data: bytes, kind: str, name: str, page: int, limits: Limits) -> Opened:
    if kind in VECTOR:
        from analyse.files.drawn import open_drawn

        return open_drawn(data, "pdf" if kind == "pdf" else "svg", name, page=page, limits=limits)
    if kind in _DECODED_APART:
        from analyse.files.drawn import open_apart

        return open_apart(data, kind, name, page=page, limits=limits)
    from analyse.files.raster import open_raster

    return open_raster(data, kind, name, page=page, limits=limits)
