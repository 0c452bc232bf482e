"""A stroke cut across at rows of its run: pieces in order, sharing their cuts, adding up to it."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon

from analyse.widths.measuring import measure
from analyse.widths.parting import parted
from analyse.widths.strokes import Stroke
from tests.drawings import drawing_of

WEDGE = Polygon([(0, -1), (300, -20), (300, 20), (0, 1)])
RING = Point(0, 0).buffer(100, 64).difference(Point(30, 0).buffer(55, 64))  # 15 to 75 wide


def whole_of(shape: Polygon) -> Stroke:
    return measure(drawing_of(shape)).regions[0].whole


@pytest.mark.parametrize(("shape", "shares"), [(WEDGE, (0.4,)), (WEDGE, (0.2, 0.5, 0.8)), (RING, (0.25, 0.75))])
def test_pieces_add_up_and_share_their_cuts(shape: Polygon, shares: tuple[float, ...]) -> None:
    whole = whole_of(shape)
    assert whole.track is not None
    rows = [int(share * len(whole.track.axis)) for share in shares]
    pieces = parted(whole, rows)
    assert len(pieces) == len(shares) + (not whole.closed)
    assert sum(piece.outline.area for piece in pieces) == pytest.approx(whole.outline.area, rel=1e-9)
    for one, two in pairwise(pieces):
        assert one.outline.intersection(two.outline).length > 0
        assert one.outline.intersection(two.outline).area == 0


def test_a_piece_keeps_its_stretch_of_the_run() -> None:
    whole = whole_of(WEDGE)
    assert whole.track is not None
    thin, wide = sorted(parted(whole, [len(whole.track.axis) // 2]), key=lambda piece: float(piece.pole[2]))
    assert max(axis[:, 2].max() for axis in thin.axes) <= min(axis[:, 2].min() for axis in wide.axes) + 1e-9
    for piece in (thin, wide):
        assert piece.covered > 0.97
        lines = shapely.linestrings(np.stack([piece.run.left, piece.run.right], axis=1))
        assert shapely.length(shapely.difference(lines, piece.outline.buffer(0.01))).max() < 1e-6
