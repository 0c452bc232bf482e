"""Known faults are seen in the picture, and where the map can show them, in the map."""

from __future__ import annotations

import numpy as np

from analyse.values import Floats
from plans.density import measure_density
from plans.sewout import at_arms_length, draw_sewout, frame
from plans.sewout.strands import lay_strands
from plans.values import Lay
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


def test_detail_parallel_to_its_base_sinks_in() -> None:
    """Common practice, no source: a column laid along the rows beneath it sinks between them."""

    def white_share(turn: float) -> float:
        base = turned(rows(-9, -9, 9, 9, pitch=0.3), turn) + 10
        columns: list[Sewn] = [(zigzag(3, 4 + 5 * n, 14, 2, spacing=0.55), "column", 1, Lay.TOP) for n in range(3)]
        stitches, steps = sew([(base, "fill", 0, Lay.TOP), *columns])
        strands = lay_strands(stitches, steps, sized_of([NAVY, WHITE], (20.0, 20.0)))
        return float(strands.sunk[strands.thread == 1].mean())

    assert white_share(90) < 0.8
    assert white_share(0) > 0.98
