"""The table of formats, row by row."""

from __future__ import annotations

import csv
import gzip
import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from analyse import ArtworkError, read_artwork
from analyse.files.reading import _DECODED_APART, VECTOR
from tests.analyse.files.test_formats import display_p3
from tests.analyse.files.test_reading import RED_SQUARE, blocks, encoded

PNGSUITE = zipfile.ZipFile(Path(__file__).parents[2] / "published/pngsuite.zip")
TABLE = Path(__file__).with_name("formats.csv")
ROWS = list(csv.DictReader(line for line in TABLE.read_text("utf-8").splitlines() if not line.startswith("#")))
DEEP = Image.fromarray((np.arange(48 * 64).reshape(48, 64) * 20).astype(np.uint16))
PAGES = {"save_all": True, "append_images": [blocks(80, 60).rotate(180)]}
DAMAGED = bytearray(encoded(blocks(), "png"))
DAMAGED[60] ^= 255


def upside_down() -> bytes:
    exif = Image.Exif()
    exif[0x0112] = 3
    return encoded(blocks(), "jpeg", exif=exif)


def without_adobe_s_mark() -> bytes:
    data = encoded(blocks().convert("CMYK"), "jpeg")
    at = data.index(b"Adobe") - 4
    return data[:at] + data[at + 2 + int.from_bytes(data[at + 2 : at + 4], "big") :]


def locked() -> bytes:
    from reportlab.lib.pdfencrypt import StandardEncryption
    from reportlab.pdfgen.canvas import Canvas

    stream = io.BytesIO()
    canvas = Canvas(stream, encrypt=StandardEncryption("oars"))
    canvas.circle(60, 40, 25, fill=1)
    canvas.save()
    return stream.getvalue()


