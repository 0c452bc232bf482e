"""What lies under what in each approach: common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Point, box

from analyse.trade import default_trade
from plans.job import Job
from plans.layers import Layout, Recipe, Survey, plan_sewings, survey
from plans.values import Sewing
from tests.drawing_fixture import Piece, colour_named, crest, ring, run, scaled_beast, sized, stroke

BASE, STACKED, BESIDE = Recipe("b", "base"), Recipe("s", "stacked"), Recipe("a", "beside")


def planned(pieces: list[Piece], recipe: Recipe, **more: object) -> tuple[Survey, Layout]:
    ground = survey(sized(pieces, **more), Job())  # type: ignore[arg-type]
    return ground, plan_sewings(ground, recipe)


def test_a_body_cut_up_by_lines_is_one_field_with_the_lines_on_it() -> None:
    ground, _ = planned(scaled_beast(), BASE)
    parts = ground.sized.parts
    main = ground.fields[0]
    assert sum(part.kind == "fill" for part in parts) > 1
    assert {ground.field_of[i] for i, part in enumerate(parts) if part.kind == "fill" and part.outline_mm.area > 4} == {
        0
    }
    assert {parts[i].family for i in main.detail} == {"scales", "mane"}


def test_a_base_lies_as_one_shape_beneath_its_detail() -> None:
    ground, layout = planned(scaled_beast(), BASE)
    bases = [sewing for sewing in layout.sewings if sewing.role == "base"]
    assert len(bases) == 1
    for part in ground.fields[0].detail:
        outline = ground.sized.parts[part].outline_mm
        assert bases[0].shape.buffer(0.05).contains(outline)
    assert bases[0].spacing_mm in (0.5, 0.6)


def test_columns_on_a_base_are_open_and_say_so() -> None:
    _, layout = planned(scaled_beast(), BASE)
    mane = [sewing for sewing in layout.sewings if sewing.kind == "column" and sewing.role == "detail"]
    assert mane
    assert all(sewing.over_base and sewing.spacing_mm > 0.42 for sewing in mane)


@pytest.mark.parametrize("recipe", [BASE, STACKED, BESIDE])
def test_the_stack_is_a_body_one_layer_of_columns_and_running_line(recipe: Recipe) -> None:
    _, layout = planned(crest(), recipe)
    places = [Point(x, y) for x in range(2, 60, 3) for y in range(2, 68, 3)]
    for place in places:
        over = [sewing for sewing in layout.sewings if sewing.shape.contains(place)]
        assert sum(sewing.kind == "column" and sewing.role == "detail" for sewing in over) <= 1
        if recipe is BASE:
            assert sum(sewing.role == "base" for sewing in over) <= 1


def test_no_base_on_leather() -> None:
    _, layout = planned(scaled_beast(), BASE, cloth="leather")
    assert not [sewing for sewing in layout.sewings if sewing.role == "base" or sewing.over_base]
    assert all(sewing.passes < 3 for sewing in layout.sewings)


@pytest.mark.parametrize(("apart_mm", "kind"), [(6.0, "column"), (1.8, "running")])
def test_a_column_without_room_for_its_cloths_shortest_stitch_is_a_running_line(apart_mm: float, kind: str) -> None:
    """1.1 mm on leather, which bears no stitch under 1.5 mm: 0.7 mm beside it leave 1.3 mm at most."""
    lines = [stroke("red", [(0, y), (40, y)], 1.1) for y in (0.0, apart_mm)]
    _, layout = planned(lines, BESIDE, cloth="leather")
    assert [sewing.kind for sewing in layout.sewings] == [kind, kind]
    assert all(("shortest stitch" in sewing.why) == (kind == "running") for sewing in layout.sewings)


def test_no_base_where_one_column_covers_most_of_the_shape() -> None:
    wide = [Piece("tan", box(0, 0, 10, 40), "fill"), stroke("gold", [(5, 2), (5, 38)], 7.0, inside=0)]
    narrow = [Piece("tan", box(0, 0, 10, 40), "fill"), stroke("gold", [(5, 2), (5, 38)], 2.5, inside=0)]
    assert not [s for s in planned(wide, BASE)[1].sewings if s.role == "base"]
    assert [s for s in planned(narrow, BASE)[1].sewings if s.role == "base"]


def test_a_base_is_cut_out_under_a_wide_column_of_strong_contrast() -> None:
    def middle_is_based(colour: str, width_mm: float) -> bool:
        pieces = [
            Piece("navy", box(0, 0, 40, 40), "fill"),
            stroke(colour, [(20, 3), (20, 37)], width_mm, inside=0),
            stroke("black", [(8, 4), (8, 36)], 0.4, inside=0),
        ]
        (base,) = [s for s in planned(pieces, BASE)[1].sewings if s.role == "base"]
        return bool(base.shape.contains(Point(20, 20)))

    assert not middle_is_based("white", 4.0)
    assert middle_is_based("white", 2.5)
    assert middle_is_based("black", 4.0)


def test_no_base_under_small_lettering() -> None:
    letters = [stroke("gold", [(x, 5), (x, 5 + tall)], 1.2, inside=0, hint="letter") for x, tall in ((8, 5), (20, 8))]
    line = stroke("black", [(30, 4), (30, 26)], 0.4, inside=0)
    _, layout = planned([Piece("navy", box(0, 0, 40, 30), "fill"), *letters, line], BASE)
    based = {round(s.shape.bounds[3] - s.shape.bounds[1]): s.over_base for s in layout.sewings if s.kind == "column"}
    assert based == {5: False, 8: True}


def test_stacked_bodies_are_closed_but_for_holes_that_show_the_cloth() -> None:
    disc = Point(30, 30).buffer(30, 32).difference(Point(30, 45).buffer(5))
    pieces = [Piece("navy", disc, "fill"), Piece("red", box(15, 15, 45, 30), "fill", inside=0)]
    _, layout = planned(pieces, STACKED)
    body = max((s for s in layout.sewings), key=lambda s: s.shape.area)
    assert body.shape.contains(Point(30, 22))
    assert not body.shape.contains(Point(30, 45))


def test_side_by_side_bodies_stop_under_what_closes_them() -> None:
    pieces = [Piece("navy", Point(30, 30).buffer(30, 32), "fill"), Piece("red", box(15, 15, 45, 45), "fill", inside=0)]
    _, layout = planned(pieces, BESIDE)
    outer = max((s for s in layout.sewings), key=lambda s: s.shape.area)
    assert not outer.shape.contains(Point(30, 30))
    turn = np.radians(outer.angle_deg or 0.0)  # an ellipse of 0.8 mm along the stitches and 0.4 mm across them
    across, along = (
        np.hypot(0.8 * a, 0.4 * b) for a, b in ((np.sin(turn), np.cos(turn)), (np.cos(turn), np.sin(turn)))
    )
    corners = 4 * across * along
    under = outer.shape.intersection(box(15, 15, 45, 45)).area
    assert under == pytest.approx(2 * 30 * (across + along) - corners, rel=0.02)


def test_what_lies_under_is_sewn_before_what_lies_over() -> None:
    pieces = [
        Piece("navy", Point(30, 30).buffer(28, 32), "fill"),
        stroke("gold", [(20, 20), (40, 40)], 2.0, inside=0),
        ring("gold", (30, 30), 28, 2.0, hint="outline"),
    ]
    _, layout = planned(pieces, STACKED)
    role = [sewing.role for sewing in layout.sewings]
    order = {(role[a], role[b]) for a, b in layout.before}
    assert order == {("body", "detail"), ("body", "border")}


def test_line_work_is_running_line_and_narrow_columns_only() -> None:
    _, layout = planned(crest(), Recipe("l", "lines"))
    assert {sewing.kind for sewing in layout.sewings} <= {"running", "column"}
    widths = [sewing.spines[0].line[:, 2].mean() for sewing in layout.sewings if sewing.kind == "column"]
    assert max(widths) <= 2.0 + 1e-9


def test_a_base_ends_03_short_of_an_edge_that_columns_finish() -> None:
    """Ribs from the middle of a bar out to its edge: their ends, not the base, make the outline."""
    pieces = [Piece("tan", box(0, 0, 40, 12), "fill")]
    pieces += [stroke("gold", [(x, 3), (x, 12)], 2.0, inside=0) for x in (8, 20, 32)]
    _, layout = planned(pieces, BASE)
    (base,) = [sewing for sewing in layout.sewings if sewing.role == "base"]
    assert not base.shape.contains(Point(20, 11.8))
    assert base.shape.contains(Point(20, 11.6))
    assert base.shape.contains(Point(14, 11.9))


def test_what_strands_leave_of_a_body_is_sewn_with_the_body() -> None:
    """Strands across a band cut it into strips of 1 mm: body, not columns of the body's own colour."""
    body, strands = box(0, 0, 40, 10), [(x, 1) for x in np.arange(4.0, 37.0, 3.0)]
    pieces = [Piece("navy", body, "fill")]
    strips = [stroke("navy", [(x + 1.5, 1), (x + 1.5, 9)], 1.0, inside=0) for x, _ in strands[:-1]]
    pieces += strips
    pieces += [stroke("gold", [(x, 1), (x, 9)], 2.0, inside=0, family="rope", hint="texture") for x, _ in strands]
    for recipe in (BASE, STACKED, BESIDE):
        ground, layout = planned(pieces, recipe)
        parts = ground.sized.parts
        narrow = [i for i, part in enumerate(parts) if part.kind == "column" and part.colour == parts[0].colour]
        assert len(narrow) == len(strips)
        (sewing,) = [one for one in layout.sewings if one.kind == "fill"]
        assert set(narrow) <= {sewing.part, *sewing.also}
        assert all(sewing.shape.buffer(0.01).contains(parts[i].outline_mm) for i in narrow)


