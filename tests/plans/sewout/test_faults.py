"""Known faults are seen in the picture, and where the map can show them, in the map."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analyse.values import Floats
from plans.density import measure_density
from plans.report.stiffness import stiffness_map
from plans.sewout import at_arms_length, draw_sewout, frame
from plans.sewout.strands import lay_strands
from plans.values import Lay, Step, Stitches, Underlay
from tests.plans.sewout.pieces import Sewn, rows, sew, sized_of, turned, zigzag

DPI = 200
NAVY, WHITE = (27, 42, 74), (246, 244, 238)


def seen(sewn: list[Sewn], size_mm: tuple[float, float], box_mm: tuple[float, float, float, float]) -> Floats:
    """(H, W) green of the sew-out at arm's length within left, top, right, bottom; white cloth."""
    stitches, steps = sew(sewn)
    sized = sized_of([NAVY, WHITE], size_mm, cloth_rgb=(255, 255, 255))
    place = frame(sized, stitches)
    picture = at_arms_length(draw_sewout(stitches, steps, sized, dpi=DPI), DPI)
    left, top, right, bottom = (
        round((value - (place.left_mm, place.top_mm)[index % 2]) * DPI / 25.4) for index, value in enumerate(box_mm)
    )
    return picture[top:bottom, left:right, 1].astype(np.float64)


def test_a_gap_between_neighbours_shows_the_cloth() -> None:
    def lightest(gap_mm: float) -> float:
        sewn: list[Sewn] = [
            (rows(0, 0, 10, 16), "fill", 0, Lay.TOP),
            (rows(10 + gap_mm, 0, 20, 16), "fill", 0, Lay.TOP),
        ]
        return float(seen(sewn, (20.0, 16.0), (8, 4, 12, 12)).mean(axis=0).max())

    assert lightest(1.0) > 120
    assert lightest(-0.5) < 80


def test_a_counter_that_closes_is_seen_closed() -> None:
    """A ring of columns: 2 mm from needle to needle stay open, 0.1 mm is as good as gone at arm's length."""

    def opening(wide_mm: float) -> float:
        half, bar = wide_mm / 2, 1.6
        sewn: list[Sewn] = [
            (zigzag(0, 0, 2 * bar + wide_mm, bar), "column", 0, Lay.TOP),
            (zigzag(0, bar + wide_mm, 2 * bar + wide_mm, bar), "column", 0, Lay.TOP),
            (zigzag(bar, 0, wide_mm, bar)[:, ::-1], "column", 0, Lay.TOP),
            (zigzag(bar, bar + wide_mm, wide_mm, bar)[:, ::-1], "column", 0, Lay.TOP),
        ]
        middle = bar + half
        box = (middle - 0.2, middle - 0.2, middle + 0.2, middle + 0.2)
        return float(seen(sewn, (6.0, 6.0), box).mean())

    assert opening(2.0) > 220
    assert opening(0.1) < 0.6 * opening(2.0)


def test_too_dense_shows_in_the_map_and_stands_proud_in_the_picture() -> None:
    stack: list[Sewn] = [(rows(4, 4, 14, 14), "fill", 0, Lay.TOP)] * 4
    stitches, steps = sew(stack)
    density = measure_density(stitches, steps, sized_of([NAVY], (18.0, 18.0)))
    assert any(patch.unit == "layers" for patch in density.hard_patches)
    beside = (14.3, 12, 14.8, 14)
    assert seen(stack, (18.0, 18.0), beside).mean() < seen(stack[:1], (18.0, 18.0), beside).mean() - 3


def test_cloth_puckers_round_what_is_too_dense_and_lies_flat_round_the_rest() -> None:
    """Folds run out from the patch: along a line 2 mm off its edge light and shade change; 18 mm off they are gone."""

    def unrest(times: int, off_mm: float) -> float:
        stitches, steps = sew([(rows(10, 10, 24, 24), "fill", 0, Lay.TOP)] * times)
        sized = sized_of([NAVY], (40.0, 34.0), cloth_rgb=(255, 255, 255))
        place = frame(sized, stitches)
        picture = draw_sewout(stitches, steps, sized, dpi=DPI)[..., 1].astype(np.float64)
        column = round((24 + off_mm - place.left_mm) * DPI / 25.4)
        top, bottom = (round((at - place.top_mm) * DPI / 25.4) for at in (11, 23))
        band = picture[top:bottom, column - 4 : column + 4].mean(axis=1)
        return float(np.convolve(band, np.full(9, 1 / 9), "valid").std())

    assert unrest(4, 2.0) > 2 * unrest(2, 2.0)
    assert unrest(2, 2.0) == pytest.approx(unrest(1, 2.0), rel=0.25)
    assert unrest(4, 18.0) == pytest.approx(unrest(1, 18.0), rel=0.25)


