"""What a cure promises it brings: each is made by hand on a small piece and the place measured anew."""

from __future__ import annotations

import re

import numpy as np
import pytest

from plans.density import measure_density
from plans.density.window import over_window
from plans.values import Density, HardPatch, Lay
from tests.plans.sewout.pieces import Sewn, line, rows, sew, sized_of, turned, zigzag

THREADS = [(20, 40, 90), (200, 30, 40), (240, 240, 230), (10, 10, 10)]
TOLD = re.compile(r"([0-9.]+) to ([0-9.]+) (layers|needle points)")


def measured(*sewn: Sewn, cloth: str = "pique-knit") -> Density:
    return measure_density(*sew(sewn), sized_of(THREADS, (30.0, 30.0), cloth=cloth))


def worst(density: Density, unit: str) -> HardPatch:
    return next(patch for patch in density.hard_patches if patch.unit == unit)


def promised(patch: HardPatch) -> float:
    """What is left, by what the cure says."""
    found = TOLD.search(patch.cure)
    assert found
    return float(found.group(2))


def there(density: Density, patch: HardPatch) -> float:
    """Layers, or needle points for each mm2, in the 2 mm about a patch."""
    values = over_window(density.layers if patch.unit == "layers" else density.points, 2.0, density.cell_mm)
    column, row = ((at - low) / density.cell_mm for at, low in zip(patch.at_mm, density.origin_mm, strict=True))
    return float(values[int(row), int(column)])


def field(thread: int, pitch: float = 0.2) -> Sewn:
    return rows(0, 0, 30, 30, pitch=pitch), "fill", thread, Lay.TOP


@pytest.mark.parametrize(("half_mm", "misses"), [(7.0, 0.1), (1.5, 0.2)])
def test_a_fill_cut_out_under_its_cover_leaves_as_much_as_is_said(half_mm: float, misses: float) -> None:
    """A field of 14 mm on one of 30 mm, or a strip of 3 mm: its rows end 0.8 mm in from the edge of what hides them."""
    left, right = 15 - half_mm, 15 + half_mm
    over: Sewn = (rows(left, 8, right, 22), "fill", 1, Lay.TOP)
    patch = worst(measured(field(0), over, cloth="leather"), "layers")
    assert "cut the fill out beneath" in patch.cure
    low, high = 8.8, 21.2
    inner = (left + 0.8, right - 0.8)
    ring = [rows(0, 0, 30, low), rows(0, high, 30, 30), rows(0, low, inner[0], high), rows(inner[1], low, 30, high)]
    cut: list[Sewn] = [(points, "fill", 0, Lay.TOP) for points in ring]
    assert there(measured(*cut, over, cloth="leather"), patch) == pytest.approx(promised(patch), abs=misses)


def test_no_cut_is_named_where_its_own_edge_would_prick_as_often() -> None:
    """Two fields whose row ends meet: what is cut back still ends there."""
    close = 0.13
    sewn: list[Sewn] = [
        (rows(2, 2, 9, 16, pitch=close), "fill", 0, Lay.TOP),
        (rows(8.6, 2, 16, 16, pitch=close), "fill", 1, Lay.TOP),
    ]
    patch = worst(measured(*sewn, cloth="twill"), "points")
    assert "cut" not in patch.cure


def test_no_cut_is_named_under_columns_too_narrow_to_hide_one() -> None:
    """A column of 1.5 mm cannot hide an edge on either side that runs 0.8 mm under it."""
    crossing: list[Sewn] = [
        (turned(zigzag(-10, -0.75, 20, 1.5), turn) + 15, "column", thread, Lay.TOP)
        for turn, thread in ((0, 1), (90, 2))
    ]
    patch = worst(measured(field(0), *crossing, cloth="leather"), "layers")
    assert "cut the fill" not in patch.cure


def test_an_opened_fill_leaves_as_much_as_is_said() -> None:
    sewn = [(rows(0, 0, 30, 30), "fill", thread, Lay.TOP) for thread in range(3)]
    patch = worst(measured(*sewn), "layers")
    assert patch.cure.startswith("open the fill beneath to a loose base (0.60 mm)")
    after = measured(*(field(thread, 0.3) for thread in (0, 1)), field(2))
    assert there(after, patch) == pytest.approx(promised(patch), abs=0.1)


def test_underlay_left_out_leaves_as_much_as_is_said() -> None:
    sewn: list[Sewn] = [
        field(0),
        (rows(5, 5, 25, 25, pitch=1.0), "fill", 1, Lay.UNDERLAY),
        (rows(5, 5, 25, 25), "fill", 1, Lay.TOP),
    ]
    patch = worst(measured(*sewn, cloth="jersey"), "layers")
    assert patch.cure.startswith("leave out the upper underlay")
    assert there(measured(sewn[0], sewn[2], cloth="jersey"), patch) == pytest.approx(promised(patch), abs=0.05)


def test_ties_and_travel_moved_aside_leave_as_much_as_is_said() -> None:
    knots = np.tile(line((14, 15), (16, 15), 0.6), (9, 1))
    sewn: list[Sewn] = [field(0), (rows(5, 5, 25, 25, pitch=0.22), "fill", 1, Lay.TOP), (knots, "running", 2, Lay.TIE)]
    patch = worst(measured(*sewn), "layers")
    assert patch.cure.startswith("move ties and travel aside")
    assert there(measured(*sewn[:2]), patch) == pytest.approx(promised(patch), abs=0.1)


@pytest.mark.parametrize("pitch", [0.195, 0.197, 0.2])
def test_a_patch_hardly_over_its_limit_has_its_cure_as_well(pitch: float) -> None:
    """Three fields on each other are three layers, which twill bears just about."""
    third: Sewn = (rows(5, 5, 25, 25, pitch=pitch), "fill", 2, Lay.TOP)
    patch = worst(measured(field(0), field(1), third, cloth="twill"), "layers")
    assert 3.0 < patch.layers < 3.06
    assert patch.cure
