"""A scan that lies askew is told by its straight edges, and laid level."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from analyse import read_artwork
from analyse.scans import correct
from analyse.scans.skew import level, skew_deg
from tests.analyse.scans.test_correcting import BLUE, encoded, page


def turned(pixels: np.ndarray, askew_deg: float, noise: float = 3.0) -> np.ndarray:
    """Turned clockwise as seen, with grain."""
    high, wide = pixels.shape[:2]
    turn = cv2.getRotationMatrix2D((wide / 2 - 0.5, high / 2 - 0.5), -askew_deg, 1)
    out = cv2.warpAffine(pixels, turn, (wide, high), flags=cv2.INTER_CUBIC, borderValue=(255, 255, 255))
    return np.clip(out + np.random.default_rng(2).normal(0, noise, out.shape), 0, 255)


@pytest.mark.parametrize("askew_deg", [-5.0, -1.5, -0.3, 0.0, 0.7, 3.0])
def test_a_bar_tells_how_far_the_sheet_lies_askew(askew_deg: float) -> None:
    assert skew_deg(turned(page(), askew_deg).astype(np.uint8)) == pytest.approx(askew_deg, abs=0.1)


def test_curves_and_slanted_art_tell_nothing() -> None:
    disc = np.full((700, 700, 3), 250, np.uint8)
    cv2.circle(disc, (350, 350), 200, (190, 40, 45), -1, cv2.LINE_AA)
    assert skew_deg(disc) == 0.0
    diamond = cv2.fillPoly(disc.copy(), [np.array([[350, 60], [640, 350], [350, 640], [60, 350]])], (30, 60, 130))
    assert skew_deg(diamond) == 0.0
    assert skew_deg(np.full((300, 300, 3), 240, np.uint8)) == 0.0


def test_a_turned_scan_is_laid_level_and_says_so() -> None:
    scan = turned(page() * np.array([0.97, 0.96, 0.93]), 2.0)
    artwork = read_artwork(encoded(scan, quality=92))
    flat = correct(artwork)
    assert any("askew" in note for note in flat.notes)
    assert abs(skew_deg(flat.rgba[..., :3])) < 0.1
    back = np.array([[0.5, 0.65, 1.0]]) * [*artwork.rgba.shape[1::-1], 1]  # the bar's middle lies near the page's
    place = back @ flat.from_file.T
    x, y = (place[0, :2] / place[0, 2]).astype(int)
    assert np.abs(flat.rgba[y, x, :3] - np.array(BLUE)).max() < 16


def test_a_level_scan_is_not_turned() -> None:
    scan = turned(page() * np.array([0.97, 0.96, 0.93]), 0.0)
    artwork = read_artwork(encoded(scan, quality=92))
    flat = correct(artwork)
    assert flat is not artwork
    assert flat.rgba.shape == artwork.rgba.shape
    assert not any("askew" in note for note in flat.notes)


def test_nothing_is_lost_by_turning_and_no_side_grows_beyond_the_largest() -> None:
    picture = np.full((1500, 2000, 3), 255, np.uint8)
    picture[:20, :20] = picture[-20:, -20:] = 0
    flat, matrix = level(picture, 4.0)
    assert max(flat.shape) <= 2000
    for corner in ((10, 10), (1990, 1490)):
        x, y, _ = matrix @ [*corner, 1]
        assert flat[int(y), int(x)].max() < 40
