"""What a customer may send: what is opened, how, and what is refused with which words."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from analyse import ArtworkError, JobError, read_artwork

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm" viewBox="0 0 400 200">{}</svg>'
RED_SQUARE = SVG.format(
    '<rect width="100" height="100" fill="#f00"/><rect x="390" y="190" width="10" height="10"/>'
).encode()


def blocks(width: int = 80, height: int = 60) -> Image.Image:
    """Four flat quarters: red, green, blue, white."""
    pixels = np.full((height, width, 3), 255, np.uint8)
    pixels[: height // 2, : width // 2] = 200, 30, 30
    pixels[: height // 2, width // 2 :] = 30, 150, 60
    pixels[height // 2 :, : width // 2] = 20, 40, 160
    return Image.fromarray(pixels)


def encoded(image: Image.Image, kind: str, **options: object) -> bytes:
    stream = io.BytesIO()
    image.save(stream, kind, **options)
    return stream.getvalue()


def png_chunk(tag: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + tag + body + struct.pack(">I", zlib.crc32(tag + body))


def png_claiming(width: int, height: int) -> bytes:
    rows = zlib.compress(b"\0" * 100_000)
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + png_chunk(b"IHDR", header) + png_chunk(b"IDAT", rows) + png_chunk(b"IEND", b"")


@pytest.mark.parametrize("kind", ["png", "webp", "bmp", "tiff", "gif"])
def test_every_lossless_format_gives_the_same_pixels(kind: str) -> None:
    options = {"lossless": True} if kind == "webp" else {}
    artwork = read_artwork(encoded(blocks(), kind, **options))
    assert artwork.format == kind
    assert np.array_equal(artwork.rgba[..., :3], np.asarray(blocks()))
    assert (artwork.rgba[..., 3] == 255).all()


def test_a_large_picture_is_shrunk_to_2000_px_and_says_how() -> None:
    artwork = read_artwork(encoded(blocks(4000, 3000), "jpeg", quality=95))
    assert artwork.rgba.shape == (1500, 2000, 4)
    assert artwork.file_px == (4000, 3000)
    assert artwork.from_file == pytest.approx(np.diag([0.5, 0.5, 1.0]))


@pytest.mark.parametrize("kind", ["jpeg", "tiff", "png", "webp"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_orientation_tags_are_obeyed_and_mapped(kind: str, orientation: int) -> None:
    exif = Image.Exif()
    exif[0x0112] = orientation
    stored = blocks()
    options = {"quality": 100, "subsampling": 0} if kind == "jpeg" else {"lossless": True} if kind == "webp" else {}
    artwork = read_artwork(encoded(stored, kind, exif=exif, **options))
    assert artwork.file_px == (80, 60)
    for x, y in ((10, 10), (70, 10), (10, 50), (70, 50)):
        to_x, to_y, _ = artwork.from_file @ (x + 0.5, y + 0.5, 1.0)
        shown = artwork.rgba[int(to_y), int(to_x), :3].astype(int)
        assert np.abs(shown - stored.getpixel((x, y))).max() < 6


def test_a_viewer_and_we_agree_on_what_is_upright() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    artwork = read_artwork(encoded(blocks(), "png", exif=exif))
    upright = blocks().transpose(Image.Transpose.ROTATE_270)  # EXIF 2.3: 6 is shown turned by 90 degrees clockwise
    assert np.array_equal(artwork.rgba[..., :3], np.asarray(upright))


def test_svg_is_drawn_at_2000_px_with_its_true_size() -> None:
    artwork = read_artwork(RED_SQUARE)
    assert artwork.format == "svg"
    assert artwork.rgba.shape == (1000, 2000, 4)
    assert artwork.px_per_mm == pytest.approx(50.0)
    assert tuple(artwork.rgba[250, 250]) == (255, 0, 0, 255)
    assert artwork.rgba[250, 1500, 3] == 0


TEXT = SVG.format('{}<text x="10" y="90" font-size="60" style="{}">{}</text>')
FACE = '<style>@font-face {{ font-family: "Club Sans"; src: url(data:font/ttf;base64,AAAA) }}</style>'


@pytest.mark.parametrize(
    ("style", "words", "told"),
    [
        ("font-family: Brush Script", "Club", "text in Brush Script was drawn in Open Sans: the typeface is not in"),
        ("font: bold 60px/1 'Brush Script', serif", "Club", "text in Brush Script was drawn"),
        ("font-family: Club Sans", "Club", "text in Club Sans was drawn in Open Sans: a typeface within the file"),
        ("", "\u8d64\u3044\u9ce5 Club", "letters that Open Sans lacks, such as \u8d64\u3044\u9ce5, were left out"),
        ("font-family: sans-serif", "Rowing Club \u00e9", None),
    ],
)
def test_what_becomes_of_text_in_other_typefaces_is_said(style: str, words: str, told: str | None) -> None:
    notes = read_artwork(TEXT.format(FACE.format(), style, words).encode()).notes
    if told is None:
        assert not any("Open Sans" in note for note in notes)
    else:
        assert any(note.startswith(told) and "outlines" in note for note in notes), notes


def test_a_picture_the_svg_only_names_is_missed() -> None:
    notes = read_artwork(
        SVG.format('<rect width="9" height="9"/><image width="9" height="9" href="a.jpg"/>').encode()
    ).notes
    assert any("only names" in note for note in notes)


def test_a_bare_pixel_size_is_no_true_size() -> None:
    assert read_artwork(RED_SQUARE.replace(b"mm", b"")).px_per_mm is None
    assert read_artwork(encoded(blocks(), "png", dpi=(96, 96))).px_per_mm is None


def test_pdf_is_drawn_on_nothing_with_its_true_size() -> None:
    from reportlab.pdfgen.canvas import Canvas

    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(200, 100), invariant=1)
    canvas.setFillColorRGB(0, 0, 1)
    canvas.rect(0, 50, 50, 50, stroke=0, fill=1)
    canvas.rect(190, 0, 10, 10, stroke=0, fill=1)
    canvas.save()
    artwork = read_artwork(stream.getvalue())
    assert artwork.format == "pdf"
    assert artwork.rgba.shape == (1000, 2000, 4)
    assert artwork.px_per_mm == pytest.approx(2000 / (200 * 25.4 / 72))
    assert tuple(artwork.rgba[250, 250]) == (0, 0, 255, 255)
    assert artwork.rgba[750, 750, 3] == 0
    with pytest.raises(JobError, match="no page 2"):
        read_artwork(stream.getvalue(), page=2)


@pytest.mark.parametrize("kind", ["svg", "pdf"])
def test_a_small_drawing_on_a_large_page_is_read_as_finely_as_a_large_one(kind: str) -> None:
    from reportlab.pdfgen.canvas import Canvas

    data = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="210mm" height="297mm" viewBox="0 0 210 297">'
        b'<rect x="50" y="100" width="40" height="20"/></svg>'
    )
    if kind == "pdf":
        stream = io.BytesIO()
        canvas = Canvas(stream, pagesize=(595.276, 841.89), invariant=1)
        mm = 72 / 25.4
        canvas.rect(50 * mm, (297 - 120) * mm, 40 * mm, 20 * mm, stroke=0, fill=1)
        canvas.save()
        data = stream.getvalue()
    artwork = read_artwork(data)
    rows, columns = np.nonzero(artwork.rgba[..., 3] > 127)
    assert artwork.px_per_mm is not None
    assert np.ptp(columns) + 1 == pytest.approx(40 * artwork.px_per_mm, abs=2)
    assert artwork.px_per_mm > 45
    unit = 25.4 / (96 if kind == "svg" else 72)
    back = np.linalg.inv(artwork.from_file) @ (columns.min(), rows.min(), 1)
    assert back[:2] * unit == pytest.approx([50, 100], abs=0.05)


def test_alpha_is_kept_and_what_is_transparent_is_white() -> None:
    image = blocks().convert("RGBA")
    image.putalpha(Image.fromarray(np.repeat([[0, 255]], 60, 0).repeat(40, 1).astype(np.uint8)))
    artwork = read_artwork(encoded(image, "png"))
    assert (artwork.rgba[:, :40] == (255, 255, 255, 0)).all()
    assert np.array_equal(artwork.rgba[:, 40:, :3], np.asarray(blocks())[:, 40:])


def test_sixteen_bit_grey_keeps_its_tones() -> None:
    deep = np.linspace(0, 65535, 64).astype(np.uint16)[None].repeat(16, 0)
    artwork = read_artwork(encoded(Image.fromarray(deep), "png"))
    assert artwork.rgba[0, :, 0] == pytest.approx(deep[0] / 257, abs=0.51)


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "empty"),
        (b"hello world", "not a picture"),
        (encoded(blocks(400, 300), "png")[:200], "breaks off"),
        (encoded(blocks(400, 300), "jpeg")[:900], "breaks off"),
        (encoded(blocks().resize((1, 1)), "png"), "too small"),
        (png_claiming(30_000, 30_000), "900,000,000 pixels"),
        (png_claiming(50_000, 50_000), "2,500,000,000 pixels"),
        (b"%PDF-1.4 nothing", "PDF is damaged"),
        (b"<svg><g></svg>", "SVG is damaged"),
        (b"PK\x03\x04" + b"\0" * 40, "ZIP"),
        (b"PK\x03\x04" + b"\0" * 26 + b"word/document.xml", "office document"),
        (b"\0" * 5000, "nothing but zeros"),
        (b"<!DOCTYPE html><html><body></body></html>", "web page"),
        ("Sehr geehrte Damen und Herren, \u201ewie besprochen\u201c".encode(), "text"),
        (b"\0\0\0\x18ftypmp42" + b"\0" * 40, "film"),
        (encoded(Image.new("RGB", (30_000, 40)), "png"), "strip, 750 times"),
        (b"%!PS-Adobe-3.0 EPSF-3.0", "PostScript"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(data: bytes, what: str) -> None:
    with pytest.raises(ArtworkError, match=what) as refused:
        read_artwork(data, name="badge.png")
    assert "badge.png" in refused.value.where
    assert refused.value.do


def test_no_such_file_and_a_folder_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(ArtworkError, match="no such file"):
        read_artwork(tmp_path / "gone.png")
    with pytest.raises(ArtworkError, match="folder"):
        read_artwork(tmp_path)


def test_corners_come_out_clockwise_from_the_top_left() -> None:
    artwork = read_artwork(
        encoded(blocks(4000, 3000), "jpeg"), corners=[(3900, 100), (100, 120), (90, 2900), (3800, 2800)]
    )
    assert artwork.corners_px is not None
    assert artwork.corners_px == pytest.approx(np.array([[50, 60], [1950, 50], [1900, 1400], [45, 1450]]))


@pytest.mark.parametrize(
    "corners", [[(1, 1)], [(1, 1), (1, 1), (50, 50), (1, 50)], [(-9, 1), (70, 1), (70, 50), (1, 50)]]
)
def test_corners_that_make_no_sheet_are_wrong_use(corners: list[tuple[int, int]]) -> None:
    with pytest.raises(JobError):
        read_artwork(encoded(blocks(), "png"), corners=corners)


def test_sheets_go_by_name_or_size() -> None:
    data = encoded(blocks(), "png")
    assert read_artwork(data, sheet_size="A4").sheet_mm == (210.0, 297.0)
    assert read_artwork(data, sheet_size="8.5x11in").sheet_mm == pytest.approx((215.9, 279.4))
    with pytest.raises(JobError, match="no sheet size"):
        read_artwork(data, sheet_size="a44")
