"""Colours too close, to each other and to the cloth they lie on; what shading weighs (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
from shapely import Point, box

from analyse.sizing import size_drawing
from analyse.values import Detail, Drawing, Feature, Shading, State
from tests.drawings import colour_of, drawing_of

WHITE, CREAM, NAVY = (255, 255, 255), (250, 247, 238), (20, 40, 90)


def painted(drawing: Drawing, *palette: tuple[int, int, int]) -> Drawing:
    return replace(drawing, palette=tuple(colour_of(rgb) for rgb in palette))


def steps(drawing: Drawing, cloth_rgb: tuple[int, int, int] = WHITE) -> list[Feature]:
    return [f for f in detail(drawing, cloth_rgb).features if f.kind == "colour-step"]


def detail(drawing: Drawing, cloth_rgb: tuple[int, int, int] = WHITE) -> Detail:
    return size_drawing(drawing, width_mm=60.0, cloth_rgb=cloth_rgb).detail


def test_white_inside_an_outline_does_not_lie_on_the_white_cloth() -> None:
    disc = Point(300, 300).buffer(280)
    ring = Point(300, 300).buffer(300).difference(disc)
    outlined = painted(drawing_of(ring, disc, colours=(0, 1), parents=(None, 0)), NAVY, WHITE)
    assert steps(outlined) == []


def test_white_on_white_cloth_is_lost_and_keeps_every_other_detail() -> None:
    """Nobody would sew it; but once the cloth's colour is named, the same details stand there."""
    bars = painted(drawing_of(box(0, 0, 600, 100), box(0, 106, 600, 200), Point(50, 300).buffer(6)), WHITE)
    on_white, on_navy = detail(bars), detail(bars, NAVY)
    assert [f.state for f in on_white.features if f.kind == "colour-step"] == ["lost"]
    told = {(f.kind, f.measure) for f in on_navy.features}
    assert told
    assert told <= {(f.kind, f.measure) for f in on_white.features}
    assert all(f.weight > 0 for f in on_white.features)


def test_a_lost_colour_has_a_cure_and_no_width() -> None:
    (step,) = steps(painted(drawing_of(box(0, 0, 600, 100)), CREAM))
    assert step.holds_from_width_mm is None
    assert step.cure == "leave it to the cloth, or another thread or cloth"


def test_two_close_threads_are_one_detail_however_often_they_touch() -> None:
    pairs = [box(100 * i, 0, 100 * i + 50, 90) for i in range(6)] + [
        box(100 * i + 50, 0, 100 * i + 100, 90) for i in range(6)
    ]
    close = painted(drawing_of(*pairs, colours=(0,) * 6 + (1,) * 6), (20, 40, 90), (24, 45, 96))
    (step,) = steps(close)
    assert step.state == "lost"
    assert step.cure == "another thread for one of them"


def shaded(count: int) -> Drawing:
    """From navy to white in so many steps, beside a bar that is lost."""
    fields = [box(600 / count * i, 0, 600 / count * (i + 1), 200) for i in range(count)]
    blend = [
        tuple(np.round(np.array(NAVY) + (np.array(WHITE) - NAVY) * i / count).astype(int).tolist())
        for i in range(count)
    ]
    drawing = drawing_of(*fields, box(0, 300, 600, 301), colours=(*range(count), 0))
    palette = tuple(colour_of(rgb) for rgb in blend)
    shading = Shading(tuple(range(count)), 60.0, "a linear gradient")
    return replace(drawing, palette=palette, shadings=(shading,))


def test_the_flat_steps_of_a_shading_are_not_told_again_as_close_colours() -> None:
    assert steps(shaded(12), (0, 120, 0)) == []


def test_more_steps_lose_less_of_a_shading() -> None:
    weights = []
    for count in (3, 6, 12):
        (shading,) = [f for f in detail(shaded(count), (0, 120, 0)).features if f.kind == "shading"]
        assert shading.state == "lost"
        assert shading.cure == "sew it in flat steps"
        weights.append(shading.weight)
    assert weights == sorted(weights, reverse=True)
    assert weights[0] > weights[-1] + 0.01


@pytest.mark.parametrize("cloth_rgb", [WHITE, NAVY, (128, 128, 128)])
def test_weights_are_shares_on_any_cloth(cloth_rgb: tuple[int, int, int]) -> None:
    bars = painted(drawing_of(box(0, 0, 600, 100), box(0, 106, 600, 200)), WHITE)
    assert sum(f.weight for f in detail(bars, cloth_rgb).features) <= 1 + 1e-9
    assert sum(detail(bars, cloth_rgb).share(state) for state in get_args(State)) == pytest.approx(1.0)
