"""A line laid level reads as it was set, whatever way it runs."""

from __future__ import annotations

import pytest
import shapely

from analyse.lettering.lines import lines_of
from analyse.lettering.upright import upright
from analyse.widths.measuring import measure
from tests.drawings import drawing_of
from tests.lettered import Place, along, lettering, round_ring

CAP = 80.0


@pytest.mark.parametrize(
    "place",
    [along(600, 300), along(600, 600, -40.0), round_ring(600, 1500, 1000), round_ring(600, 600, 500, below=True)],
    ids=["straight", "slanted", "arc", "from inside"],
)
def test_letters_stand_upright_side_by_side_on_the_baseline(place: Place) -> None:
    drawing = drawing_of(*lettering("HARBOUR LIGHT", CAP, place, spacing=0.08))
    measures = measure(drawing)
    (line,) = lines_of(drawing, measures)
    laid = upright(line, drawing, measures)
    straight = lettering("HARBOUR LIGHT", CAP, along(0, 0), spacing=0.08)
    boxes = shapely.bounds(list(laid))
    assert boxes[:, 0].min() == pytest.approx(0.0, abs=1e-9)
    assert (boxes[1:, 0] > boxes[:-1, 0]).all()
    assert [shape.area for shape in laid] == pytest.approx([shape.area for shape in straight], rel=1e-6)
    assert (boxes[:, 2] - boxes[:, 0]) == pytest.approx([s.bounds[2] - s.bounds[0] for s in straight], abs=0.03 * CAP)
    assert boxes[:, 3] == pytest.approx(0.0, abs=0.04 * CAP)
