"""Density against hand geometry: what a fill lays on each square millimetre follows from its spacing alone."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.density import measure_density
from plans.values import Density, HardPatch, Lay
from tests.plans.sewout.pieces import Sewn, line, rows, sew, sized_of, turned, zigzag

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


def too_thick(density: Density) -> list[HardPatch]:
    """Patches of too many layers."""
    return [patch for patch in density.hard_patches if patch.unit == "layers"]


def crossing(cloth: str, **spacing: float) -> tuple[HardPatch, ...]:
    """Three columns that cross in the middle of a full fill."""
    columns = [turned(zigzag(-12, -1.5, 24, 3, **spacing), turn) + 15 for turn in (0, 60, 120)]
    sewn = [(rows(0, 0, 30, 30), "fill", 0, Lay.TOP), *((points, "column", 1, Lay.TOP) for points in columns)]
    sized = sized_of([(20, 40, 90), (200, 30, 40)], (30.0, 30.0), cloth=cloth)
    return measure_density(*sew(sewn), sized).hard_patches


def test_three_columns_over_a_fill_are_four_layers_and_named_so() -> None:
    (patch,) = crossing("twill")
    assert patch.layers == pytest.approx(4.0, abs=0.15)
    assert patch.at_mm == pytest.approx((15.0, 15.0), abs=0.5)
    assert patch.because == "three columns cross over a full fill"
    assert patch.steps == (0, 1, 2, 3)


def test_the_cure_brings_the_patch_to_what_the_cloth_bears() -> None:
    """4 layers on twill bear 3: taking the fill's own layer away is the change that does it."""
    (patch,) = crossing("twill")
    assert patch.cure.startswith("cut the fill out beneath: 4.0 to 3.0 layers here")
    assert patch.saves > 0


def test_a_single_layer_is_hard_on_no_cloth() -> None:
    sewn = sew([(rows(0, 0, 30, 30), "fill", 0, Lay.TOP)])
    for cloth in SIZED.trade.names("cloth"):
        assert measure_density(*sewn, sized_of([(0, 0, 0)], (30.0, 30.0), cloth=cloth)).hard_patches == ()


def test_harder_cloths_bear_what_soft_ones_do_not() -> None:
    """Twill bears 3 layers, jersey 2, leather 1.3: two stacked fills are hard on leather alone."""
    sewn = sew([(rows(0, 0, 20, 20), "fill", 0, Lay.TOP)] * 2)
    hard = {
        cloth: bool(too_thick(measure_density(*sewn, sized_of([(0, 0, 0)], (20.0, 20.0), cloth=cloth))))
        for cloth in ("twill", "pique-knit", "leather")
    }
    assert hard == {"twill": False, "pique-knit": False, "leather": True}


def test_fills_on_each_other_are_cured_by_opening_the_lower_one() -> None:
    sewn = sew([(rows(0, 0, 20, 20), "fill", thread, Lay.TOP) for thread in range(3)])
    sized = sized_of([(0, 0, 0), (200, 0, 0), (0, 0, 200)], (20.0, 20.0), cloth="pique-knit")
    patch = too_thick(measure_density(*sewn, sized))[0]
    assert patch.because == "three full fills lie on each other"
    assert patch.cure.startswith("open the fill beneath to a loose base (0.60 mm): 3.0 to 2.4 layers here")


def test_what_lies_on_its_own_colour_is_left_out_first() -> None:
    """Navy on a navy fill shows nothing that the fill does not, unless something of another colour lies between."""

    def cure(middle: int) -> str:
        sewn = sew([(rows(0, 0, 20, 20), "fill", thread, Lay.TOP) for thread in (0, middle, 0)])
        sized = sized_of([(20, 40, 90), (200, 0, 0)], (20.0, 20.0), cloth="pique-knit")
        return too_thick(measure_density(*sewn, sized))[0].cure

    assert cure(0).startswith("leave out what lies on its own colour")
    assert not cure(1).startswith("leave out")


def test_columns_side_by_side_meet_and_do_not_cross() -> None:
    """Three upright columns 1 mm wide, their edges overlapping by a third, over a full fill."""
    columns = [turned(zigzag(-12, -0.6, 24, 1.2), 90) + np.array([14.2 + 0.8 * n, 15.0]) for n in range(3)]
    sewn = [(rows(0, 0, 30, 30), "fill", 0, Lay.TOP), *((points, "column", 1, Lay.TOP) for points in columns)]
    sized = sized_of([(20, 40, 90), (200, 30, 40)], (30.0, 30.0), cloth="jersey")
    assert too_thick(measure_density(*sew(sewn), sized))[0].because == "three columns meet over a full fill"


def test_a_cure_by_needle_points_is_reckoned_in_needle_points() -> None:
    """Four narrow columns 0.6 mm apart: nothing crowds on itself, and no cure leaves fewer than no points."""
    narrow = [(zigzag(0, top, 15, 0.5, spacing=0.36), "column", 0, Lay.TOP) for top in (0.0, 0.6, 1.2, 1.8)]
    (patch,) = measure_density(*sew(narrow), sized_of([(0, 0, 0)], (15.0, 3.0), cloth="twill")).hard_patches
    assert "crowds" not in patch.because
    assert "split" not in patch.cure
    left = float(patch.cure.split(" to ")[1].split()[0])
    assert 0 <= left < patch.layers


