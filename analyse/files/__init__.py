"""A customer's file, opened safely: `read_artwork`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

if TYPE_CHECKING:
    from analyse.limits import Limits
    from analyse.values import Artwork


def read_artwork(
    source: str | Path | bytes | BinaryIO,
    *,
    page: int = 1,
    corners: Sequence[Sequence[float]] | None = None,
    sheet_size: str | tuple[float, float] | None = None,
    name: str | None = None,
    limits: Limits | None = None,
) -> Artwork:
    """What the customer sent, as one raster in sRGB with a long side of at most 2,000 px.

    Parameters: source, a path, bytes, an open binary file, or "-" for standard input; page, from 1, of a PDF or TIFF;
    corners, (4, 2) x, y of the sheet's corners in pixels of the picture as a viewer shows it, in any order;
    sheet_size, "a4", "letter" ... or width and height in mm; name, for sources that have none.
    The format is told by content. Errors: ArtworkError for what cannot be read or is refused; JobError for a wrong
    page, corners or sheet size.
    """
    from analyse.files.reading import read

    return read(source, page=page, corners=corners, sheet_size=sheet_size, name=name, limits=limits)
