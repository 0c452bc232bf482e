"""A page of a PDF as pixels. Runs in the child process."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from analyse.errors import ArtworkError, JobError
from analyse.files.sizes import LONG_SIDE_PX, MM_PER_POINT
from analyse.limits import Limits, exceeded

# A picture among the objects of a page (FPDF_PAGEOBJ_IMAGE), looked for so many forms deep.
_PICTURE, _DEPTH = 3, 4


def render_pdf(
    data: bytes, name: str, limits: Limits, *, page: int, crop: Sequence[float] | None = None
) -> tuple[dict[str, Any], bytes]:
    """Header and RGBA bytes of one page, or of `crop` of it (left, top, right, bottom in points).

    The paper is transparent where nothing is printed.

    Errors: ArtworkError for a damaged or locked file; JobError for a page it has not.
    """
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(data)
        count = len(document)
    except pypdfium2.PdfiumError as error:
        raise _unreadable(str(error), name) from error
    if count > limits.pages:
        raise exceeded(limits, "pages", count, name)
    if not 1 <= page <= count:
        raise JobError(
            f"there is no page {page}: {name} has {count}",
            "--page",
            f"ask for 1 to {count}" if count > 1 else "leave it out",
        )
    try:
        return _rendered(document[page - 1], name, page, count, crop)
    except pypdfium2.PdfiumError as error:
        raise _unreadable(str(error), name) from error


def _rendered(
    page: Any, name: str, number: int, count: int, crop: Sequence[float] | None
) -> tuple[dict[str, Any], bytes]:
    width, height = page.get_size()
    if not (width > 0 and height > 0):
        raise ArtworkError("the page has no size", name, "ask for the PDF to be made again")
    left, top, right, bottom = crop or (0.0, 0.0, width, height)
    # The renderer rounds up to whole pixels: a hair less keeps to the canonical size.
    scale = (LONG_SIDE_PX - 1e-6) / max(right - left, bottom - top)
    left, top = (int(edge * scale) / scale for edge in (left, top))
    bitmap = page.render(
        scale=scale,
        crop=(left, height - bottom, width - right, top),
        fill_color=(255, 255, 255, 0),
        rev_byteorder=True,
        draw_annots=False,
    )
    if bitmap.format != 4:
        bitmap = bitmap.convert(4)
    rows = bytes(bitmap.buffer)
    header = {
        "size": [bitmap.width, bitmap.height],
        "stride": bitmap.stride,
        "scale": scale,
        "offset": [left, top],
        "file_size": [width, height],
        "mm_per_unit": MM_PER_POINT,
        "notes": [f"page {number} of {count} was read"] if count > 1 else [],
        "pictures": any(True for _ in page.get_objects(filter=(_PICTURE,), max_depth=_DEPTH)),
    }
    return header, rows


def _unreadable(reason: str, name: str) -> ArtworkError:
    if "password" in reason.lower() or "security" in reason.lower():
        return ArtworkError("the PDF is locked with a password", name, "ask for it without one")
    return ArtworkError("the PDF is damaged and cannot be read", name, "ask for it to be sent again")
