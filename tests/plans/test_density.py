"""Density against hand geometry: what a fill lays on each square millimetre follows from its spacing alone."""

from __future__ import annotations

import numpy as np
import pytest

from plans.density import measure_density
from plans.values import Density, Lay
from tests.plans.sewout.pieces import rows, sew, sized_of

SIZED = sized_of([(20, 40, 90)], (30.0, 30.0))


def inside(density: Density, margin_mm: float = 3.0) -> float:
    """Mean layers of a 30 mm square, away from its edges."""
    x = density.origin_mm[0] + (np.arange(density.layers.shape[1]) + 0.5) * density.cell_mm
    y = density.origin_mm[1] + (np.arange(density.layers.shape[0]) + 0.5) * density.cell_mm
    held = np.ix_((y > margin_mm) & (y < 30 - margin_mm), (x > margin_mm) & (x < 30 - margin_mm))
    return float(density.layers[held].mean())


@pytest.mark.parametrize(("times", "layers"), [(1, 1.0), (2, 2.0)])
def test_fills_stacked_read_their_number_of_layers(times: int, layers: float) -> None:
    stitches, steps = sew([(rows(0, 0, 30, 30), "fill", 0, Lay.TOP)] * times)
    density = measure_density(stitches, steps, SIZED)
    assert inside(density) == pytest.approx(layers, rel=0.03)
    assert density.stacked_max == pytest.approx(layers, rel=0.05)


def test_doubled_spacing_halves_the_cover() -> None:
    single, double = (
        inside(measure_density(*sew([(rows(0, 0, 30, 30, pitch=pitch), "fill", 0, Lay.TOP)]), SIZED))
        for pitch in (0.2, 0.4)
    )
    assert double == pytest.approx(single / 2, rel=0.01)


def test_the_sum_over_the_grid_is_the_thread_laid() -> None:
    points = rows(0, 0, 30, 30)
    stitches, steps = sew([(points, "fill", 0, Lay.TOP), (points[::-1] + 40, "fill", 0, Lay.UNDERLAY)])
    density = measure_density(stitches, steps, SIZED)
    laid = 2 * np.hypot(*np.diff(points, axis=0).T).sum()
    assert density.layers.sum() * density.cell_mm**2 * 5.0 == pytest.approx(laid, rel=1e-9)
    assert density.points.sum() * density.cell_mm**2 == pytest.approx(2 * (len(points) - 1), rel=1e-9)
