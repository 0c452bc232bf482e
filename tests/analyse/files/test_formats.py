"""Formats and colours against other readers: PngSuite by pypng, profiles by littlecms, damaged files of every kind."""

from __future__ import annotations

import io
import struct
import zipfile
from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image, ImageCms

from analyse import ArtworkError, JobError, read_artwork
from tests.analyse.files.attacks import chunk
from tests.analyse.files.test_reading import blocks, encoded

PNGSUITE = zipfile.ZipFile(Path(__file__).parents[2] / "published/pngsuite.zip")
NAMES = sorted(name[:-4] for name in PNGSUITE.namelist() if name.endswith(".png"))


def samples_of(srgb: np.ndarray, gamma: float) -> np.ndarray:
    """What a PNG of that gamma holds for a colour of sRGB. Source: IEC 61966-2-1; PNG, section 13.13."""
    value = srgb / 255
    light = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    return np.rint(255 * light**gamma).astype(int)


@pytest.mark.parametrize("name", NAMES)
def test_pngsuite_reads_to_the_pixels_pypng_reads(name: str) -> None:
    expected = np.load(io.BytesIO(PNGSUITE.read(f"{name}.npy"))).astype(int)
    data = PNGSUITE.read(f"{name}.png")
    found = read_artwork(data).rgba.astype(int)
    seen = expected[..., 3] > 0
    if b"gAMA" in data:
        found[..., :3] = samples_of(found[..., :3], int.from_bytes(data[data.index(b"gAMA") + 4 :][:4], "big") / 1e5)
    # 16 bits are cut to 8 here and rounded there; Basn0g03 has 3 significant bits in 4, which pypng spreads.
    # What is light as it stands (gamma 1) has more bright steps than sRGB can tell apart.
    tolerance = (7 if name == "Basn0g03" else 1 if name.endswith("16") else 0) + (b"gAMA" in data)
    assert np.abs(found - expected)[seen].max() <= tolerance
    assert np.array_equal(found[..., 3] == 0, expected[..., 3] == 0)


def broken_pngs() -> dict[str, bytes]:
    """What PngSuite's broken files are, made from a good one: the same faults, by its own list."""
    good = PNGSUITE.read("basn2c08.png")
    head, body = good[:8], good[8:]
    bad_header = bytes([*good[:29], good[29] ^ 1, *good[30:]])
    at = good.index(b"IDAT")
    size = int.from_bytes(good[at - 4 : at], "big")
    wrong_type = chunk(b"IHDR", good[16:24] + bytes([8, 1, 0, 0, 0]))
    wrong_depth = chunk(b"IHDR", good[16:24] + bytes([3, 2, 0, 0, 0]))
    no_size = chunk(b"IHDR", bytes(8) + good[24:29])
    return {
        "empty picture": head + no_size + good[33:],
        "carriage returns added": head.replace(b"\n", b"\r\n") + body,
        "line feeds only": head.replace(b"\r\n", b"\n") + body,
        "colour type 1": head + wrong_type + good[33:],
        "depth 3": head + wrong_depth + good[33:],
        "header's sum wrong": bad_header,
        "data's sum wrong": good[: at + 4 + size] + b"\0\0\0\0" + good[at + 8 + size :],
        "no data": good[: at - 4] + good[at + 8 + size :],
    }


@pytest.mark.parametrize("fault", broken_pngs())
def test_broken_pngs_are_refused(fault: str) -> None:
    with pytest.raises(ArtworkError):
        read_artwork(broken_pngs()[fault])


@pytest.mark.parametrize("kind", ["png", "jpeg", "webp", "gif", "bmp", "tiff", "avif"])
def test_a_file_that_breaks_off_is_refused(kind: str) -> None:
    whole = encoded(Image.effect_noise((200, 150), 80).convert("RGB"), kind)
    for share in (0.1, 0.5, 0.9):
        with pytest.raises(ArtworkError):
            read_artwork(whole[: int(len(whole) * share)])


