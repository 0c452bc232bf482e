"""Cuts part a region into pieces that add up to it."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import box

from analyse.widths.axes import axes_apart
from analyse.widths.cuts import Cut, split, uncut


@pytest.mark.parametrize("off", [0.0, 4e-13, -4e-13])
def test_two_cuts_that_meet_but_for_rounding_end_at_one_place(off: float) -> None:
    bar = box(0, 0, 100, 400)
    axes = axes_apart([bar])
    ways = np.arange(0.0, float(axes.rings.length[0]), 0.5)
    places = axes.rings.at(np.zeros(len(ways), dtype=np.int64), ways)
    one, shared, two = (
        float(ways[np.hypot(*(places - xy).T).argmin()]) for xy in ((100.0, 110.25), (0.0, 200.25), (100.0, 290.25))
    )
    fan = [Cut((0, one), (0, shared)), Cut((0, shared + off), (0, two))]
    (pieces,) = split([uncut(bar)], axes.rings, axes.own_rings, [fan])
    assert len(pieces) == 3
    assert sum(piece.outline.area for piece in pieces) == pytest.approx(bar.area)
