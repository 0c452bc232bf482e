"""What kind of file it is, told by its content."""

from __future__ import annotations

import re
import zlib

from analyse.errors import ArtworkError

READABLE = "PNG, JPEG, WebP, AVIF, GIF, BMP, TIFF, SVG, PDF and HEIC"
PEEK = 4096
_STARTS = (
    (b"\x89PNG\r\n\x1a\n", "png"),
    (b"\xff\xd8\xff", "jpeg"),
    (b"GIF87a", "gif"),
    (b"GIF89a", "gif"),
    (b"BM", "bmp"),
    (b"II*\0", "tiff"),
    (b"MM\0*", "tiff"),
    (b"II+\0", "tiff"),
    (b"MM\0+", "tiff"),
    (b"%PDF-", "pdf"),
)
_OUT_OF_IT = "take the picture out of it and send that"
_AS_VECTOR = "ask for it as a PDF or SVG"
# Where in the file, which bytes, what it is, what to do.
_STRANGERS = (
    (0, b"%!PS", "a PostScript file", _AS_VECTOR),
    (0, b"\xc5\xd0\xd3\xc6", "a PostScript file", _AS_VECTOR),
    (0, b"8BPS", "a layered working file of a paint program", "ask for it as a PNG or TIFF"),
    (0, b"gimp xcf", "a layered working file of a paint program", "ask for it as a PNG or TIFF"),
    (8, b"CDR", "a working file of a drawing program", _AS_VECTOR),
    (40, b" EMF", "a metafile of drawing commands", _AS_VECTOR),
    (0, b"\xd7\xcd\xc6\x9a", "a metafile of drawing commands", _AS_VECTOR),
    (30, b"[Content_Types].xml", "an office document", _OUT_OF_IT),
    (30, b"_rels/", "an office document", _OUT_OF_IT),
    (30, b"mimetypeapplication/vnd.oasis", "an office document", _OUT_OF_IT),
    (30, b"word/", "an office document", _OUT_OF_IT),
    (0, b"\xd0\xcf\x11\xe0", "an office document", _OUT_OF_IT),
    (0, b"{\\rtf", "a text document", _OUT_OF_IT),
    (0, b"PK\x03\x04", "a ZIP archive", "unpack it and send the picture"),
    (0, b"Rar!", "an archive", "unpack it and send the picture"),
    (0, b"7z\xbc\xaf\x27\x1c", "an archive", "unpack it and send the picture"),
    (0, b"\x1f\x8b", "a packed file", "unpack it and send the picture"),
    (0, b"\0\0\1\0", "an icon file", "ask for the artwork it was made from, as a PNG or SVG"),
    (0, b"\0\0\0\x0cjP  ", "a JPEG 2000 file", "ask for it as a PNG or TIFF"),
    (0, b"\xff\x4f\xff\x51", "a JPEG 2000 file", "ask for it as a PNG or TIFF"),
    (0, b"\xff\x0a", "a JPEG XL file", "ask for it as a PNG or JPEG"),
    (0, b"\0\0\0\x0cJXL ", "a JPEG XL file", "ask for it as a PNG or JPEG"),
    (4, b"ftyp", "a film", "ask for the artwork itself, or send a still of it"),
)
_WEB_PAGE = re.compile(rb"\s*(?:<!doctype html|<html|<head|<body)", re.IGNORECASE)
_HEIF = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx"}


def content_of(data: bytes, name: str) -> str:
    """The format: "png", "jpeg", "webp", "avif", "heic", "gif", "bmp", "tiff", "svg", "svgz" or "pdf".

    Errors: ArtworkError for anything else, naming what it is where that can be told.
    """
    for start, kind in _STARTS:
        if data.startswith(start):
            return kind
    if found := _by_structure(data):
        return found
    for at, mark, what, do in _STRANGERS:
        if data[at : at + len(mark)] == mark:
            raise ArtworkError(f"this is {what}, which is not read", name, do)
    raise _no_picture(data[:PEEK], name)


def _no_picture(start: bytes, name: str) -> ArtworkError:
    if not start.strip(b"\0"):
        return ArtworkError("the file holds nothing but zeros", name, "send it again; the transfer may have failed")
    if _WEB_PAGE.match(start):
        return ArtworkError("this is a web page, not a picture", name, "save the picture on it and send that")
    do = f"send the artwork itself: {READABLE} are read"
    return ArtworkError("this is text, not a picture" if _is_text(start) else "this is no picture", name, do)


def _is_text(start: bytes) -> bool:
    text = start.decode("utf-8", errors="replace")
    return (
        sum(letter.isprintable() or letter.isspace() for letter in text) > 0.99 * len(text)
        and "\ufffd" not in text[:-1]
    )


def _by_structure(data: bytes) -> str | None:
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "webp"
    if data[4:8] == b"ftyp":
        return _boxed(data)
    if data[:2] == b"\x1f\x8b":
        return "svgz" if _is_svg(_inflated_start(data)) else None
    if _is_svg(data[:PEEK]):
        return "svg"
    return "pdf" if b"%PDF-" in data[:1024] else None


def _boxed(data: bytes) -> str | None:
    size = int.from_bytes(data[:4], "big")
    brands = {data[at : at + 4] for at in range(8, min(size, 256), 4)}
    if brands & {b"avif", b"avis"}:
        return "avif"
    return "heic" if brands & (_HEIF | {b"mif1", b"msf1"}) else None


def _is_svg(start: bytes) -> bool:
    """Whether the first element is `svg`; comments, declarations and an encoding mark may stand before it."""
    if start[:2] in (b"\xff\xfe", b"\xfe\xff"):
        start = start.decode("utf-16", errors="ignore").encode()
    text = start.removeprefix(b"\xef\xbb\xbf").lstrip()
    if not text.startswith(b"<"):
        return False
    bare = re.sub(rb"<!--.*?(-->|$)|<\?.*?(\?>|$)|<!DOCTYPE[^\[>]*(\[.*?(\]|$))?[^>]*(>|$)", b"", text, flags=re.DOTALL)
    first = re.match(rb"\s*<(?:[\w.-]+:)?([\w.-]+)", bare)
    return first[1] == b"svg" if first else b"<svg" in text or b"DOCTYPE svg" in text


def _inflated_start(data: bytes) -> bytes:
    try:
        return zlib.decompressobj(31).decompress(data[:PEEK], PEEK)
    except zlib.error:
        return b""