def test_the_counter_of_a_letter_is_the_ground_it_stands_on() -> None:
    letter = ring("white", (20, 20), 2.2, 1.2, hint="letter", family="line-1")
    counter = Piece("navy", Point(20, 20).buffer(1.6, 32), "column", (run([(18.8, 20), (21.2, 20)], 3.2),), inside=1)
    for recipe in (BASE, STACKED, BESIDE):
        _, layout = planned([Piece("navy", box(0, 0, 40, 40), "fill"), letter, counter], recipe)
        assert [sewing.kind for sewing in layout.sewings if sewing.shape.contains(Point(20, 20))] == ["fill"]


def test_a_tail_that_runs_out_over_the_cloth_stays_a_column() -> None:
    pieces = [Piece("tan", box(0, 0, 20, 20), "fill"), stroke("tan", [(20, 10), (38, 10)], 3.0)]
    _, layout = planned(pieces, BESIDE)
    assert sorted(sewing.kind for sewing in layout.sewings) == ["column", "fill"]


def test_two_bodies_that_end_beneath_one_border_do_not_wait_for_each_other() -> None:
    outer = box(0, 0, 60, 60).difference(Point(30, 30).buffer(20, 48))
    pieces = [
        Piece("navy", outer, "fill"),
        Piece("white", Point(30, 30).buffer(18.5, 48), "fill"),
        ring("gold", (30, 30), 19.25, 1.5, hint="outline"),
    ]
    _, layout = planned(pieces, BESIDE)
    kinds = {index: sewing.kind for index, sewing in enumerate(layout.sewings)}
    assert layout.before
    assert all(kinds[high] == "column" for _, high in layout.before)


