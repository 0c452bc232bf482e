"""Lines of one thread that meet are sewn there and back as one network, with no jump (common practice)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from analyse.trade import default_trade
from analyse.values import Floats
from plans.approaches import named
from plans.job import Job
from plans.layers import Layout, plan_sewings, survey
from plans.order.networks import networked
from plans.stitching.laying import lay_sewing
from plans.values import Move, Sewing
from tests.drawing_fixture import bold_mark, crest, scaled_beast, sized
from tests.plans.stitching.spines import band, outline

TRADE = default_trade()
STEM, VEINS = [[0.0, 0.0], [0.0, 20.0]], ([[0.3, 6.0], [7.0, 9.0]], [[-0.4, 12.0], [-6.0, 15.0]])


def line(part: int, points: object, passes: int = 2) -> Sewing:
    spine = band(np.array(points, float), 0.3)
    return Sewing(part, 0, "running", "detail", 0, outline(spine), spines=(spine,), passes=passes, stitch_mm=2.0)


def leaf(passes: int = 2) -> Layout:
    """A stem and two veins that end at its edge, each a part of its own."""
    sewings = tuple(line(part, points, passes) for part, points in enumerate((STEM, *VEINS)))
    return Layout(sewings, (), (), (-1, -1, -1))


def passed(trail: Floats, at: tuple[float, float]) -> int:
    """How often thread runs past a place on a line."""
    stitches = shapely.linestrings(np.stack([trail[:-1], trail[1:]], axis=1))
    return int((shapely.distance(stitches, shapely.Point(at)) < 0.05).sum())


@pytest.mark.parametrize("passes", [2, 4])
def test_a_stem_with_its_veins_is_sewn_without_a_jump_each_line_as_often_as_asked(passes: int) -> None:
    (whole,) = networked(leaf(passes), TRADE).sewings
    assert (whole.part, whole.also) == (0, (1, 2))
    trail = lay_sewing(whole, TRADE, start=(0.0, 0.0))
    assert (trail.move[1:] == Move.SEW).all()
    assert trail.xy[-1] == pytest.approx((0.0, 0.0), abs=0.05)
    for place in ((0.0, 3.1), (0.0, 9.3), (0.0, 17.3), (3.65, 7.5), (-3.2, 13.5)):
        assert passed(trail.xy, place) == passes, place


def test_lines_sewn_unlike_or_one_after_the_other_stay_apart() -> None:
    layout = leaf()
    stem, *veins = layout.sewings
    another = tuple(replace(vein, thread=1) for vein in veins)
    assert len(networked(replace(layout, sewings=(stem, *another)), TRADE).sewings) == 3
    assert len(networked(replace(layout, sewings=(replace(stem, passes=3), *veins)), TRADE).sewings) == 3
    assert len(networked(replace(layout, before=((0, 1), (0, 2))), TRADE).sewings) == 3


def test_what_lies_under_a_network_lies_under_all_of_it() -> None:
    layout = leaf()
    under = replace(line(3, [[9.0, 0.0], [9.0, 5.0]]), thread=1)
    after = networked(
        replace(layout, sewings=(under, *layout.sewings), before=((0, 1), (0, 2), (0, 3)), beneath=(0, 0, 2, -1)),
        TRADE,
    )
    assert len(after.sewings) == 2
    assert (after.before, after.beneath) == (((0, 1),), (0, 0, 1, -1))


def test_networks_keep_every_part_and_every_line_of_a_plan() -> None:
    for pieces in (crest(), scaled_beast(), bold_mark()):
        layout = plan_sewings(survey(sized(pieces), Job()), named("line-work").recipe)
        after = networked(layout, TRADE)
        parts = [[(one.part, *one.also) for one in each.sewings] for each in (layout, after)]
        assert {part for own in parts[0] for part in own} == {part for own in parts[1] for part in own}
        assert sum(len(one.spines) for one in after.sewings) == sum(len(one.spines) for one in layout.sewings)
