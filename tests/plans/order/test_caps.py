"""On a cap each element is finished with its border, from the centre out and from the bill up (common practice)."""

from __future__ import annotations

import numpy as np
from shapely import Point

from analyse.trade import default_trade
from plans.approaches import named
from plans.job import Job
from plans.lay import lay
from plans.layers import survey
from plans.order.caps import cap_stages
from tests.drawing_fixture import Piece, ring, sized


def test_elements_go_from_the_centre_out_and_from_the_bill_up() -> None:
    boxes = np.array([[0, 0, 10, 10], [45, 0, 55, 10], [45, 30, 55, 40], [90, 0, 100, 10]], float)
    assert cap_stages(boxes, (), (), 100.0, default_trade()) == ((2,), (1,), (0,), (3,))


def test_a_line_of_lettering_is_one_element() -> None:
    boxes = np.array([[0, 0, 10, 10], [45, 0, 55, 10], [45, 30, 55, 40], [90, 0, 100, 10]], float)
    word = ((0,), (1,), (3,))
    assert cap_stages(boxes, (), (word,), 100.0, default_trade()) == ((2,), (0, 1, 3))


def test_each_element_is_finished_with_its_border_before_the_next() -> None:
    discs = [(x, ring("gold", (x, 20), 8, 2.0, hint="outline")) for x in (10, 50, 90)]
    pieces = [Piece("navy", Point(x, 20).buffer(8, 32), "fill") for x, _ in discs] + [edge for _, edge in discs]
    on_cap = lay(survey(sized(pieces, cloth="cap"), Job()), named("side-by-side"))
    middles = [round(step.sewing.shape.centroid.x / 40) for step in on_cap.steps]
    assert middles in ([1, 1, 0, 0, 2, 2], [1, 1, 2, 2, 0, 0])
    flat = lay(survey(sized(pieces), Job()), named("side-by-side"))
    assert flat.estimate.colour_changes == 1 < on_cap.estimate.colour_changes