def test_stitches_ride_over_each_other_where_nothing_holds_them() -> None:
    """Twill bears three layers: two lie as sewn, of four the last lie across each other."""

    def lean(times: int) -> float:
        stitches, steps = sew([(rows(4, 4, 18, 18), "fill", 0, Lay.TOP)] * times)
        strands = lay_strands(stitches, steps, sized_of([NAVY], (22.0, 22.0)))
        last = strands.step == times - 1
        run = (strands.end - strands.start)[last]
        long = np.hypot(*run.T) > 2
        return float(np.degrees(np.abs(np.arctan(run[long, 1] / run[long, 0]))).mean())

    assert lean(2) < 1.1 * lean(1)
    assert lean(4) > 2 * lean(1)


def columns_on_rows(turn: float) -> tuple[Stitches, tuple[Step, ...]]:
    """Three columns on a base whose rows are turned by so many degrees: by 90 they run the columns' stitches' way."""
    base = turned(rows(-9, -9, 9, 9, pitch=0.3), turn) + 10
    columns: list[Sewn] = [(zigzag(3, 4 + 5 * n, 14, 2, spacing=0.55), "column", 1, Lay.TOP) for n in range(3)]
    return sew([(base, "fill", 0, Lay.TOP), *columns])


def test_detail_parallel_to_its_base_sinks_in() -> None:
    """Common practice, no source: a column laid along the rows beneath it sinks between them."""

    def white_share(turn: float) -> float:
        stitches, steps = columns_on_rows(turn)
        strands = lay_strands(stitches, steps, sized_of([NAVY, WHITE], (20.0, 20.0)))
        return float(strands.sunk[strands.thread == 1].mean())

    assert white_share(90) < 0.8
    assert white_share(0) > 0.98


def test_detail_parallel_to_its_base_shows_in_the_map() -> None:
    """The map marks what the picture shows sunk: the same columns, on rows that run their way and across it."""

    def marks(turn: float) -> int:
        stitches, steps = columns_on_rows(turn)
        density = measure_density(stitches, steps, sized_of([NAVY, WHITE], (20.0, 20.0)))
        return stiffness_map(density, (20.0, 20.0), 3.0).count('class="hard" cx=')

    assert marks(90) == 3
    assert marks(0) == 0


@pytest.mark.parametrize(("off_deg", "shown"), [(0, 0.75), (10, 0.92)])
def test_the_picture_sinks_what_the_trade_says_sinks(off_deg: float, shown: float) -> None:
    """density.parallel_within: up to 20 degrees off the rows beneath stitches sink in, beyond it they stay up."""
    assert shown_of(90 - off_deg) < shown


@pytest.mark.parametrize("off_deg", [21, 25, 30, 38, 45, 90])
def test_the_picture_keeps_up_what_the_trade_says_stays_up(off_deg: float) -> None:
    assert shown_of(90 - off_deg) > 0.98


@pytest.mark.parametrize(
    ("kind", "lifts"), [("edge-run", True), ("zigzag", True), ("rows", True), ("nap-rows", True), ("centre-run", False)]
)
def test_an_underlay_of_its_own_carries_a_column_clear_of_the_rows(kind: str, lifts: bool) -> None:
    """A run along the middle carries nothing: the column's sides hang free beside it."""
    assert (shown_of(90, Underlay(kind)) > 0.98) == lifts


def shown_of(turn: float, *underlay: Underlay) -> float:
    """Share of their width that columns show on rows turned by so many degrees; at 90 they run the columns' way."""
    stitches, steps = columns_on_rows(turn)
    steps = tuple(replace(step, sewing=replace(step.sewing, underlay=underlay)) for step in steps)
    strands = lay_strands(stitches, steps, sized_of([NAVY, WHITE], (20.0, 20.0)))
    return float(np.median(strands.sunk[strands.thread == 1]))
