"""Letters that touch a border are found as a line, and sewn as one; what else stands on a border is none."""

from __future__ import annotations

import math

import pytest
import shapely
from shapely import LineString, Point, Polygon, affinity, box

from analyse.lettering.lines import Line, lines_of
from analyse.sizing import size_drawing
from analyse.values import Drawing
from analyse.widths.measuring import measure
from tests.drawings import drawing_of
from tests.lettered import Place, along, lettering, round_ring

CAP = 80.0


def merged(letters: list[Polygon], *border: Polygon) -> Drawing:
    """The letters and the border they touch as one region, and whatever stands apart."""
    parts = shapely.get_parts(shapely.union_all([*letters, *border])).tolist()
    return drawing_of(*sorted(parts, key=lambda part: -part.area))


def ring(x: float, y: float, radius: float, width: float) -> Polygon:
    return Point(x, y).buffer(radius, 64).exterior.buffer(width / 2, 64)


def lines_in(drawing: Drawing) -> tuple[Line, ...]:
    return lines_of(drawing, measure(drawing))


@pytest.mark.parametrize(
    ("place", "border"),
    [
        (along(700, 300), box(100, 297, 1300, 337)),
        (along(700, 300), box(100, 297, 1300, 303)),
        (along(700, 600, -20.0), affinity.rotate(box(100, 597, 1300, 625), -20.0, origin=(700, 600))),
        (round_ring(600, 600, 460), ring(600, 600, 456, 14)),
        (round_ring(600, 600, 460), ring(600, 600, 458, 6)),
    ],
    ids=["on a bar", "on a hairline", "on a slanting bar", "round a ring", "round a thin ring"],
)
def test_letters_on_a_border_are_found(place: Place, border: Polygon) -> None:
    drawing = merged(lettering("HARBOUR LIGHT", CAP, place, spacing=0.1), border)
    (line,) = lines_in(drawing)
    assert 11 <= line.letters <= 13
    assert line.border == 0
    assert len(line.attached) == line.letters - len(line.alone) >= 10
    assert line.cap_height == pytest.approx(CAP, rel=0.07)  # their feet lie in the border


def test_letters_in_a_frame_that_stand_on_its_lower_side_are_found() -> None:
    frame = box(150, 205, 1250, 310).exterior.buffer(6, join_style="mitre")
    (line,) = lines_in(merged(lettering("HARBOUR LIGHT", CAP, along(700, 305), spacing=0.1), frame))
    assert line.letters == 12
    assert line.cap_height == pytest.approx(CAP, rel=0.07)


def test_letters_that_touch_and_letters_that_do_not_are_one_line() -> None:
    letters = lettering("HARBOUR LIGHT", CAP, along(700, 300), spacing=0.1)
    apart = [affinity.translate(letter, 0.0, -6.0) if k % 2 else letter for k, letter in enumerate(letters)]
    (line,) = lines_in(merged(apart, box(100, 298, 1300, 330)))
    assert line.letters == 12
    assert 4 <= len(line.alone) <= 8


def test_a_border_that_letters_stand_clear_of_changes_nothing() -> None:
    (line,) = lines_in(merged(lettering("HARBOUR LIGHT", CAP, along(700, 300), spacing=0.1), box(100, 312, 1300, 340)))
    assert (line.letters, line.border, line.attached) == (12, None, ())


def posts() -> list[Polygon]:
    return [box(100 + 80 * k, 220, 122 + 80 * k, 302) for k in range(15)]


def teeth() -> list[Polygon]:
    return [Polygon([(100 + 80 * k, 302), (140 + 80 * k, 230), (180 + 80 * k, 302)]) for k in range(14)]


def grass() -> list[Polygon]:
    return [LineString([(110 + 60 * k, 302), (125 + 60 * k, 230 + 25 * (k % 3))]).buffer(7) for k in range(19)]


def rays() -> list[Polygon]:
    ray = box(-9, -540, 9, -455)
    return [affinity.translate(affinity.rotate(ray, 15 * k, origin=(0, 0)), 600, 600) for k in range(24)]


def waves() -> list[Polygon]:
    turn = [0.1 * k for k in range(63)]
    wave = LineString([(14 * t, -60 + 30 * math.cos(t)) for t in turn]).buffer(7)
    return [affinity.translate(wave.union(box(-5, -40, 9, 2)), 120 + 110 * k, 300) for k in range(10)]


@pytest.mark.parametrize(
    ("things", "border"),
    [
        (posts(), box(50, 300, 1350, 330)),
        (teeth(), box(50, 300, 1350, 330)),
        (grass(), box(50, 300, 1350, 330)),
        (waves(), box(50, 300, 1350, 330)),
        (rays(), ring(600, 600, 450, 16)),
    ],
    ids=["posts", "teeth", "grass", "waves", "rays"],
)
def test_what_else_stands_on_a_border_is_no_lettering(things: list[Polygon], border: Polygon) -> None:
    assert lines_in(merged(things, border)) == ()


@pytest.mark.parametrize("cap_mm", [3.0, 5.0, 8.0, 12.0])
def test_letters_on_a_border_are_all_columns_or_all_running_line(cap_mm: float) -> None:
    drawing = merged(lettering("HARBOUR LIGHT", CAP, along(700, 300), spacing=0.1), box(100, 297, 1300, 337))
    (line,) = lines_in(drawing)
    sized = size_drawing(drawing, width_mm=1200 * cap_mm / CAP)
    left, top = sized.origin_px
    letters = [
        shapely.transform(each, lambda xy: (xy - (left, top)) * sized.mm_per_px).buffer(0.05) for each in line.attached
    ]
    kinds = {
        part.kind for part in sized.parts
        if any(letter.covers(part.outline_mm.representative_point()) for letter in letters)
    }  # fmt: skip
    assert len(kinds & {"column", "running", "drop"}) == 1


def test_the_detail_says_that_the_line_touches_a_border() -> None:
    drawing = merged(lettering("HARBOUR LIGHT", CAP, along(700, 300), spacing=0.1), box(100, 297, 1300, 337))
    (feature,) = [each for each in size_drawing(drawing, width_mm=80).detail.features if each.kind == "lettering"]
    assert "touching a border" in feature.text
