"""What shows the ground and what is sewn in its colour (common practice, no source)."""

import cv2
import numpy as np
import pytest

from analyse.colours.grounds import sewn_inside


def letter_o(beside: bool) -> np.ndarray:
    """A letter's ring on ground 0, and perhaps a wide body beside it that does not touch it."""
    labels = np.zeros((200, 300), np.uint8)
    cv2.circle(labels, (60, 150), 30, 1, 10)
    if beside:
        cv2.circle(labels, (170, 70), 65, 2, cv2.FILLED)
    return labels


@pytest.mark.parametrize("beside", [False, True])
def test_a_counter_shows_the_ground_whatever_stands_beside_its_letter(beside: bool) -> None:
    labels = letter_o(beside)
    assert not sewn_inside(labels, 0)[150, 60]


def test_a_shape_in_the_grounds_colour_on_a_wide_body_is_sewn() -> None:
    labels = np.zeros((200, 300), np.uint8)
    cv2.circle(labels, (150, 100), 90, 2, cv2.FILLED)
    cv2.circle(labels, (150, 60), 14, 0, cv2.FILLED)
    sewn = sewn_inside(labels, 0)
    assert sewn[60, 150]
    assert not sewn[0, 0]
