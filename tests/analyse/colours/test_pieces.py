"""Pixels that touch are of one piece: as OpenCV's connected components has it."""

from __future__ import annotations

import cv2
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from analyse.colours.pieces import longer_sides, pieces


@settings(derandomize=True, deadline=None, max_examples=60)
@given(seed=st.integers(0, 10_000), high=st.integers(1, 30), wide=st.integers(1, 30), share=st.floats(0, 1))
def test_pieces_and_their_sides_are_those_of_opencv(seed: int, high: int, wide: int, share: float) -> None:
    mask = (np.random.default_rng(seed).random((high, wide)) < share).astype(np.uint8)
    at = np.flatnonzero(mask)
    count, numbered, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    found, theirs = pieces(at, wide), numbered.reshape(-1)[at]
    # Each of our pieces is one of theirs and the other way round.
    assert len(np.unique(np.stack([found, theirs], axis=1), axis=0)) == count - 1 == found.max(initial=-1) + 1
    sides = np.maximum(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT])
    assert np.array_equal(longer_sides(at, wide, found)[found], sides[theirs])
