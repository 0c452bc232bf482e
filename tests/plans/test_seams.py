"""Where parts meet is read along every outline: lengths of shared edges and widths of gaps against plain geometry."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Point, box

from plans.seams import CLOTH, find_seams, gaps, map_parts
from tests.drawing_fixture import Piece, sized, stroke


def test_a_square_set_into_another_shares_its_whole_outline_with_it() -> None:
    drawing = sized([Piece("navy", box(0, 0, 30, 30), "fill"), Piece("gold", box(10, 10, 20, 20), "fill", inside=0)])
    shared = find_seams(drawing, map_parts(drawing)).shared()
    assert shared[0, 1] == pytest.approx(40, rel=0.01)
    assert shared[1, 0] == pytest.approx(40, rel=0.01)
    assert shared[0, CLOTH] == pytest.approx(120, rel=0.01)


def test_two_halves_of_a_disc_share_its_diameter() -> None:
    disc = Point(20, 20).buffer(20, 64)
    halves = [Piece("navy", disc & box(0, 0, 20, 40), "fill"), Piece("red", disc & box(20, 0, 40, 40), "fill")]
    drawing = sized(halves)
    shared = find_seams(drawing, map_parts(drawing)).shared()
    assert shared[0, 1] == pytest.approx(40, rel=0.01)
    assert shared[0, CLOTH] == pytest.approx(np.pi * 20, rel=0.01)


@pytest.mark.parametrize("gap_mm", [0.4, 0.8, 1.5])
def test_a_gap_between_two_blocks_is_measured_where_they_face(gap_mm: float) -> None:
    drawing = sized([Piece("navy", box(0, 0, 20, 10), "fill"), Piece("red", box(0, 10 + gap_mm, 20, 20), "fill")])
    parts_map = map_parts(drawing)
    seams = find_seams(drawing, parts_map)
    gap = gaps(parts_map, seams, np.array([-1, -1, 0]))
    facing = (seams.part == 0) & (seams.normal[:, 1] > 0.9)
    assert np.median(gap[facing]) == pytest.approx(gap_mm, abs=0.1)
    assert np.isinf(gap[(seams.part == 0) & (seams.normal[:, 1] < -0.9)]).all()


def test_between_two_strokes_on_a_body_the_body_is_what_lies_open() -> None:
    strokes = [stroke("gold", [(x, 5), (x, 25)], 2.0, inside=0) for x in (10, 13)]
    drawing = sized([Piece("navy", box(0, 0, 30, 30), "fill"), *strokes])
    parts_map = map_parts(drawing)
    seams = find_seams(drawing, parts_map)
    gap = gaps(parts_map, seams, np.array([*(0 if part.kind == "fill" else -1 for part in drawing.parts), 1]))
    first = min(
        (i for i, part in enumerate(drawing.parts) if part.kind == "column"),
        key=lambda i: drawing.parts[i].outline_mm.centroid.x,
    )
    facing = (seams.part == first) & (seams.normal[:, 0] > 0.9)
    assert np.median(gap[facing]) == pytest.approx(1.0, abs=0.1)
    assert np.isinf(gap[(seams.part == first) & (seams.normal[:, 0] < -0.9)]).all()
