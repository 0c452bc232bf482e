"""The first decisions file names the places where cloth or thread is left open, ready to be turned round."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import numpy as np
import pytest

from analyse import trace
from analyse.trade import default_trade
from analyse.values import Artwork, Turned
from plans.decisions import parse_decisions
from plans.suggesting import as_toml, holes, left_to_cloth
from tests.plan_fixture import plan

TRADE = default_trade()


def test_what_is_sewn_in_the_cloths_colour_is_named_and_can_be_left_to_the_cloth() -> None:
    made = plan()
    largest = max(made.sized.drawing.regions, key=lambda region: region.outline.area)
    cloth = made.sized.drawing.palette[largest.colour].rgb
    text = as_toml(replace(made, sized=replace(made.sized, cloth_rgb=cloth)))
    open_places = text.split("Cloth or thread?")[1]
    assert "[[part]]" not in tomllib.loads(text)
    freed = "[job]\n" + "\n".join(row.removeprefix("# ") for row in open_places.splitlines()[1:])
    turned = parse_decisions(freed.encode(), "", TRADE).turned
    assert turned
    assert all(turn.background for turn in turned)


def test_where_nothing_is_open_nothing_is_said() -> None:
    made = plan()
    green = replace(made.sized, cloth_rgb=(0, 160, 60), drawing=replace(made.sized.drawing, background=None))
    assert "Cloth or thread?" not in as_toml(replace(made, sized=green))


def test_what_the_design_encloses_of_the_ground_is_named_by_a_place_within_it() -> None:
    picture = np.full((300, 400, 4), 255, np.uint8)
    picture[50:250, 50:350, :3] = (200, 30, 40)
    picture[60:240, 60:200, :3] = 255
    picture[60:240, 210:340, :3] = 255
    drawing = trace(Artwork(picture, "two windows", "0" * 64, "png", (400, 300), np.eye(3)))
    places = [drawing.place(*hole.at_px) for hole in holes(drawing)]
    assert len(places) == 2
    turned = trace(drawing.artwork, turned=[Turned(place, background=False) for place in places])
    assert sum(region.outline.area for region in turned.regions) == pytest.approx(200 * 300, rel=0.01)


def test_what_is_read_from_a_transparent_picture_has_no_hole_that_could_be_sewn() -> None:
    made = plan()
    assert list(holes(replace(made.sized.drawing, background=None))) == []


@pytest.mark.parametrize(("cloth", "said"), [((255, 255, 255), False), ((20, 40, 90), True)])
def test_enclosed_white_on_cloth_of_another_colour_is_said_not_just_listed(
    cloth: tuple[int, int, int], said: bool
) -> None:
    picture = np.full((300, 400, 4), 255, np.uint8)
    picture[50:250, 50:350, :3] = (200, 30, 40)
    picture[60:240, 60:200, :3] = 255
    drawing = trace(Artwork(picture, "a window", "0" * 64, "png", (400, 300), np.eye(3)))
    told = left_to_cloth(drawing.at(width_mm=60.0, cloth_rgb=cloth))
    assert bool(told) == said
    assert ("1008 mm2 in 1 place," in told) == said  # 28 x 36 mm
