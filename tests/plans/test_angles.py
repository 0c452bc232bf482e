"""Angles of fills: off the long edge, off the neighbours, off the grain, off what lies on a base."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity, box

from analyse.trade import default_trade
from analyse.units import angle_between
from analyse.values import Shading
from plans.angles import Lie, fill_angles, runs_by_degree
from plans.job import Job
from plans.layers import Recipe, plan_sewings, survey
from plans.layers.ground import Ground
from plans.layers.lies import lies, twins
from plans.values import Sewing
from tests.drawing_fixture import Piece, crest, run, scaled_beast, sized, stroke

TRADE = default_trade()


def fills(pieces: list[Piece], recipe: str = "beside", cloth: str = "nylon") -> list[Sewing]:
    ground = survey(sized(pieces, cloth=cloth), Job())
    layout = plan_sewings(ground, Recipe("", recipe))  # type: ignore[arg-type]
    return [sewing for sewing in layout.sewings if sewing.kind == "fill"]


@pytest.mark.parametrize("turned_deg", [0, 20, 45, 77, 120, 160])
def test_rows_keep_off_a_bars_long_edge(turned_deg: float) -> None:
    bar = affinity.rotate(box(0, 0, 60, 12), -turned_deg, origin=(30, 30))
    (fill,) = fills([Piece("navy", bar, "fill")])
    assert angle_between(fill.angle_deg or 0.0, turned_deg) >= 20


def test_neighbouring_fills_differ_by_30_degrees() -> None:
    """Common practice, no source. A row of six blocks, and one across them all."""
    blocks = [Piece(("navy", "red")[i % 2], box(10 * i, 0, 10 * i + 10, 20), "fill") for i in range(6)]
    made = fills([*blocks, Piece("gold", box(0, 20, 60, 30), "fill")])
    angle = {sewing.part: sewing.angle_deg or 0.0 for sewing in made}
    touching = [(i, i + 1) for i in range(5)] + [(i, 6) for i in range(6)]
    assert all(angle_between(angle[a], angle[b]) >= 30 for a, b in touching)


@pytest.mark.parametrize("cloth", ["twill", "pique-knit", "jersey", "fleece"])
def test_fills_keep_15_degrees_off_the_grain(cloth: str) -> None:
    for fill in fills(crest(), cloth=cloth):
        assert all(angle_between(fill.angle_deg or 0.0, grain) >= 15 for grain in TRADE.cloth(cloth).avoid_deg)


@settings(derandomize=True, deadline=None, max_examples=25)
@given(st.integers(0, 35))
def test_a_base_lies_45_degrees_off_most_stitch_lines_and_30_off_most_lines_on_it(step: int) -> None:
    """Common practice, no source: thread sinks between rows it lies along."""
    turn = np.radians(step * 5)
    far = (20 * np.cos(turn), -20 * np.sin(turn))
    columns = runs_by_degree((run([(0, 0), far], 2.0),), across=True)
    lines = runs_by_degree((run([(0, 0), far], 0.4),), across=False)
    round_about = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    edge = np.column_stack([np.cos(round_about), np.sin(round_about)])
    lie = Lie(edge, np.full(90, 1.0), columns, np.zeros(180))
    (angle,) = fill_angles((lie,), np.zeros((1, 1)), TRADE, ())
    assert angle_between(angle, step * 5 + 90) >= 45
    (angle,) = fill_angles((Lie(edge, np.full(90, 1.0), np.zeros(180), lines),), np.zeros((1, 1)), TRADE, ())
    assert angle_between(angle, step * 5) >= 30


def test_the_practitioners_angle_stands_and_the_neighbour_gives_way() -> None:
    edge = np.array([[0.0, 1.0], [1.0, 0.0]])
    free = Lie(edge, np.ones(2), np.zeros(180), np.zeros(180))
    fixed = Lie(edge, np.ones(2), np.zeros(180), np.zeros(180), fixed_deg=33.0)
    touching = np.array([[0.0, 5.0], [5.0, 0.0]])
    one, two = fill_angles((fixed, free), touching, TRADE, ())
    assert one == 33.0
    assert angle_between(one, two) >= 30


def test_pieces_that_read_as_one_field_share_their_angle() -> None:
    pieces = [Piece("tan", box(0, 0, 60, 30), "fill")]
    pieces += [stroke("black", [(x, 0), (x, 30)], 0.4, inside=0) for x in (15, 30, 45)]
    ground = Ground(survey(sized(pieces), Job()), Recipe("", "beside"))
    assert len({ground.angle_of(part) for part, drawn in enumerate(ground.parts) if drawn.kind == "fill"}) == 1


def test_the_beasts_base_lies_off_its_mane_and_its_scales() -> None:
    drawing = sized(scaled_beast())
    (base,) = fills(scaled_beast(), "base")
    mane = [part for part in drawing.parts if part.family == "mane"]
    lines = runs_by_degree(tuple(spine for part in mane for spine in part.spines), across=True)
    near = [lines[d] for d in range(180) if angle_between(d, base.angle_deg or 0.0) < 45]
    assert sum(near) < 0.5 * lines.sum()


def test_a_pair_of_wings_shares_one_angle_that_suits_both() -> None:
    """Common practice, no source: one colour at one angle looks the same on both; rows keep off every long edge."""
    wing = shapely.Polygon([(0, 0), (8, 0), (30, 30), (22, 30)])
    other = affinity.scale(wing, -1, 1, origin=(30, 0))
    one, two = fills([Piece("navy", wing, "fill"), Piece("navy", other, "fill")])
    assert one.angle_deg == two.angle_deg
    long_edge = np.degrees(np.arctan2(30, 22))
    assert min(angle_between(one.angle_deg or 0.0, edge) for edge in (long_edge, 180 - long_edge)) >= 20


def test_the_steps_of_a_shading_share_one_angle() -> None:
    """Common practice, no source: rows that run on from step to step make one surface of them."""
    colours = ("gold", "red", "navy")
    flat = sized([Piece(colour, box(12 * i, 0, 12 * i + 12, 30), "fill") for i, colour in enumerate(colours)])
    shaded = replace(flat, drawing=replace(flat.drawing, shadings=(Shading((0, 1, 2), 40.0, "a shading"),)))
    angles = [Ground(survey(each, Job()), Recipe("", "beside")).angles for each in (flat, shaded)]
    assert [len(set(found)) > 1 for found in angles] == [True, False]


def test_halves_of_another_colour_and_shapes_that_only_resemble_choose_for_themselves() -> None:
    wing = shapely.Polygon([(2, 0), (28, 8), (26, 30), (6, 24)])
    for piece in (
        Piece("red", affinity.scale(wing, -1, 1, origin=(30, 0)), "fill"),
        Piece("navy", affinity.translate(wing, 32, 0), "fill"),
    ):
        assert twins(survey(sized([Piece("navy", wing, "fill"), piece]), Job())) == (None, None)


def test_a_column_counts_where_the_body_lies_on_both_sides_of_it() -> None:
    """A vein that begins as the border of a leaf counts only from where it runs into it."""
    body = box(0, 0, 40, 30).difference(box(0, 14, 20, 16))
    vein = stroke("black", [(-20, 15), (20, 15)], 2.0)
    ground = survey(sized([Piece("navy", body, "fill"), vein]), Job())
    (lie,) = lies(ground)
    assert lie.columns.sum() == pytest.approx(20, abs=1.5)
    assert lie.columns[90] == pytest.approx(lie.columns.sum())
