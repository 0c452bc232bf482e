"""Detail along the rows beneath it: found, named with its place, and cured by what is said to cure it."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.density import measure_density
from plans.hard import sunken
from plans.report.stiffness import stiffness_map
from plans.values import Density, HardPatch, Lay, Step, Stitches, Underlay
from tests.plans.sewout.pieces import Sewn, line, rows, sew, sized_of, turned, zigzag

SIZE_MM = (20.0, 20.0)
SIZED = sized_of([(27, 42, 74), (246, 244, 238)], SIZE_MM)
MIDDLE = (10.0, 10.0)


def base(turn_deg: float) -> Sewn:
    """Loose rows all over a square of 20 mm, at that stitch angle."""
    return turned(rows(-10, -10, 10, 10, pitch=0.3), turn_deg) + MIDDLE, "fill", 0, Lay.TOP


def column(at_y: float = 9.0, turn_deg: float = 0.0) -> Sewn:
    """A column 12 mm long and 2 mm wide; level, its stitches stand upright."""
    return turned(zigzag(4, at_y, 12, 2, spacing=0.4), turn_deg, MIDDLE), "column", 1, Lay.TOP


def measured(*sewn: Sewn) -> Density:
    return measure_density(*sew(sewn), SIZED)


def test_a_column_along_the_rows_beneath_is_named_with_its_place_and_cause() -> None:
    (spot,) = measured(base(90), column(12.0)).sunk
    assert spot.at_mm == pytest.approx((10.0, 13.0), abs=0.5)
    assert spot.because == "a column runs along the rows of the full fill right beneath it and sinks in between them"
    assert spot.layers == pytest.approx(24.0, rel=0.1)  # mm2 of the column
    assert spot.steps == (0, 1)


def test_the_turn_that_is_named_as_cure_does_what_it_says() -> None:
    """Applied as it stands: from what to what, in mm2."""
    for lying, on_it in ((90.0, [column()]), (60.0, [column(turn_deg=-30.0), column(3.0)])):
        before = measured(base(lying), *on_it).sunk
        found = re.search(r"turn the rows beneath from (\d+)° to (\d+)°: (\d+) to (\d+) mm² of all", before[0].cure)
        assert found
        was, turn, now, then = (float(part) for part in found.groups())
        assert was == lying
        after = measured(base(turn), *on_it)
        assert len(after.parallel) * 0.25 == pytest.approx(then, abs=2)
        assert then < now / 2
        assert len(measured(base(lying), *on_it).parallel) * 0.25 == pytest.approx(now, abs=1)


@settings(derandomize=True, deadline=None, max_examples=25)
@given(st.floats(0, 90))
def test_it_sinks_in_within_twenty_degrees_of_the_rows_and_not_beyond(off_deg: float) -> None:
    """A zigzag's stitches lean 6 degrees either way and cancel; within a degree of the limit either answer is right."""
    named = bool(measured(base(90 - off_deg), column()).sunk)
    if abs(off_deg - 20.0) > 1.0:
        assert named == (off_deg < 20.0)


@settings(derandomize=True, deadline=None, max_examples=12)
@given(st.floats(0, 180))
def test_turning_the_whole_piece_changes_nothing(turn_deg: float) -> None:
    sewn = [(turned(points, turn_deg, MIDDLE), kind, thread, lay) for points, kind, thread, lay in (base(90), column())]
    (spot,) = measured(*sewn).sunk
    assert spot.layers == pytest.approx(24.0, rel=0.15)


def test_what_no_turn_of_the_rows_keeps_up_is_to_be_carried() -> None:
    """Columns at twelve angles: wherever the rows lie, they run along one of them."""
    fan = [(turned(zigzag(12, 9, 7, 2, spacing=0.4), 30.0 * n, MIDDLE), "column", 1, Lay.TOP) for n in range(12)]
    spots = measured(base(90), *fan).sunk
    assert spots
    assert all(spot.cure == "lay an edge run and a zigzag under it, which lift it off the rows" for spot in spots)


def lifted(sewn: tuple[Stitches, tuple[Step, ...]], kind: str) -> tuple[HardPatch, ...]:
    """What sinks in once the last step has that underlay."""
    stitches, steps = sewn
    last = replace(steps[-1], sewing=replace(steps[-1].sewing, underlay=(Underlay(kind),)))
    return measure_density(stitches, (*steps[:-1], last), SIZED).sunk


def test_underlay_carries_a_column_clear_of_the_rows() -> None:
    """Common practice, no source: a zigzag or an edge run carries a column, a fan centre run does not."""
    sewn = sew([base(90), column()])
    assert not lifted(sewn, "zigzag")
    assert not lifted(sewn, "edge-run")
    assert lifted(sewn, "centre-run")


def test_a_running_line_sinks_in_along_the_rows_and_lies_on_them_across() -> None:
    def lying(turn_deg: float) -> bool:
        return bool(measured(base(turn_deg), (line((3, 10.1), (17, 10.1)), "running", 1, Lay.TOP)).sunk)

    assert lying(0)
    assert not lying(90)


def test_a_border_that_only_laps_over_an_edge_is_not_named() -> None:
    """Half a millimetre of a column 3 mm wide lies on the fill whose rows it follows."""
    edge: Sewn = (turned(zigzag(-10, -1.5, 20, 3.0), 90) + np.array([21.0, 10.0]), "column", 1, Lay.TOP)
    assert measured(base(0), edge).sunk == ()


def test_the_map_hatches_it_rings_it_and_the_report_tells_it_once() -> None:
    density = measured(base(90), column(4.0), column(9.0), column(14.0))
    drawn = stiffness_map(density, SIZE_MM, 3.0)
    (cause,) = sunken(density, SIZE_MM)
    assert drawn.count('class="hard" cx=') == 3
    (hatch,) = re.findall(r'class="sunk" d="([^"]+)"', drawn)
    assert hatch.count("M") == len(density.parallel) > 200
    assert "Step 2 on step 1 at the worst. Cure at the worst: turn the rows beneath from 90° to 0°" in cause.text
    assert cause.measure.endswith("mm² sunk in at 3 places, the worst upper middle, 10, 5 mm")
    assert 'class="sunk"' not in stiffness_map(measured(base(0), column()), SIZE_MM, 3.0)