FILES: dict[str, Callable[[], bytes]] = {
    "png grey": lambda: encoded(blocks().convert("L"), "png"),
    "png palette": lambda: encoded(blocks().quantize(8), "png"),
    "png palette with transparency": lambda: encoded(blocks().quantize(8), "png", transparency=0),
    "png grey 16 bit": lambda: encoded(DEEP, "png"),
    "png colour with alpha": lambda: encoded(blocks().convert("RGBA"), "png"),
    "png 1 bit": lambda: encoded(blocks().convert("1"), "png"),
    "jpeg baseline 4:2:0": lambda: encoded(blocks(), "jpeg", subsampling=2),
    "jpeg progressive": lambda: encoded(blocks(), "jpeg", progressive=True),
    "jpeg grey": lambda: encoded(blocks().convert("L"), "jpeg"),
    "jpeg CMYK": lambda: encoded(blocks().convert("CMYK"), "jpeg"),
    "webp lossy": lambda: encoded(blocks(), "webp"),
    "webp lossless with alpha": lambda: encoded(blocks().convert("RGBA"), "webp", lossless=True),
    "avif colour": lambda: encoded(blocks(), "avif"),
    "gif palette": lambda: encoded(blocks().quantize(8), "gif"),
    "gif animated": lambda: encoded(blocks(), "gif", **PAGES),
    "bmp colour": lambda: encoded(blocks(), "bmp"),
    "tiff LZW": lambda: encoded(blocks(), "tiff", compression="tiff_lzw"),
    "tiff CMYK": lambda: encoded(blocks().convert("CMYK"), "tiff"),
    "tiff 16 bit": lambda: encoded(DEEP, "tiff"),
    "tiff pages": lambda: encoded(blocks(), "tiff", **PAGES),
    "png colour 16 bit": lambda: PNGSUITE.read("basn2c16.png"),
    "png interlaced": lambda: PNGSUITE.read("basi2c08.png"),
    "jpeg CMYK without Adobe's mark": without_adobe_s_mark,
    "jpeg turned by its orientation tag": upside_down,
    "png in a wide gamut profile": lambda: encoded(blocks(), "png", icc_profile=display_p3()),
    "png animated": lambda: encoded(blocks(), "png", **PAGES),
    "svg entities of its own": lambda: b'<!DOCTYPE svg [<!ENTITY a "b">]>' + RED_SQUARE,
    "svg 20 000 levels deep": lambda: RED_SQUARE.replace(b"</svg>", b"<g>" * 20_000 + b"</g>" * 20_000 + b"</svg>"),
    "pdf locked with a password": locked,
    "png damaged": lambda: bytes(DAMAGED),
    "jpeg broken off": lambda: encoded(blocks(400, 300), "jpeg")[:900],
    "empty any": lambda: b"",
    "jpeg two pictures in one": lambda: encoded(blocks(), "mpo", save_all=True, append_images=[blocks()]),
    "webp animated": lambda: encoded(blocks(), "webp", lossless=True, **PAGES),
    "avif with alpha": lambda: encoded(blocks().convert("RGBA"), "avif"),
    "bmp palette": lambda: encoded(blocks().quantize(8), "bmp"),
    "tiff Deflate": lambda: encoded(blocks(), "tiff", compression="tiff_adobe_deflate"),
    "tiff JPEG": lambda: encoded(blocks(), "tiff", compression="jpeg"),
    "tiff fax": lambda: encoded(blocks().convert("1"), "tiff", compression="group4"),
    "svg text": lambda: RED_SQUARE.replace(b"</svg>", b'<text x="9" y="90">Rowing</text></svg>'),
    "svg plain": lambda: RED_SQUARE,
    "svg compressed": lambda: gzip.compress(RED_SQUARE),
    "svg UTF-16": lambda: RED_SQUARE.decode().encode("utf-16"),
    "pdf page": lambda: encoded(blocks(), "pdf"),
    "pdf raster inside": lambda: encoded(blocks(400, 300), "pdf"),
    "heic phone's": lambda: Path(__file__).with_name("blocks.heic").read_bytes(),
    "jpeg2000 any": lambda: b"\0\0\0\x0cjP  \r\n\x87\n" + bytes(64),
    "postscript any": lambda: b"%!PS-Adobe-3.0\n",
    "zip any": lambda: b"PK\x03\x04" + bytes(64),
    "icon any": lambda: b"\0\0\x01\0" + bytes(64),
    "office document any": lambda: b"PK\x03\x04" + bytes(26) + b"[Content_Types].xml",
    "film any": lambda: b"\0\0\0\x18ftypmp42" + bytes(64),
    "web page any": lambda: b"<!DOCTYPE html><html></html>",
    "layered working file any": lambda: b"8BPS\0\1" + bytes(64),
    "text any": lambda: b"Dear Sirs, please find our crest attached",
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['format']} {row['variant']}")
def test_a_row_of_the_table_holds(row: dict[str, str]) -> None:
    data = FILES[f"{row['format']} {row['variant']}"]()
    # Told by content: the name lies.
    if row["comes to"] == "read":
        assert read_artwork(data, name="crest.docx").format == row["format"]
    else:
        with pytest.raises(ArtworkError) as refused:
            read_artwork(data, name="crest.png")
        assert refused.value.what
        assert refused.value.do


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['format']} {row['variant']}")
def test_a_row_tells_what_opens_the_file(row: dict[str, str]) -> None:
    apart = row["format"] in VECTOR | _DECODED_APART
    assert row["read by"].endswith("in a child process") == (apart and row["comes to"] == "read")
    assert (row["read by"] == "nothing") == (row["comes to"] == "refused")


def test_the_table_and_the_files_agree() -> None:
    assert {f"{row['format']} {row['variant']}" for row in ROWS} == set(FILES)


def test_the_same_picture_is_the_same_drawing_through_every_lossless_format() -> None:
    from analyse import trace

    drawings = [
        trace(read_artwork(encoded(blocks(160, 120), kind, **options)))
        for kind, options in (
            ("png", {}), ("bmp", {}), ("gif", {}), ("webp", {"lossless": True}), ("tiff", {}),
            ("tiff", {"compression": "tiff_lzw"}), ("tiff", {"compression": "tiff_adobe_deflate"}),
        )
    ]  # fmt: skip
    palette = trace(read_artwork(encoded(blocks(160, 120).quantize(4), "png")))
    drawings.append(palette)
    assert all(np.array_equal(drawing.labels, drawings[0].labels) for drawing in drawings)
    assert all(drawing.palette == drawings[0].palette for drawing in drawings)
