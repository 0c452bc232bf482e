"""What shows the ground and what is sewn in its colour (common practice, no source)."""

import cv2
import numpy as np
import pytest

from analyse import read_artwork, trace
from analyse.colours.grounds import is_frame, sewn_inside


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


def svg_of(inside: str) -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 70">{inside}</svg>'.encode()


WHITE, RED, BLACK = ("#fff", "#c22", "#000")


def flag(upper: str, lower: str) -> str:
    """Two stripes within a thin black border, on nothing."""
    stripes = f'<rect x="10" y="10" width="80" height="25" fill="{upper}"/>'
    stripes += f'<rect x="10" y="35" width="80" height="25" fill="{lower}"/>'
    return f'{stripes}<rect x="10" y="10" width="80" height="50" fill="none" stroke="#000" stroke-width="2"/>'


@pytest.mark.parametrize("stripes", [(WHITE, RED), (BLACK, WHITE)])
def test_a_thin_border_round_a_flag_on_nothing_is_sewn(stripes: tuple[str, str]) -> None:
    drawing = trace(read_artwork(svg_of(flag(*stripes))))
    assert drawing.background is None
    assert {colour.name for colour in drawing.palette} >= {"black", "white"}


def test_a_card_that_a_design_lies_on_is_its_ground() -> None:
    card = '<rect x="5" y="5" width="90" height="60" fill="#eee"/><circle cx="50" cy="35" r="28" fill="#c22"/>'
    drawing = trace(read_artwork(svg_of(card)))
    assert drawing.background is not None
    assert len(drawing.palette) == 1


@pytest.mark.parametrize("margin", [1.5, 3.0])
def test_a_white_card_tight_round_block_letters_is_no_frame(margin: float) -> None:
    bars = "".join(f'<rect x="{20 + 12 * n}" y="22" width="8" height="26" fill="#c22"/>' for n in range(5))
    box = (20 - margin, 22 - margin, 56 + 2 * margin, 26 + 2 * margin)
    card = '<rect x="{}" y="{}" width="{}" height="{}" fill="#fff"/>'.format(*box)
    drawing = trace(read_artwork(svg_of(card + bars)))
    assert drawing.background is not None
    assert len(drawing.palette) == 1


def test_a_colour_that_is_not_on_the_rim_frames_nothing() -> None:
    labels = np.ones((60, 60), np.uint8)
    labels[20:40, 20:40] = 0
    assert not is_frame(labels, 0, np.zeros(3))


def test_a_badge_that_touches_its_card_is_no_framed_picture() -> None:
    card = '<rect x="10" y="5" width="80" height="60" fill="#eee"/><circle cx="50" cy="35" r="30" fill="#c22"/>'
    assert trace(read_artwork(svg_of(card))).background is not None
