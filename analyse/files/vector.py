"""An SVG as pixels. Runs in the child process."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from typing import Any
from xml.etree.ElementTree import Element, register_namespace, tostring

from analyse.errors import ArtworkError
from analyse.files import fonts
from analyse.files.sizes import MM_PER_CSS_PX, canonical_size, css_length
from analyse.files.svgtree import SVG, local_name, make_harmless, parse
from analyse.files.typefaces import typeface_notes
from analyse.limits import Limits, exceeded

# A file that states no size: CSS's default for replaced elements, CSS 2.1 section 10.3.2.
_DEFAULT_SIZE = (300.0, 150.0)


def render_svg(
    data: bytes, name: str, limits: Limits, *, crop: Sequence[float] | None = None
) -> tuple[dict[str, Any], bytes]:
    """Header and PNG of the drawing, or of `crop` of it (left, top, right, bottom in CSS px), on nothing.

    Its long side has the canonical size.

    Errors: ArtworkError for markup that is broken or refused, or that cannot be drawn.
    """
    import resvg_py

    root = parse(_inflated(data, name, limits), name, limits)
    notes = [*typeface_notes(root), *make_harmless(root, f"'{fonts.FAMILY}'")]
    width, height, physical = _size(root)
    left, top, right, bottom = crop or (0.0, 0.0, width, height)
    size = canonical_size(right - left, bottom - top, enlarge=True)
    if crop:
        root = _cropped(root, (width, height), (left, top, right, bottom))
    _set_size(root, width, height, size)
    register_namespace("", SVG.strip("{}"))
    try:
        png = resvg_py.svg_to_bytes(
            svg_string=tostring(root, encoding="unicode"),
            dpi=96.0,
            skip_system_fonts=True,
            font_files=[str(fonts.REGULAR), str(fonts.BOLD)],
            font_family=fonts.FAMILY,
            serif_family=fonts.FAMILY,
            sans_serif_family=fonts.FAMILY,
            monospace_family=fonts.FAMILY,
            cursive_family=fonts.FAMILY,
            fantasy_family=fonts.FAMILY,
        )
    except ValueError as error:
        raise _not_drawn(str(error), name) from error
    header = {
        "size": size,
        "scale": size[0] / (right - left),
        "offset": [left, top],
        "file_size": [width, height],
        "mm_per_unit": MM_PER_CSS_PX if physical else None,
        "notes": notes,
        "pictures": any(local_name(element.tag) == "image" and element.attrib for element in root.iter()),
    }
    return header, bytes(png)


def _not_drawn(reason: str, name: str) -> ArtworkError:
    if "limit" in reason:
        return ArtworkError("the SVG repeats its parts too often to be drawn", name, "ask for it as a PNG or PDF")
    return ArtworkError(f"the SVG cannot be drawn: {reason}", name, "ask for it as a PNG or PDF")


def _cropped(root: Element, size: tuple[float, float], crop: tuple[float, float, float, float]) -> Element:
    """The drawing within one that shows only a part of it."""
    left, top, right, bottom = crop
    _set_size(root, *size, size)
    window = Element(f"{SVG}svg", {"viewBox": f"{left:.6g} {top:.6g} {right - left:.6g} {bottom - top:.6g}"})
    window.append(root)
    return window


def _size(root: Element) -> tuple[float, float, bool]:
    """Width and height in CSS px, and whether both were stated in physical units."""
    width, height = css_length(root.get("width")), css_length(root.get("height"))
    box = _view_box(root)
    if width and height:
        return width[0], height[0], width[1] and height[1]
    if box is None:
        return (width or (_DEFAULT_SIZE[0], False))[0], (height or (_DEFAULT_SIZE[1], False))[0], False
    if width:
        return width[0], width[0] * box[3] / box[2], width[1]
    if height:
        return height[0] * box[2] / box[3], height[0], height[1]
    return box[2], box[3], False


def _view_box(root: Element) -> tuple[float, ...] | None:
    try:
        box = tuple(float(value) for value in root.get("viewBox", "").replace(",", " ").split())
    except ValueError:
        return None
    return box if len(box) == 4 and box[2] > 0 and box[3] > 0 else None


def _set_size(root: Element, width: float, height: float, size: tuple[float, float]) -> None:
    """The root's size set to whole pixels: the renderer would round a size in mm, and with it the aspect."""
    if _view_box(root) is None:
        root.set("viewBox", f"0 0 {width:.6g} {height:.6g}")
    root.set("width", str(size[0]))
    root.set("height", str(size[1]))


def _inflated(data: bytes, name: str, limits: Limits) -> bytes:
    if data[:2] != b"\x1f\x8b":
        return data
    try:
        text = zlib.decompressobj(31).decompress(data, limits.svg_bytes + 1)
    except zlib.error as error:
        raise ArtworkError("the compressed SVG is damaged", name, "ask for it to be sent again") from error
    if len(text) > limits.svg_bytes:
        raise exceeded(limits, "svg_bytes", None, name, how="unpacked, it has")
    return text
