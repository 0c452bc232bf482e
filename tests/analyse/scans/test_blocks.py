"""A picture enlarged without smoothing holds no more than it did: it is read at its own pixels, and only it."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from analyse.scans import correct
from analyse.scans.blocks import block_px, own_pixels
from analyse.values import Artwork

WHITE = 255
SETTINGS = settings(derandomize=True, deadline=None, max_examples=12)


def disc(wide: int = 300, high: int = 240) -> NDArray[np.uint8]:
    """A smoothed disc on white, (high, wide, 4)."""
    fine = np.full((4 * high, 4 * wide, 4), WHITE, np.uint8)
    cv2.circle(fine, (2 * wide, 2 * high), round(1.6 * high), (30, 60, 140, 255), -1)
    return np.asarray(cv2.resize(fine, (wide, high), interpolation=cv2.INTER_AREA), np.uint8)


def sent(rgba: NDArray[np.uint8], format_: str = "png", px_per_mm: float | None = None) -> Artwork:
    high, wide = rgba.shape[:2]
    return Artwork(rgba, "art", "0" * 64, format_, (wide, high), np.eye(3), px_per_mm)


def in_blocks(rgba: NDArray[np.uint8], side: int) -> NDArray[np.uint8]:
    return rgba.repeat(side, axis=0).repeat(side, axis=1)


@SETTINGS
@given(side=st.integers(2, 6))
def test_every_enlargement_comes_back_to_the_picture_that_was_enlarged(side: int) -> None:
    small = disc()
    found = correct(sent(in_blocks(small, side), px_per_mm=12.0))
    assert np.array_equal(found.rgba, small)
    assert found.px_per_mm == pytest.approx(12.0 / side)
    assert found.from_file @ [300.0 * side, 240.0 * side, 1] == pytest.approx([300, 240, 1])
    assert found.block_px == side


def test_a_picture_of_its_own_pixels_stays_the_same_object() -> None:
    artwork = sent(disc())
    assert own_pixels(artwork) is artwork


@SETTINGS
@given(x=st.integers(0, 599), y=st.integers(0, 479))
def test_one_pixel_out_of_place_and_it_is_no_enlargement(x: int, y: int) -> None:
    rgba = in_blocks(disc(), 2)
    rgba[y, x, :3] ^= 1
    assert block_px(rgba) == 1


def test_transparency_counts_as_a_colour_does() -> None:
    small = disc()
    small[..., 3] = 255 - small[..., 0] // 2
    assert block_px(in_blocks(small, 3)) == 3
    clear = in_blocks(small, 3)
    clear[7, 200, 3] ^= 1
    assert block_px(clear) == 1


def test_bars_that_lie_on_a_coarse_grid_are_drawn_there() -> None:
    rgba = np.full((400, 600, 4), WHITE, np.uint8)
    rgba[40:120, 60:300, :3] = (200, 20, 20)
    rgba[200:360, 100:560, :3] = (20, 20, 120)
    assert block_px(rgba) == 1


def test_a_code_or_pixel_art_is_drawn_in_blocks() -> None:
    cells = np.random.default_rng(5).integers(0, 2, (41, 41, 1)).astype(np.uint8) * 255
    code = np.concatenate([cells, cells, cells, np.full_like(cells, WHITE)], axis=2)
    assert block_px(in_blocks(code, 10)) == 1


def test_vector_art_is_never_reduced() -> None:
    artwork = sent(in_blocks(disc(), 2), "svg")
    assert own_pixels(artwork) is artwork


def test_a_plain_picture_has_no_pixels_of_its_own() -> None:
    assert block_px(np.full((512, 512, 4), 80, np.uint8)) == 1
