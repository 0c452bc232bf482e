"""The first decisions file names the places where cloth or thread is left open, ready to be turned round."""

from __future__ import annotations

import tomllib
from dataclasses import replace

from analyse.trade import default_trade
from analyse.values import Colour
from plans.decisions import parse_decisions
from plans.suggesting import as_toml
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


def test_what_the_design_encloses_of_the_ground_can_be_sewn() -> None:
    made = plan()
    shapes = made.sized.drawing.regions
    holed = [region for region in shapes if region.outline.interiors]
    assert holed, "the fixture has a shape with a hole"
    drawing = replace(
        made.sized.drawing, background=Colour((255, 255, 255), (100.0, 0.0, 0.0), "white"), regions=(holed[0],)
    )
    text = as_toml(replace(made, sized=replace(made.sized, cloth_rgb=(0, 160, 60), drawing=drawing)))
    assert "# background = false" in text
