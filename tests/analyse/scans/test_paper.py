"""The sheet is found to a fraction of a per cent in falling light, and not where there is none."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from analyse.scans.paper import find_sheet
from analyse.scans.squaring import flat_sheet
from tests.analyse.scans.test_correcting import page, seen

Picture = NDArray[np.uint8]
SIZE = (800, 1000)


def desk(corners: NDArray[np.float64], fall: float) -> Picture:
    """The page on a desk in light that falls to 1 - fall, noisy."""
    rng = np.random.default_rng(5)
    sheet = page(500, 707)
    high, wide = sheet.shape[:2]
    flat = np.array([[0, 0], [wide, 0], [wide, high], [0, high]], np.float32)
    view = cv2.getPerspectiveTransform(flat - 0.5, corners.astype(np.float32) - 0.5)
    cover = cv2.warpPerspective(np.ones((high, wide)), view, SIZE)[..., None]
    picture = cv2.warpPerspective(sheet, view, SIZE) + (1 - cover) * np.array([95.0, 80, 65])
    y, x = np.mgrid[: SIZE[1], : SIZE[0]]
    light = 1 - fall * np.hypot(x / SIZE[0], y / SIZE[1])[..., None] / 2**0.5
    noisy = cv2.GaussianBlur(picture * light, (0, 0), 1.0) + rng.normal(0, 3, picture.shape)
    return np.clip(noisy, 0, 255).astype(np.uint8)


@pytest.mark.parametrize("fall", [0.1, 0.4, 0.6])
@pytest.mark.parametrize("pose", [(0, 0, 2), (20, -10, 4), (-25, 15, -6), (10, 12, 12)])
def test_corners_are_found_within_0_3_per_cent_of_the_side(pose: tuple[int, int, int], fall: float) -> None:
    corners = seen(*pose, size=SIZE)
    found = find_sheet(desk(corners, fall))
    assert found is not None
    apart = np.linalg.norm(found[:, None] - corners[None], axis=2).min(axis=0)
    assert apart.max() < 0.003 * np.linalg.norm(corners[1] - corners[0])


@pytest.mark.parametrize("pose", [(0, 0, 2), (20, -10, 4), (-25, 15, -6)])
def test_the_sheet_s_proportions_come_from_its_perspective(pose: tuple[int, int, int]) -> None:
    flat = flat_sheet(seen(*pose, size=SIZE), SIZE, None)
    wide, high = flat.size_px
    assert high / wide == pytest.approx(2**0.5, rel=0.002)


def test_a_picture_without_a_sheet_has_none() -> None:
    rng = np.random.default_rng(1)
    noise = np.clip(rng.normal(150, 4, (600, 500, 3)), 0, 255).astype(np.uint8)
    assert find_sheet(noise) is None
    assert find_sheet(page(500, 707).astype(np.uint8)) is None