def wide_profile() -> bytes:
    """A matrix profile wider than sRGB, made by littlecms from sRGB with red and green exchanged: plain to see."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    for index in range(int.from_bytes(profile[128:132], "big")):
        at = 132 + 12 * index
        if bytes(profile[at : at + 4]) in (b"rXYZ", b"gXYZ"):
            profile[at : at + 1] = b"g" if profile[at : at + 1] == b"r" else b"r"
        if bytes(profile[at : at + 4]) == b"desc":
            start = int.from_bytes(profile[at + 4 : at + 8], "big")
            profile[start : start + 60] = bytes(profile[start : start + 60]).replace(b"\0s\0R\0G\0B", b"\0X\0X\0X\0X")
    return bytes(profile)


def display_p3() -> bytes:
    """The primaries of Display P3 with sRGB's curve, as XYZ at D50 (SMPTE RP 431-2, in the ICC's profile of it)."""
    colorants = {
        b"rXYZ": (0.51512, 0.24120, -0.00105),
        b"gXYZ": (0.29198, 0.69225, 0.04189),
        b"bXYZ": (0.15710, 0.06657, 0.78407),
    }
    profile = bytearray(wide_profile())
    for index in range(int.from_bytes(profile[128:132], "big")):
        tag, at = bytes(profile[132 + 12 * index :][:4]), int.from_bytes(profile[136 + 12 * index :][:4], "big")
        if tag in colorants:
            profile[at + 8 : at + 20] = struct.pack(">3i", *(round(value * 65536) for value in colorants[tag]))
    return bytes(profile)


@pytest.mark.parametrize("profile", [wide_profile(), display_p3()], ids=["exchanged", "Display P3"])
def test_an_embedded_profile_is_applied_as_littlecms_does(profile: bytes) -> None:
    artwork = read_artwork(encoded(blocks(), "png", icc_profile=profile))
    source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    expected = ImageCms.profileToProfile(blocks(), source, ImageCms.createProfile("sRGB"))
    assert expected is not None
    assert np.array_equal(artwork.rgba[..., :3], np.asarray(expected))
    assert not np.array_equal(artwork.rgba[..., :3], np.asarray(blocks()))
    assert any("sRGB" in note for note in artwork.notes)


def png_stating(picture: Image.Image, *chunks: bytes) -> bytes:
    data = encoded(picture, "png")
    return data[:33] + b"".join(chunks) + data[33:]


def test_the_gamma_and_primaries_a_png_states_are_applied_as_littlecms_does_with_a_profile_of_them() -> None:
    x_y = (0.3127, 0.3290, 0.30, 0.60, 0.64, 0.33, 0.15, 0.06)  # sRGB, red and green exchanged
    chrm = chunk(b"cHRM", struct.pack(">8I", *(round(value * 1e5) for value in x_y)))
    artwork = read_artwork(png_stating(blocks(), chunk(b"gAMA", struct.pack(">I", 45455)), chrm))
    source = ImageCms.ImageCmsProfile(io.BytesIO(wide_profile()))
    expected = ImageCms.profileToProfile(blocks(), source, ImageCms.createProfile("sRGB"))
    assert np.abs(artwork.rgba[..., :3].astype(int) - np.asarray(expected)).max() <= 1
    assert any("gamma" in note for note in artwork.notes)


@pytest.mark.parametrize("gamma", [0.35, 0.55556, 1.0])
def test_one_picture_stored_at_any_gamma_is_one_picture(gamma: float) -> None:
    stored = samples_of(np.asarray(blocks()), gamma).astype(np.uint8)
    artwork = read_artwork(png_stating(Image.fromarray(stored), chunk(b"gAMA", struct.pack(">I", round(gamma * 1e5)))))
    assert np.abs(artwork.rgba[..., :3].astype(int) - np.asarray(blocks())).max() <= (7 if gamma == 1 else 2)


def test_the_gamma_that_stands_for_srgb_changes_nothing() -> None:
    artwork = read_artwork(png_stating(blocks(), chunk(b"gAMA", struct.pack(">I", 45455))))
    assert np.array_equal(artwork.rgba[..., :3], np.asarray(blocks()))
    assert artwork.notes == ()


def test_an_srgb_mark_goes_before_a_stated_gamma() -> None:
    marks = chunk(b"gAMA", struct.pack(">I", 100_000)), chunk(b"sRGB", b"\0")
    assert np.array_equal(read_artwork(png_stating(blocks(), *marks)).rgba[..., :3], np.asarray(blocks()))


def profile_of(space: bytes, connection: bytes, *tags: tuple[bytes, bytes]) -> bytes:
    """A profile by ICC.1:2010: header, table of tags, tags."""
    header = bytearray(128)
    header[8:12], header[12:16], header[16:20], header[20:24] = b"\x02\x40\0\0", b"prtr", space, connection
    header[36:40], header[68:80] = b"acsp", struct.pack(">3i", 63190, 65536, 54061)
    about = b"desc" + bytes(4) + struct.pack(">I", 5) + b"test\0" + bytes(79)
    table, bodies = b"", b""
    white = b"XYZ " + bytes(4) + struct.pack(">3i", 63190, 65536, 54061)
    for name, body in ((b"desc", about), (b"wtpt", white), *tags):
        table += name + struct.pack(">II", 132 + 12 * (len(tags) + 2) + len(bodies), len(body))
        bodies += body + bytes(-len(body) % 4)
    data = bytes(header) + struct.pack(">I", len(tags) + 2) + table + bodies
    return struct.pack(">I", len(data)) + data[4:]


def grey_profile() -> bytes:
    """Grey that is light as it stands."""
    return profile_of(b"GRAY", b"XYZ ", (b"kTRC", b"curv" + bytes(4) + struct.pack(">I", 0)))


def ink_profile() -> bytes:
    """Four inks of made-up colours: each takes lightness away, cyan and magenta to blue, yellow to yellow."""
    ramp = bytes(range(256))
    nodes = bytearray()
    for node in range(16):
        cyan, magenta, yellow, black = (node >> bit & 1 for bit in (3, 2, 1, 0))
        light = 255 * 0.55**cyan * 0.5**magenta * 0.9**yellow * 0.1**black
        nodes += bytes([round(light), 128 - 30 * cyan + 60 * magenta, 128 - 45 * cyan + 80 * yellow])
    head = b"mft1" + bytes(4) + bytes([4, 3, 2, 0]) + struct.pack(">9i", *np.eye(3, dtype=int).ravel() * 65536)
    return profile_of(b"CMYK", b"Lab ", (b"A2B0", head + ramp * 4 + bytes(nodes) + ramp * 3))


@pytest.mark.parametrize("mode", ["L", "LA", "RGB"])
def test_a_grey_profile_is_applied_however_the_grey_is_stored(mode: str) -> None:
    grey = Image.fromarray(np.arange(0, 256, 4, dtype=np.uint8)[None].repeat(16, 0))
    artwork = read_artwork(encoded(grey.convert(mode), "png", icc_profile=grey_profile()))
    assert np.abs(samples_of(artwork.rgba[..., :3], 1.0)[..., 0] - np.asarray(grey)).max() <= 2


def test_a_colour_s_profile_on_a_grey_picture_is_applied() -> None:
    artwork = read_artwork(encoded(blocks().convert("L"), "png", icc_profile=wide_profile()))
    assert np.array_equal(artwork.rgba[..., 0], np.asarray(blocks().convert("L")))
    assert not any("left out" in note for note in artwork.notes)


@pytest.mark.parametrize("kind", ["jpeg", "tiff"])
def test_the_profile_of_inks_is_applied_as_littlecms_does(kind: str) -> None:
    inks = blocks().convert("CMYK")
    options = {"quality": 100, "subsampling": 0} if kind == "jpeg" else {}
    artwork = read_artwork(encoded(inks, kind, icc_profile=ink_profile(), **options))
    source = ImageCms.ImageCmsProfile(io.BytesIO(ink_profile()))
    expected = ImageCms.profileToProfile(inks, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
    found = artwork.rgba[..., :3].astype(int)
    assert np.abs(found - np.asarray(expected)).max() <= (4 if kind == "jpeg" else 0)
    assert np.abs(found - np.asarray(blocks()).astype(int)).max() > 60


def test_a_broken_profile_is_left_out_and_said() -> None:
    artwork = read_artwork(encoded(blocks(), "png", icc_profile=b"no profile at all" * 20))
    assert np.array_equal(artwork.rgba[..., :3], np.asarray(blocks()))
    assert any("left out" in note for note in artwork.notes)


def test_cmyk_reads_alike_with_and_without_adobe_s_inversion() -> None:
    cmyk = blocks().convert("CMYK")
    inverted = encoded(cmyk, "jpeg", quality=100)  # Pillow writes Adobe's marker and inverted inks
    at = inverted.index(b"Adobe") - 4
    size = int.from_bytes(inverted[at + 2 : at + 4], "big")
    without_marker = inverted[:at] + inverted[at + 2 + size :]
    plain = encoded(Image.fromarray(255 - np.asarray(cmyk), "CMYK"), "jpeg", quality=100)
    at = plain.index(b"Adobe") - 4
    plain = plain[:at] + plain[at + 2 + size :]
    first, second = read_artwork(inverted).rgba.astype(int), read_artwork(plain).rgba.astype(int)
    assert np.abs(first - second).max() <= 2
    assert np.abs(first[..., :3] - np.asarray(blocks()).astype(int)).max() <= 4
    assert np.abs(read_artwork(without_marker).rgba.astype(int) - first).max() > 60


def test_cmyk_tiff_is_what_tifffile_reads() -> None:
    data = encoded(blocks().convert("CMYK"), "tiff")
    inks = tifffile.imread(io.BytesIO(data)).astype(float) / 255
    expected = 255 * (1 - inks[..., :3]) * (1 - inks[..., 3:])
    assert np.abs(read_artwork(data).rgba[..., :3] - expected).max() <= 1.01


@pytest.mark.parametrize("page", [1, 2, 3])
def test_pages_of_a_tiff_are_told_apart(page: int) -> None:
    pages = [Image.new("RGB", (20, 20), (60 * number, 0, 0)) for number in (1, 2, 3)]
    data = encoded(pages[0], "tiff", save_all=True, append_images=pages[1:])
    artwork = read_artwork(data, page=page)
    assert artwork.rgba[0, 0, 0] == 60 * page
    assert any(f"page {page} of 3" in note for note in artwork.notes)
    with pytest.raises(JobError, match="no page 4"):
        read_artwork(data, page=4)


def test_a_photograph_from_a_phone_is_read() -> None:
    sample = Path(__file__).with_name("blocks.heic")
    artwork = read_artwork(sample)
    assert artwork.format == "heic"
    assert np.abs(artwork.rgba[..., :3].astype(int) - np.asarray(blocks(128, 96))).mean() < 6


def test_without_its_reader_heic_is_refused_with_the_line_to_install_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "pi_heif", None)
    with pytest.raises(ArtworkError, match="HEIC") as refused:
        read_artwork(Path(__file__).with_name("blocks.heic"))
    assert "-m pip install pi-heif" in refused.value.do


def test_avif_is_read() -> None:
    artwork = read_artwork(encoded(blocks(), "avif", quality=95))
    assert artwork.format == "avif"
    assert np.abs(artwork.rgba[..., :3].astype(int) - np.asarray(blocks())).mean() < 3


def test_a_grey_picture_with_a_transparent_grey_keeps_it() -> None:
    grey = Image.fromarray(np.repeat([[0, 200]], 16, 0).repeat(8, 1).astype(np.uint8))
    artwork = read_artwork(encoded(grey, "png", transparency=0))
    assert (artwork.rgba[:, :8, 3] == 0).all()
    assert (artwork.rgba[:, 8:] == (200, 200, 200, 255)).all()


def test_no_name_no_place_no_camera_of_the_file_goes_further() -> None:
    exif = Image.Exif()
    exif[0x010F], exif[0x013B] = "SECRETCAMERA", "SECRETAUTHOR"
    artwork = read_artwork(encoded(blocks(), "jpeg", exif=exif, comment=b"SECRETPLACE"))
    assert "SECRET" not in repr((artwork.name, artwork.notes, artwork.format))
