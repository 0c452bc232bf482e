"""Thread between sewings is out of sight, or short: whatever finds the ways, the shapes and colours say so."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, Point, box

from plans.approaches import named
from plans.job import Job
from plans.lay import lay
from plans.layers import Recipe, plan_sewings, survey
from plans.order.cover import Cover, Grid, _cells_of
from plans.values import LaidPlan, Lay, Move, Stitches
from tests.drawing_fixture import Piece, bold_mark, crest, ring, run, scaled_beast, sized, stroke
from tests.plans.order.shown import links, shown_mm

GRID_MM = 0.25
"""Ways are found on a grid of this step: so much is not known better."""


def laid(pieces: list[Piece], approach: str, **more: object) -> LaidPlan:
    return lay(survey(sized(pieces, **more), Job()), named(approach))  # type: ignore[arg-type]


def jumps_mm(stitches: Stitches) -> np.ndarray:
    rows = np.flatnonzero(stitches.move == Move.JUMP)[1:]
    return np.asarray(np.hypot(*(stitches.xy[rows] - stitches.xy[rows - 1]).T))


@pytest.mark.parametrize("approach", ["side-by-side", "stacked", "base-and-detail"])
@pytest.mark.parametrize("pieces", [crest, scaled_beast, bold_mark])
def test_no_way_shows_for_more_than_is_left_uncut(pieces: object, approach: str) -> None:
    """Common practice: a connector longer than 2 mm is cut where it would show."""
    drawing = sized(pieces())  # type: ignore[operator]
    plan = lay(survey(drawing, Job()), named(approach))
    found = [(number, shown_mm(plan, number, way, drawing.drawing.palette)) for number, way in links(plan)]
    assert found or len(plan.steps) < 3
    assert [(number, shown) for number, shown in found if shown > 2.0 + GRID_MM] == []


def test_no_thread_is_left_lying_for_more_than_2_mm() -> None:
    for approach in ("side-by-side", "base-and-detail"):
        assert jumps_mm(laid(crest(), approach).stitches).max(initial=0.0) <= 2.0 + 1e-6


def two_bars_under(colour: str, **more: object) -> LaidPlan:
    """Two gold bars 8 mm apart, and a block of a colour that both run beneath."""
    bars = [stroke("gold", [(x, 10), (x, 30)], 2.0) for x in (5, 17)]
    return laid([*bars, Piece(colour, box(0, 16, 22, 24), "fill")], "side-by-side", **more)


def trims_between(plan: LaidPlan, first: int, second: int) -> int:
    own = [number for number, step in enumerate(plan.steps) if step.sewing.part in (first, second)]
    return sum(plan.steps[number].trim_before for number in range(min(own) + 1, max(own) + 1))


def test_thread_goes_from_letter_to_letter_without_a_cut_where_they_nearly_touch() -> None:
    letters = [stroke("navy", [(x, 5), (x, 12)], 1.5, hint="letter", family="line-1") for x in (5, 8, 11)]
    plan = laid(letters, "side-by-side")
    assert plan.estimate.trims == 0


def test_thread_is_cut_between_letters_that_stand_apart() -> None:
    letters = [stroke("navy", [(x, 5), (x, 12)], 1.5, hint="letter", family="line-1") for x in (5, 12, 19)]
    plan = laid(letters, "side-by-side")
    assert plan.estimate.trims == 2


def spots_on_a_ground(ground: str, spots: str) -> LaidPlan:
    """Two short bars 12 mm apart on a disc."""
    bars = [stroke(spots, [(x, 17), (x, 23)], 2.0, inside=0) for x in (14, 26)]
    return laid([Piece(ground, Point(20, 20).buffer(18, 32), "fill"), *bars], "stacked")


def test_dark_thread_is_cut_over_a_light_ground_and_light_thread_over_a_dark_one() -> None:
    assert spots_on_a_ground("white", "navy").estimate.trims == 2
    assert spots_on_a_ground("navy", "white").estimate.trims == 2


def between_bars(over: str, bars: str) -> LaidPlan:
    """Two bars that touch a third one, 14 mm long, which lies over both of them: a way runs beneath it."""
    pieces = [stroke(bars, [(x, 5), (x, 12)], 2.0) for x in (6, 18)]
    return laid([*pieces, stroke(over, [(4, 13), (20, 13)], 2.4)], "side-by-side")


def test_light_thread_travels_beneath_what_darker_thread_closes_later() -> None:
    assert between_bars("navy", "gold").estimate.trims == 1


def test_dark_thread_never_travels_beneath_light() -> None:
    """The light bar is sewn first, so the dark ones have nothing left to hide under."""
    assert between_bars("white", "navy").estimate.trims == 2


def test_a_ring_is_a_way_from_what_touches_it_to_what_touches_it() -> None:
    """Four gold bars inside a gold ring, each touching it: no cut, since half the ring is no longer than 25 mm."""
    bars = [stroke("gold", [(20 + dx * 2.4, 20 + dy * 2.4), (20 + dx * 5.4, 20 + dy * 5.4)], 1.6)
            for dx, dy in ((1, 0), (0, 1), (-1, 0), (0, -1))]  # fmt: skip
    plan = laid([*bars, ring("gold", (20, 20), 6, 2.0)], "side-by-side")
    assert plan.estimate.trims == 0


@pytest.mark.parametrize("approach", ["side-by-side", "line-work"])
def test_no_way_runs_over_the_middle_of_what_is_sewn_already(approach: str) -> None:
    """Common practice: thread that lies across finished columns shows as a line, along their rims it does not."""
    plan = laid([stroke("navy", [(5, 5), (5, 25)], 4.0), stroke("navy", [(4, 25), (20, 25)], 4.0),
                 stroke("navy", [(20, 25), (20, 5)], 4.0)], approach)  # fmt: skip
    stitches = plan.stitches
    travel = np.flatnonzero((stitches.lay == Lay.TRAVEL) & (stitches.move == Move.TRAVEL))
    for row in travel.tolist():
        done = [step.sewing.shape.buffer(-1.0) for number, step in enumerate(plan.steps) if number < stitches.step[row]]
        way = LineString(stitches.xy[row - 1 : row + 1])
        assert sum(way.intersection(shape).length for shape in done) <= 1.0


@pytest.mark.parametrize("gap", [0.8, 1.5])
def test_letters_are_joined_at_their_foot(gap: float) -> None:
    """Common practice: a connector shows least along the baseline."""
    x = [5 + number * (1.5 + gap) for number in range(4)]
    letters = [stroke("navy", [(at, 5), (at, 12)], 1.5, hint="letter", family="line-1") for at in x]
    stitches = laid(letters, "side-by-side").stitches
    joined = np.flatnonzero(stitches.move == Move.JUMP)[1:]
    assert len(joined) == 3
    assert (stitches.xy[joined, 1] > 12 - 5 - 3.5).sum() >= 2


@pytest.mark.parametrize(("heads", "feet", "cuts"), [(2.3, 7.0, 1), (7.0, 2.5, 0)])
def test_between_letters_thread_lies_along_their_feet_or_is_cut(heads: float, feet: float, cuts: int) -> None:
    """Common practice, no source: higher up it reads as one more stroke of theirs, however short it is."""
    legs = [[(10 + side * heads / 2, 5), (10 + side * feet / 2, 12)] for side in (-1, 1)]
    letters = [stroke("navy", leg, 1.4, hint="letter", family="line-1") for leg in legs]
    assert laid(letters, "side-by-side").estimate.trims == cuts


def test_thread_is_cut_where_a_word_ends() -> None:
    """Common practice: a connector across a word space reads as a dash."""
    x = (5, 7.2, 9.4, 12.9, 15.1, 17.3)
    letters = [stroke("navy", [(at, 5), (at, 9)], 1.5, hint="letter", family="line-1") for at in x]
    assert laid(letters, "side-by-side").estimate.trims == 1


def three_bars(ground: str, hint: str = "") -> LaidPlan:
    """Three navy bars 1.6 mm apart on a ground of a colour, each sewn along its short way."""
    more = {"hint": hint, "family": "line-1"} if hint else {}
    bars = [stroke("navy", [(x, 10), (x, 13)], 2.0, **more) for x in (6.0, 9.6, 13.2)]
    return laid([Piece(ground, box(0, 4, 20, 20), "fill"), *bars], "stacked")


def test_what_would_stand_out_is_cut_and_what_would_not_or_is_lettering_is_left() -> None:
    """Common practice, no source: a dark connector over a light ground reads as a stroke."""
    cuts = {ground: three_bars(ground) for ground in ("white", "black")}
    assert trims_between(cuts["white"], 1, 3) == 2
    assert jumps_mm(cuts["white"].stitches).max(initial=0.0) <= 1.2
    assert trims_between(cuts["black"], 1, 3) == 0
    assert trims_between(three_bars("white", "letter"), 1, 3) == 0


def test_thread_on_a_running_line_keeps_to_its_cells() -> None:
    """Beside the line it would lie as a second one: each cell of the way is one the line runs through."""
    grid = Grid(np.zeros(2), (40, 40))
    cells = _cells_of([np.array([[1.0, 5.0], [9.0, 5.0]])], grid)
    assert np.flatnonzero(cells.any(axis=1)).tolist() == [20]
    assert cells.sum() == 33


def test_travel_over_a_running_line_is_not_sent_round_it() -> None:
    """It has no sides whose needle points could hide thread: what is sewn of it is no place to keep off."""
    for kind, kept_off in (("column", True), ("running", False)):
        bar = Piece("navy", box(4, 5, 6, 25), kind, (run([(5, 5), (5, 25)], 2.0),))
        drawing = survey(sized([bar]), Job())
        layout = plan_sewings(drawing, Recipe("", "beside"))
        cover = Cover(
            layout.sewings, layout.beneath, drawing.sized.parts, drawing.parts_map, drawing.sized.drawing.palette,
            drawing.sized.trade,
        )  # fmt: skip
        assert cover.finished(layout.sewings[0].thread, np.ones(len(layout.sewings), bool)).mask.any() == kept_off