def ticked(ticks: int, **more: object) -> Sewing:
    """The body of a plate with so many ticks on it, 2.0 of each 2.4 mm; the one fill of its layout."""
    pieces = [Piece("tan", box(0, 0, 40, 12), "fill")]
    pieces += [stroke("black", [(3 + 2.4 * n, 1), (3 + 2.4 * n, 11)], 2.0, inside=0) for n in range(ticks)]
    _, layout = planned(pieces, BASE, **more)
    (body,) = [sewing for sewing in layout.sewings if sewing.kind == "fill"]
    return body


def test_a_base_that_is_mostly_seen_covers_and_says_so_and_a_hidden_one_holds_the_cloth() -> None:
    seen, hidden = ticked(1), ticked(8)
    assert "seen between them: rows near enough to cover" in seen.why
    assert "it holds the cloth" in hidden.why
    trade = default_trade()
    for thread in ("40", "60"):
        body = ticked(1, thread=thread)
        assert body.spacing_mm / 2 <= float(trade.value("thread.strand_flat", thread=thread))  # strands side by side


def test_a_seen_base_stays_open_only_over_cloth_of_its_own_colour() -> None:
    from_white, from_own = ticked(1), ticked(1, cloth_rgb=tuple(colour_named("tan").rgb))
    assert from_white.spacing_mm == 0.5
    assert from_own.spacing_mm == 0.6
    assert "the cloth between them is of its colour" in from_own.why


@pytest.mark.parametrize(("ticks", "covers"), [(1, True), (15, False)])
def test_no_loop_comes_up_through_a_base_that_is_seen(ticks: int, covers: bool) -> None:
    """Towelling: what is seen of a body is sewn as a top fill is, with all of its underlay."""
    body = ticked(ticks, cloth="towelling")
    assert (body.role == "body") == covers
    assert (body.spacing_mm == default_trade().value("fill.spacing")) == covers
    assert len(body.underlay) == (4 if covers else 3)
