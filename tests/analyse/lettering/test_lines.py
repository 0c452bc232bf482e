"""Lines of lettering are found as they are set and measured as their font is; other rows are no lettering."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, affinity, box

from analyse.lettering.lines import Line, lines_of
from analyse.values import Drawing
from analyse.widths.measuring import measure
from tests.drawings import drawing_of
from tests.lettered import CAP_UNITS, STEM_UNITS, X_UNITS, Place, along, lettering, round_ring

CAP = 80.0


def lines_in(drawing: Drawing) -> tuple[Line, ...]:
    return lines_of(drawing, measure(drawing))


def only_line(shapes: list[Polygon], colours: Sequence[int] = (), parents: Sequence[int | None] = ()) -> Line:
    lines = lines_in(drawing_of(*shapes, colours=colours, parents=parents))
    assert len(lines) == 1
    return lines[0]


@pytest.mark.parametrize(
    ("place", "layout", "angle_deg"),
    [
        (along(600, 300), "straight", 0.0),
        (along(600, 600, -17.0), "slanted", -17.0),
        (along(600, 600, 90.0), "slanted", 90.0),
        (round_ring(600, 1500, 1000), "arc", 0.0),
        (round_ring(600, 600, 300), "ring", 0.0),
        (round_ring(600, 600, 500, below=True), "arc", 0.0),
    ],
    ids=["straight", "slanted", "upright", "arc", "ring", "ring, read from inside"],
)
def test_a_line_is_found_however_it_runs(place: Place, layout: str, angle_deg: float) -> None:
    line = only_line(lettering("HARBOUR LIGHT", CAP, place, spacing=0.06))
    assert line.letters == 12
    assert line.layout == layout
    assert line.cap_height == pytest.approx(CAP, rel=0.007)
    assert line.x_height is None
    assert line.stem == pytest.approx(STEM_UNITS / CAP_UNITS * CAP, rel=0.015)
    if layout in ("straight", "slanted"):
        assert math.sin(math.radians(line.angle_deg - angle_deg)) == pytest.approx(0.0, abs=0.005)


def test_mixed_case_is_measured_by_its_small_letters() -> None:
    line = only_line(lettering("Harbour Lights", CAP, along(600, 300)))
    assert line.x_height == pytest.approx(X_UNITS / CAP_UNITS * CAP, rel=0.007)
    assert line.cap_height == pytest.approx(CAP, rel=0.007)
    assert line.height == line.x_height


def test_the_dot_of_an_i_belongs_to_its_line() -> None:
    shapes = lettering("Harbour Lights", CAP, along(600, 300))
    assert set(only_line(shapes).regions) == set(range(len(shapes)))


@pytest.mark.parametrize("text", ["1887", "1887-2035", "FISH & SONS", "Est. 2035", "No. 7 & Co."])
def test_numbers_and_an_ampersand_are_letters(text: str) -> None:
    line = only_line(lettering(text, CAP, along(600, 300), spacing=0.04))
    assert line.letters >= sum(letter.isalnum() or letter == "&" for letter in text)


@pytest.mark.parametrize("name", ["plain", "bold", "slanted"])
def test_every_style_is_found(name: str) -> None:
    assert only_line(lettering("GARDEN GATE", CAP, along(600, 300), name=name)).letters == 10


def test_letters_cut_out_of_a_shape_are_found_as_openings() -> None:
    shape = box(0, 0, 1200, 200)
    for letter in lettering("OPEN STUDIO", CAP, along(600, 140), spacing=0.05):
        shape = shape.difference(letter)
    parts = sorted(shapely.get_parts(shape).tolist(), key=lambda part: -part.area)
    line = only_line(parts)
    assert line.regions == ()
    assert len(line.openings) == line.letters == 10


def test_light_letters_on_a_dark_shape_are_found() -> None:
    letters = lettering("GARDEN GATE", CAP, along(600, 140))
    ground = box(0, 0, 1200, 200)
    for letter in letters:
        ground = ground.difference(letter)
    parts = sorted(shapely.get_parts(ground).tolist(), key=lambda part: -part.area)
    shapes = [*parts, *letters]
    colours = [0] * len(parts) + [2] * len(letters)
    parents = [None, *[0] * (len(shapes) - 1)]
    line = only_line(shapes, colours=colours, parents=parents)
    assert line.letters == 10


def test_letters_of_a_monogram_are_found_where_they_stand_apart() -> None:
    letters = (
        lettering("R", CAP, along(370, 500))
        + lettering("S", CAP, along(500, 380))
        + lettering("C", CAP, along(630, 500))
    )
    words = lettering("HARBOUR LIGHT", 0.7 * CAP, along(500, 700), spacing=0.06)
    oars = [LineString([(320, 250), (680, 620)]).buffer(9), LineString([(680, 250), (530, 405)]).buffer(9)]
    oars = [oar.difference(shapely.union_all(letters).buffer(12)) for oar in oars]
    parts = [part for oar in oars for part in shapely.get_parts(oar).tolist()]
    lines = lines_in(drawing_of(*letters, *parts, *words))
    (monogram,) = [line for line in lines if line.layout == "monogram"]
    assert sorted(monogram.regions) == [0, 1, 2]
    assert monogram.cap_height == pytest.approx(CAP, rel=0.03)


def test_like_shapes_about_a_middle_are_no_monogram() -> None:
    ringed = [affinity.translate(Point(0, 0).buffer(40).difference(Point(0, 0).buffer(24)), *at)
              for at in ((370, 500), (500, 380), (630, 500))]  # fmt: skip
    assert lines_in(drawing_of(*ringed, box(200, 700, 800, 760))) == ()


def test_widely_spaced_letters_are_a_line() -> None:
    line = only_line(lettering("ANGLERS", CAP, along(600, 300), spacing=1.1))
    assert line.letters == 7
    assert shapely.get_num_geometries(line.zone) == 1


def test_two_lines_one_over_the_other_stay_two() -> None:
    shapes = lettering("NORTH STATION", CAP, along(600, 200)) + lettering("RIVER CAFE", 0.6 * CAP, along(600, 280))
    lines = lines_in(drawing_of(*shapes))
    assert [line.letters for line in lines] == [12, 9]
    assert lines[1].cap_height == pytest.approx(0.6 * CAP, rel=0.007)


def test_turning_the_drawing_changes_no_line() -> None:
    shapes = lettering("SALTMARSH ROWING CLUB", CAP, round_ring(600, 600, 420), spacing=0.1)
    turned = [affinity.rotate(shape, 37.0, origin=(600, 600)) for shape in shapes]
    one, other = only_line(shapes), only_line(turned)
    assert one.letters == other.letters == 19
    assert one.cap_height == pytest.approx(other.cap_height, rel=0.003)
    assert one.stem == pytest.approx(other.stem, rel=0.003)


def test_counters_and_gaps_are_those_of_the_letters() -> None:
    shapes = lettering("OO HH OO", CAP, along(600, 300))
    counters = only_line(shapes).counters
    assert len(counters) == 4
    inner = Polygon(shapes[0].interiors[0])
    assert counters[0] == pytest.approx(2.0 * shapely.maximum_inscribed_circle(inner).length, rel=0.01)


def turned_row(shape: Polygon, count: int, radius: float) -> list[Polygon]:
    """A motif repeated round a circle."""
    placed = affinity.translate(shape, 0.0, -radius)
    return [affinity.rotate(placed, 360.0 * k / count, origin=(0, 0)) for k in range(count)]


def strand() -> Polygon:
    turn = np.linspace(-1.0, 1.0, 30)
    return LineString(np.column_stack([30 * turn, 14 * np.tanh(3 * turn)])).buffer(9)


def scale() -> Polygon:
    turn = np.linspace(0.1, math.pi - 0.1, 24)
    return LineString(np.column_stack([40 * np.cos(turn), 40 * np.sin(turn)])).buffer(5)


def wave() -> Polygon:
    x = np.linspace(0, 120, 60)
    return LineString(np.column_stack([x, 20 * np.sin(x / 120 * 2 * math.pi)])).buffer(6)


def star() -> Polygon:
    turn, reach = np.arange(10) * math.pi / 5, np.tile([40.0, 16.0], 5)
    return Polygon(np.column_stack([reach * np.sin(turn), reach * np.cos(turn)]))


ROWS = {
    "rope strands": turned_row(strand(), 40, 400),
    "chain links": turned_row(Point(0, 0).buffer(30).difference(Point(0, 0).buffer(20)), 24, 400),
    "scales": [affinity.translate(scale(), 100 * x + 50 * (y % 2), 60 * y) for x in range(8) for y in range(6)],
    "waves": [affinity.translate(wave(), 160 * x, 90 * y) for x in range(6) for y in range(4)],
    "leaves": turned_row(Point(0, -30).buffer(42).intersection(Point(0, 30).buffer(42)), 30, 400),
    "posts": [box(60 * x, 40 + 17 * (x % 3), 60 * x + 20, 200) for x in range(14)],
    "dots": [Point(60 * x, 50).buffer(12 + x % 4) for x in range(14)],
    "hatching": [LineString([(40 * x, 60), (40 * x + 30, 10 + 13 * (x % 4))]).buffer(4) for x in range(16)],
    "stars": turned_row(star(), 24, 400),
}  # fmt: skip


@pytest.mark.parametrize("name", ROWS)
def test_a_row_of_like_things_is_no_lettering(name: str) -> None:
    assert lines_in(drawing_of(*ROWS[name])) == ()


@pytest.mark.parametrize("radius", [450, 600, 800])
def test_figures_on_a_slight_arc_are_of_one_height(radius: int) -> None:
    line = only_line(lettering("1887", CAP, round_ring(600, 100, radius, below=True), spacing=0.06))
    assert line.letters == 4
    assert line.x_height is None


@pytest.mark.parametrize("text", ["RC", "HB", "NS"])
def test_two_large_letters_with_nothing_else_are_found(text: str) -> None:
    assert only_line(lettering(text, 400.0, along(600, 600), spacing=0.06)).letters == 2
