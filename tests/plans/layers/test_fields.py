"""What lies on what: fields, their detail, and what is closed over where something is left out."""

from __future__ import annotations

from shapely import Point, box

from plans.job import Job
from plans.layers import survey
from tests.drawing_fixture import Piece, sized


def test_what_a_part_lies_round_is_closed_over_and_so_is_what_lies_in_that() -> None:
    """A letter that is left out, and its counter: else the cloth shows through where the counter was."""
    letter, counter = Point(20, 20).buffer(1.2), Point(20, 20).buffer(0.5)
    pieces = [Piece("red", box(0, 0, 40, 40), "fill"), Piece("navy", letter, "drop"), Piece("red", counter, "drop")]
    assert survey(sized(pieces), Job()).absorbed == {0: (1, 2)}


def test_what_lies_on_bare_cloth_is_closed_over_by_nothing() -> None:
    pieces = [Piece("red", box(0, 0, 9, 9), "fill"), Piece("navy", box(12, 0, 13, 1), "drop")]
    assert survey(sized(pieces), Job()).absorbed == {}