def test_underlay_ties_and_travel_count_and_are_named() -> None:
    fill = rows(0, 0, 20, 20)
    sewn = sew([(rows(0, 0, 20, 20, pitch=0.4), "fill", 0, Lay.UNDERLAY), (fill, "fill", 0, Lay.TOP)])
    sized = sized_of([(0, 0, 0)], (20.0, 20.0), cloth="leather")
    patch = too_thick(measure_density(*sewn, sized))[0]
    assert patch.layers == pytest.approx(1.5, rel=0.05)
    assert "0.5 layers of underlay" in patch.because


def test_needle_points_over_nine_per_square_millimetre_are_a_patch_of_their_own() -> None:
    """Hand count: a 2 mm window holds seven of these edges, each with 1 / 0.36 points a mm: 9.7 per mm2."""
    narrow = [(zigzag(0, top, 15, 0.5, spacing=0.36), "column", 0, Lay.TOP) for top in (0.0, 0.6, 1.2, 1.8)]
    sized = sized_of([(0, 0, 0)], (15.0, 3.0), cloth="twill")
    density = measure_density(*sew(narrow), sized)
    assert density.needle_points_max == pytest.approx(7 / 0.36 * 2 / 4, rel=0.1)
    assert [patch.unit for patch in density.hard_patches] == ["points"]


def test_a_border_over_the_row_ends_of_two_fills_pricks_no_cloth_too_often() -> None:
    """The commonest edge there is. By hand, in a window of 2 mm: 10 points of the border, 11.5 of each fill."""
    fills: list[Sewn] = [(rows(0, 0, 12, 24), "fill", 0, Lay.TOP), (rows(12, 0, 24, 24), "fill", 0, Lay.TOP)]
    border: Sewn = (zigzag(0, -0.8, 24, 1.6)[:, ::-1] + np.array([12.0, 0.0]), "column", 1, Lay.TOP)
    sized = sized_of([(20, 40, 90), (0, 0, 0)], (24.0, 24.0), cloth="twill")
    density = measure_density(*sew([*fills, border]), sized)
    assert density.needle_points_max == pytest.approx(33 / 4, rel=0.05)
    assert not density.hard_patches


def test_where_holes_never_close_fewer_needle_points_are_borne() -> None:
    few = [(zigzag(0, top, 15, 0.5, spacing=0.5), "column", 0, Lay.TOP) for top in (0.0, 0.6, 1.2)]
    found = {
        cloth: measure_density(*sew(few), sized_of([(0, 0, 0)], (15.0, 3.0), cloth=cloth))
        for cloth in ("twill", "leather")
    }
    assert 5 < found["twill"].needle_points_max < 9
    assert not found["twill"].hard_patches
    assert found["leather"].hard_patches


def test_ties_and_trims_that_meet_are_a_lump_on_the_back() -> None:
    def tied_at(x: float) -> list[Sewn]:
        tie = np.array([[x, 5.0], [x + 0.6, 5.0], [x, 5.0], [x + 0.6, 5.0], [x, 5.0]])
        return [(tie, "running", 0, Lay.TIE), (line((x, 5), (x, 15)), "running", 0, Lay.TOP)]

    sized = sized_of([(0, 0, 0)], (40.0, 20.0))
    together = [piece for n in range(4) for piece in tied_at(5 + 0.3 * n)]
    apart = [piece for n in range(4) for piece in tied_at(5 + 8.0 * n)]
    lumps = measure_density(*sew(together), sized).back
    assert [lump.unit for lump in lumps] == ["knots"]
    assert lumps[0].at_mm == pytest.approx((5.5, 5.0), abs=1.2)
    assert measure_density(*sew(apart), sized).back == ()


@settings(derandomize=True, deadline=None, max_examples=15)
@given(st.floats(0, 180), st.floats(-30, 30), st.floats(-30, 30))
def test_density_turns_and_moves_with_the_piece(turn: float, x: float, y: float) -> None:
    points = rows(-10, -10, 10, 10)
    sewn = [
        measure_density(*sew([(one, "fill", 0, Lay.TOP)] * 2), SIZED)
        for one in (points, turned(points, turn) + np.array([x, y]))
    ]
    assert sewn[1].stacked_max == pytest.approx(sewn[0].stacked_max, rel=0.05)
    assert sewn[1].layers.sum() == pytest.approx(sewn[0].layers.sum(), rel=1e-9)


def test_a_finer_thread_covers_less() -> None:
    """Peirce: 60 weight is 0.155 mm thick where 40 weight is 0.20, so the same lines cover 0.775 of a layer."""
    sewn = sew([(rows(0, 0, 30, 30), "fill", 0, Lay.TOP)])
    fine = measure_density(*sewn, sized_of([(0, 0, 0)], (30.0, 30.0), thread="60"))
    assert inside(fine) == pytest.approx(0.155 / 0.20, rel=0.03)


def test_no_cure_is_named_that_hardly_helps() -> None:
    """Whatever is named takes at least a tenth of what is judged off the place, and says from what to what."""
    for layers in range(2, 6):
        sewn = sew([(rows(0, 0, 20, 20), "fill", thread, Lay.TOP) for thread in range(layers)])
        sized = sized_of([(40 * thread, 0, 0) for thread in range(layers)], (20.0, 20.0), cloth="leather")
        for patch in too_thick(measure_density(*sewn, sized)):
            found = re.search(r"([0-9.]+) to ([0-9.]+) layers here", patch.cure)
            assert found is None if not patch.cure else float(found[1]) - float(found[2]) >= 0.1 - 1e-9  # type: ignore[index]
