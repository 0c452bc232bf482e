"""Reading flat artwork: true colours, true shapes, shared outlines."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from analyse.errors import NothingToSewError
from analyse.tracing import trace
from analyse.values import Artwork

WHITE, RED, BLUE = (255, 255, 255), (200, 30, 40), (20, 60, 160)


def artwork(rgb: NDArray[np.uint8], alpha: NDArray[np.uint8] | None = None) -> Artwork:
    high, wide = rgb.shape[:2]
    opaque = np.full((high, wide), 255, dtype=np.uint8)
    rgba = np.dstack([rgb, opaque if alpha is None else alpha])
    return Artwork(rgba, "made.png", "0" * 64, "png", (wide, high), np.eye(3))


def canvas(high: int = 120, wide: int = 160) -> NDArray[np.uint8]:
    return np.full((high, wide, 3), 255, dtype=np.uint8)


def disc_and_bar() -> NDArray[np.uint8]:
    fine = np.full((960, 1280, 3), 255, dtype=np.uint8)
    cv2.circle(fine, (480, 480), 320, RED, -1)
    cv2.rectangle(fine, (480, 400), (1100, 560), BLUE, -1)
    return cv2.resize(fine, (160, 120), interpolation=cv2.INTER_AREA)


def test_a_disc_and_a_bar_on_white_are_two_colours_that_meet() -> None:
    drawing = trace(artwork(disc_and_bar()))
    assert sorted(colour.rgb for colour in drawing.palette) == [BLUE, RED]
    assert drawing.background is not None
    assert drawing.background.rgb == WHITE
    assert len(drawing.regions) == 2
    assert drawing.regions[0].touches[0][0] == 1
    assert shapely.coverage_is_valid([region.outline for region in drawing.regions])


def test_a_blank_picture_holds_nothing_to_sew() -> None:
    with pytest.raises(NothingToSewError):
        trace(artwork(canvas()))
