"""A printing screen is found at its pitch and run together; what has none is left alone."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from analyse.scans.screen import screen_pitch_px, without_screen
from tests.analyse.scans.test_correcting import page

Picture = NDArray[np.uint8]
TONES = 0.85  # what white and full colour are printed as, so that every tone has its dots


def printed(pitch_px: float, angle_deg: float) -> tuple[Picture, Picture]:
    """The page in dots, one screen a channel 30 degrees apart, scanned with noise; and the tones it stands for."""
    tones = 255 * (1 - TONES) / 2 + page(420, 560) * TONES
    large = cv2.resize(tones, None, fx=3, fy=3, interpolation=cv2.INTER_LINEAR)
    y, x = np.mgrid[: large.shape[0], : large.shape[1]] / 3
    dots = np.empty_like(large)
    for channel in range(3):
        turn = np.deg2rad(angle_deg + 30 * channel)
        along, across = x * np.cos(turn) + y * np.sin(turn), y * np.cos(turn) - x * np.sin(turn)
        wave = np.cos(2 * np.pi * along / pitch_px) + np.cos(2 * np.pi * across / pitch_px)
        steps = np.sort(wave[::5, ::5].ravel())
        dots[..., channel] = 255.0 * (large[..., channel] / 255 > np.searchsorted(steps, wave) / len(steps))
    scanned = cv2.GaussianBlur(cv2.resize(dots, tones.shape[1::-1], interpolation=cv2.INTER_AREA), (0, 0), 0.7)
    noisy = scanned + np.random.default_rng(3).normal(0, 3, scanned.shape)
    return np.clip(noisy, 0, 255).astype(np.uint8), tones.astype(np.uint8)


@pytest.mark.parametrize("angle_deg", [0, 17, 45])
@pytest.mark.parametrize("pitch_px", [3.4, 4.5, 6.0, 9.0])
def test_the_pitch_is_found_and_the_dots_run_together(pitch_px: float, angle_deg: float) -> None:
    dotted, tones = printed(pitch_px, angle_deg)
    found = screen_pitch_px(dotted)
    assert found == pytest.approx(pitch_px, rel=0.08)
    even = without_screen(dotted, pitch_px).astype(float)
    flat = slice(20, 60), slice(20, 400)
    assert even[flat].std(axis=(0, 1)).max() < 0.2 * dotted[flat].std(axis=(0, 1)).min()
    assert even[flat].mean() == pytest.approx(tones[flat].mean(), abs=6)


def test_noise_and_clean_art_have_no_screen() -> None:
    art = page(420, 560)
    noisy = art * 0.95 + np.random.default_rng(1).normal(0, 4, art.shape)
    assert screen_pitch_px(art.astype(np.uint8)) is None
    assert screen_pitch_px(np.clip(noisy, 0, 255).astype(np.uint8)) is None


def test_straight_edges_at_right_angles_are_no_screen() -> None:
    flag = np.full((960, 960, 3), 235.0)
    for left in range(40, 900, 120):
        flag[100:860, left : left + 60] = (190, 40, 45)
        flag[left : left + 60, 100:860] = (30, 90, 50)
    blurred = cv2.GaussianBlur(flag, (0, 0), 1.0) + np.random.default_rng(1).normal(0, 1, flag.shape)
    assert screen_pitch_px(np.clip(blurred, 0, 255).astype(np.uint8)) is None
