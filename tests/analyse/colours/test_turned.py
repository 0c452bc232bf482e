"""What is cloth and what is sewn is the practitioner's to say where the picture leaves it open."""

from __future__ import annotations

import numpy as np
import pytest

from analyse import trace
from analyse.errors import JobError, NothingToSewError
from analyse.values import Artwork, Drawing, Turned

RED, WHITE = (200, 30, 40), (255, 255, 255)


def artwork(rgb: np.ndarray, clear: np.ndarray | None = None) -> Artwork:
    alpha = np.full(rgb.shape[:2], 255, np.uint8) if clear is None else np.where(clear, 0, 255).astype(np.uint8)
    rgba = np.dstack([rgb, alpha])
    return Artwork(rgba, "made", "0" * 64, "png", (rgb.shape[1], rgb.shape[0]), np.eye(3))


def ring_with_a_patch() -> np.ndarray:
    """A thin red frame on white, and a broad red block in it that holds a white patch."""
    picture = np.full((400, 600, 3), WHITE, np.uint8)
    picture[50:350, 50:550] = RED
    picture[60:340, 60:540] = WHITE
    picture[100:300, 100:300] = RED
    picture[180:220, 180:220] = WHITE
    return picture


def area(drawing: Drawing, name: str) -> float:
    return sum(r.outline.area for r in drawing.regions if drawing.palette[r.colour].name == name)


def test_a_white_patch_that_was_read_as_sewn_is_left_to_the_cloth() -> None:
    made = artwork(ring_with_a_patch())
    assert area(trace(made), "white") == pytest.approx(1600, rel=0.02)
    turned = trace(made, turned=[Turned((0.3, 0.5), background=True)])
    assert area(turned, "white") == 0
    assert len(turned.palette) == 1
    assert turned.notes == ("white left to the cloth at 0.3, 0.5 as decided, 1.1 % of the design's extent",)


def test_a_hole_that_was_read_as_cloth_is_sewn_in_the_colour_that_lay_behind() -> None:
    made = artwork(ring_with_a_patch())
    turned = trace(made, turned=[Turned((0.9, 0.5), background=False)])
    assert area(turned, "white") == pytest.approx(1600 + 480 * 280 - 200 * 200, rel=0.01)


def test_only_the_piece_that_is_named_is_turned() -> None:
    picture = ring_with_a_patch()
    picture[180:220, 240:280] = WHITE
    turned = trace(artwork(picture), turned=[Turned((0.3, 0.5), background=True)])
    assert area(turned, "white") == pytest.approx(1600, rel=0.02)


def test_places_are_those_of_the_design_as_read_whatever_is_turned() -> None:
    """The frame is turned away, so the design shrinks; the second place still names the patch."""
    turns = [Turned((0.5, 0.01), background=True), Turned((0.3, 0.5), background=True)]
    turned = trace(artwork(ring_with_a_patch()), turned=turns)
    assert turned.extent_px == pytest.approx((100, 100, 300, 300), abs=0.2)
    assert turned.place(200, 200) == pytest.approx((0.3, 0.5))
    assert area(turned, "white") == 0


def test_what_says_what_was_read_changes_nothing() -> None:
    made = artwork(ring_with_a_patch())
    plain, said = trace(made), trace(made, turned=[Turned((0.3, 0.5), background=False)])
    assert np.array_equal(plain.labels, said.labels)
    assert said.notes == ("white is sewn at 0.3, 0.5 as it was read: nothing to turn round",)
    assert [r.outline.wkb for r in plain.regions] == [r.outline.wkb for r in said.regions]


def test_nothing_can_be_sewn_where_nothing_is_drawn() -> None:
    picture = ring_with_a_patch()
    clear = np.zeros(picture.shape[:2], bool)
    clear[60:340, 320:540] = True
    with pytest.raises(JobError) as wrong:
        trace(artwork(picture, clear), turned=[Turned((0.8, 0.5), background=False)])
    assert "at = [0.8, 0.5]" in wrong.value.where


def test_all_turned_to_cloth_leaves_nothing_to_sew() -> None:
    picture = np.full((200, 200, 3), WHITE, np.uint8)
    picture[50:150, 50:150] = RED
    with pytest.raises(NothingToSewError):
        trace(artwork(picture), turned=[Turned((0.5, 0.5), background=True)])
