"""What a customer's file says of its maker, camera and place goes into no file that is written."""

from __future__ import annotations

import io
import re
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PIL import Image, PngImagePlugin

from plans.__main__ import main
from tests.analyse.files.test_reading import blocks, encoded

MAKER = "Quillfeather"
XMP = f'<x:xmpmeta xmlns:x="adobe:ns:meta/"><dc:creator>{MAKER}</dc:creator></x:xmpmeta>'.encode()


def tagged_jpeg() -> bytes:
    exif = Image.Exif()
    exif[0x010F] = exif[0x0110] = exif[0x013B] = exif[0x010E] = MAKER
    exif.get_ifd(0x8825)[1], exif.get_ifd(0x8825)[29] = "N", MAKER
    return encoded(blocks(300, 240), "jpeg", exif=exif, comment=MAKER.encode(), xmp=XMP, quality=95)


def tagged_png() -> bytes:
    words = PngImagePlugin.PngInfo()
    words.add_text("Author", MAKER)
    words.add_itxt("XML:com.adobe.xmp", XMP.decode(), zip=True)
    return encoded(blocks(300, 240), "png", pnginfo=words)


def tagged_tiff() -> bytes:
    return encoded(blocks(300, 240), "tiff", description=MAKER, artist=MAKER, software=MAKER, copyright=MAKER)


def tagged_webp() -> bytes:
    exif = Image.Exif()
    exif[0x010F] = MAKER
    return encoded(blocks(300, 240), "webp", lossless=True, exif=exif, xmp=XMP)


def tagged_svg() -> bytes:
    about = f"<title>{MAKER}</title><desc>{MAKER}</desc><metadata>{MAKER}</metadata><!-- {MAKER} -->"
    shapes = '<rect width="90" height="90" fill="#c22"/><rect x="90" width="90" height="90" fill="#236"/>'
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="180" height="90">{about}{shapes}</svg>'.encode()


def tagged_pdf() -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(200, 100), invariant=1)
    for say in (canvas.setAuthor, canvas.setTitle, canvas.setSubject, canvas.setCreator):
        say(MAKER)
    canvas.circle(100, 50, 40, stroke=0, fill=1)
    canvas.save()
    return stream.getvalue()


def held(data: bytes) -> Iterator[bytes]:
    """The bytes of a file, and what its packed streams hold."""
    yield data
    for start in re.finditer(rb"stream\r?\n|IDAT|zTXt|iTXt|eXIf", data):
        try:
            yield zlib.decompressobj().decompress(data[start.end() :])
        except zlib.error:
            continue


def outputs(artwork: Path, folder: Path) -> Iterator[bytes]:
    """Every file that the commands write of it, of every format they can write."""
    assert main(["plan", str(artwork), "--width", "60mm", "--out", str(folder / "plan")]) == 0
    assert main(["sizes", str(artwork), "--pictures", str(folder / "sizes.html")]) == 0
    written = [path for path in folder.rglob("*") if path.is_file() and path != artwork]
    assert {path.suffix for path in written} >= {".html", ".pdf", ".json", ".csv", ".png", ".svg"}
    yield from (path.read_bytes() for path in written)


@pytest.mark.parametrize("make", [tagged_jpeg, tagged_png, tagged_tiff, tagged_webp, tagged_svg, tagged_pdf])
def test_no_metadata_of_the_file_reaches_any_output(
    make: Callable[[], bytes], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = make()
    assert any(MAKER.encode() in piece for piece in held(data))
    artwork = tmp_path / "crest.bin"
    artwork.write_bytes(data)
    for text in [*outputs(artwork, tmp_path), "".join(capsys.readouterr()).encode()]:
        assert not any(MAKER.encode() in piece for piece in held(text))
