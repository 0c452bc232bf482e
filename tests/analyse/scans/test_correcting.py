"""Scans and photographs of a print are put right; clean files are left alone."""

from __future__ import annotations

import io

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from analyse import read_artwork
from analyse.scans import correct

Picture = NDArray[np.float64]
RED, BLUE = (190.0, 40.0, 45.0), (30.0, 60.0, 130.0)


def page(width: int = 700, height: int = 990) -> Picture:
    """A print on A-series paper: a red disc and a blue bar."""
    pixels = np.full((height, width, 3), 255.0)
    cv2.circle(pixels, (width // 2, height // 3), width // 5, RED, -1, cv2.LINE_AA)
    cv2.rectangle(pixels, (width // 4, height * 3 // 5), (width * 3 // 4, height * 7 // 10), BLUE, -1)
    return pixels


def encoded(pixels: Picture, kind: str = "JPEG", **options: object) -> bytes:
    stream = io.BytesIO()
    Image.fromarray(np.clip(np.rint(pixels), 0, 255).astype(np.uint8)).save(stream, kind, **options)
    return stream.getvalue()


def photographed(
    corners: Picture, size: tuple[int, int] = (1000, 1300), *, paper: Picture | float = 1.0, over: Picture | float = 1.0
) -> bytes:
    """The page on a dark desk, in light that falls off to 65 %, with noise and a warm cast.

    paper: what it reflects; over: a shadow or a shine, by which the light is multiplied.
    """
    rng = np.random.default_rng(7)
    sheet = page() * paper
    high, wide = sheet.shape[:2]
    flat = np.array([[0, 0], [wide, 0], [wide, high], [0, high]], np.float32)
    view = cv2.getPerspectiveTransform(flat - 0.5, corners.astype(np.float32) - 0.5)
    cover = cv2.warpPerspective(np.ones((high, wide)), view, size)[..., None]
    picture = cv2.warpPerspective(sheet, view, size) + (1 - cover) * np.array([90.0, 75, 60])
    x = np.linspace(0, 1, size[0])[None, :, None]
    picture = cv2.GaussianBlur(picture * (1 - 0.35 * x) * np.array([1, 0.97, 0.9]) * over, (0, 0), 0.8)
    return encoded(picture + rng.normal(0, 3, picture.shape), quality=88)


def seen(tilt_deg: float, turn_deg: float, spin_deg: float, size: tuple[int, int] = (1000, 1300)) -> Picture:
    """Corners of an A-series sheet through a pinhole lens of 0.8 long sides, the sheet turned about three axes."""
    tilt, turn, spin = np.deg2rad([tilt_deg, turn_deg, spin_deg])
    about_x = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    about_y = np.array([[np.cos(turn), 0, np.sin(turn)], [0, 1, 0], [-np.sin(turn), 0, np.cos(turn)]])
    about_z = np.array([[np.cos(spin), -np.sin(spin), 0], [np.sin(spin), np.cos(spin), 0], [0, 0, 1]])
    sheet = np.array([[-1, -(2**0.5), 0], [1, -(2**0.5), 0], [1, 2**0.5, 0], [-1, 2**0.5, 0]])
    placed = sheet @ (about_z @ about_x @ about_y).T + [0, 0, 3.1]
    return placed[:, :2] / placed[:, 2:] * 0.8 * max(size) + np.array(size) / 2


CORNERS = seen(18, -9, 3)


def test_the_sheet_of_a_photograph_is_squared_and_its_paper_white() -> None:
    artwork = read_artwork(photographed(CORNERS))
    flat = correct(artwork)
    high, wide = flat.rgba.shape[:2]
    assert high / wide == pytest.approx(2**0.5, rel=0.01)
    mapped = np.column_stack([CORNERS, np.ones(4)]) @ flat.from_file.T
    mapped = mapped[:, :2] / mapped[:, 2:]
    assert np.abs(mapped - [[0, 0], [wide, 0], [wide, high], [0, high]]).max() < 0.003 * wide
    paper = flat.rgba[: high // 10, :, :3]
    assert (paper >= 253).mean() > 0.99
    assert any("squared" in note for note in flat.notes)
    assert any("white" in note for note in flat.notes)


def test_colours_of_a_photographed_print_come_back() -> None:
    flat = correct(read_artwork(photographed(CORNERS)))
    high, wide = flat.rgba.shape[:2]
    assert np.abs(flat.rgba[high // 3, wide // 2, :3] - np.array(RED)).max() < 14
    bar = flat.rgba[int(high * 0.65), int(wide * 0.3) : int(wide * 0.7), :3].astype(float)
    assert np.abs(bar.mean(axis=0) - np.array(BLUE)).max() < 14
    assert bar.std(axis=0).max() < 3


@pytest.mark.parametrize("paper", [(1.0, 0.84, 0.62), (0.96, 0.88, 0.47), (0.6, 0.72, 0.88), (0.7, 0.7, 0.7)])
def test_paper_of_a_colour_or_under_a_lamp_becomes_white(paper: tuple[float, float, float]) -> None:
    flat = correct(read_artwork(photographed(CORNERS, paper=np.array(paper))))
    high, wide = flat.rgba.shape[:2]
    assert (flat.rgba[: high // 10, :, :3] >= 253).mean() > 0.98
    assert np.abs(flat.rgba[high // 3, wide // 2, :3] - np.array(RED)).max() < 20


@pytest.mark.parametrize(("strength", "told"), [(0.6, "shadow"), (1.35, "shines back"), (1.0, None)])
def test_a_shadow_and_a_shine_over_the_sheet_are_said(strength: float, told: str | None) -> None:
    y, x = np.mgrid[:1300, :1000]
    where = (x > 600) & (y > 900) if strength < 1 else np.hypot(x - 350, y - 1000) < 110
    over = cv2.GaussianBlur(np.where(where, strength, 1.0), (0, 0), 9)[..., None]
    notes = correct(read_artwork(photographed(CORNERS, over=over))).notes
    assert any("squared" in note for note in notes)
    for words in ("shadow", "shines back"):
        assert any(words in note for note in notes) == (words == told)


def test_given_corners_and_sheet_size_make_a_true_size() -> None:
    artwork = read_artwork(photographed(CORNERS), corners=CORNERS.tolist(), sheet_size="a5")
    flat = correct(artwork)
    high, wide = flat.rgba.shape[:2]
    assert flat.px_per_mm == pytest.approx(wide / 148)
    assert high / wide == pytest.approx(210 / 148, abs=0.002)
    assert any("as given" in note for note in flat.notes)


@pytest.mark.parametrize(("kind", "quality"), [("PNG", 0), ("JPEG", 95), ("JPEG", 75), ("JPEG", 40), ("WEBP", 80)])
def test_a_clean_file_passes_through_untouched(kind: str, quality: int) -> None:
    options = {"quality": quality} if quality else {}
    artwork = read_artwork(encoded(page(), kind, **options))
    assert correct(artwork) is artwork


def test_a_shaded_background_is_the_artwork_s_own() -> None:
    shade = np.linspace(255, 120, 700)[None, :, None] * np.ones((500, 1, 3))
    artwork = read_artwork(encoded(shade, "PNG"))
    assert correct(artwork) is artwork


def test_a_scan_s_paper_becomes_white_and_even() -> None:
    rng = np.random.default_rng(3)
    scanned = page() * np.array([0.97, 0.96, 0.93]) * np.linspace(1, 0.93, 700)[None, :, None]
    artwork = read_artwork(encoded(scanned + rng.normal(0, 3, scanned.shape), quality=90))
    even = correct(artwork)
    assert even.rgba.shape == artwork.rgba.shape
    assert (even.rgba[:80, :, :3] >= 254).all(axis=2).mean() > 0.99
    assert any("grain" in note for note in even.notes)


def test_wide_yellow_art_is_not_taken_for_the_paper() -> None:
    rng = np.random.default_rng(5)
    flag = np.full((990, 990, 3), 250.0)
    cv2.rectangle(flag, (150, 280), (840, 710), (210, 40, 38), -1)
    cv2.rectangle(flag, (240, 340), (750, 650), (241, 220, 40), -1)
    y, x = np.mgrid[:990, :990] / 990
    seen = flag * (1 - 0.45 * np.hypot(x - 0.3, y - 0.3) ** 1.2)[..., None] * np.array([1, 0.97, 0.9])
    desk = np.full((1200, 1200, 3), 60.0)
    desk[105:1095, 105:1095] = seen
    flat = correct(
        read_artwork(encoded(cv2.GaussianBlur(desk, (0, 0), 1.0) + rng.normal(0, 3, desk.shape), quality=85))
    )
    assert any("squared" in note for note in flat.notes)
    high, wide = flat.rgba.shape[:2]
    assert (flat.rgba[: high // 10, :, :3] >= 253).mean() > 0.98
    assert np.abs(flat.rgba[high // 2, wide // 2, :3] - np.array([246, 224, 41])).max() < 16
