"""What is kept of the look: a share that follows what is sewn, and only that."""

from __future__ import annotations

import io
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw, ImageFont
from shapely import box

from analyse import read_artwork, trace
from analyse.errors import NothingToSewError
from analyse.files.fonts import REGULAR
from analyse.values import Feature, SizedDrawing
from plans.job import Job
from plans.planning import make_plan
from plans.sewout import detail_kept
from plans.values import Lay, Step, Stitches
from tests.plans.sewout.pieces import Sewn, rows, sew, sized_of, zigzag

NARROWEST_MM = 1.0
"""A column sewn narrower than this does not hold; drawn narrower, it is widened (graphics-pro.com)."""


def comb(scale: float, bars: int = 5) -> tuple[SizedDrawing, list[Sewn]]:
    """A comb: upright bars 1.6 mm wide with gaps of 1.4 mm, 10 mm tall, over a fill 12 mm tall, at a scale."""
    wide, gap, tall = 1.6 * scale, 1.4 * scale, 10.0 * scale
    shapes, sewn, features = [], [], []
    for number in range(bars):
        left = number * (wide + gap)
        sewn_mm = max(wide, NARROWEST_MM) + 0.2
        shapes.append((box(left, 0, left + wide, tall), 0, "column"))
        points = zigzag(0, left + wide / 2 - sewn_mm / 2, tall, sewn_mm)[:, ::-1]
        sewn.append((points, "column", 0, Lay.TOP))
        features.append(stroke((left + wide / 2, tall / 2), wide, number))
        if number:
            features.append(gap_at((left - gap / 2, tall / 2), gap))
    base = box(0, tall, bars * (wide + gap) - gap, tall + 12 * scale)
    shapes.append((base, 1, "fill"))
    sewn.append((rows(*base.bounds), "fill", 1, Lay.TOP))
    features.append(stroke((base.centroid.x, base.centroid.y), base.bounds[3] - base.bounds[1], bars))
    weighed = [weigh(feature, 1 / len(features)) for feature in features]
    size = (base.bounds[2], base.bounds[3])
    return sized_of([(20, 30, 70), (190, 40, 40)], size, shapes=shapes, features=weighed), sewn


def stroke(at_mm: tuple[float, float], wide: float, part: int) -> Feature:
    return Feature("stroke", at_mm, wide, 1.0, "mm", 30.0, "holds", part=part)


def gap_at(at_mm: tuple[float, float], wide: float) -> Feature:
    return Feature("gap", at_mm, wide, 0.8, "mm", 30.0, "holds")


def weigh(feature: Feature, weight: float) -> Feature:
    return Feature(*(getattr(feature, name) if name != "weight" else weight for name in Feature.__slots__))


def png_of(word: str) -> bytes:
    """A word in black on white."""
    font = ImageFont.truetype(REGULAR, 120)
    picture = Image.new("RGB", (round(font.getlength(word)) + 80, 220), "white")
    ImageDraw.Draw(picture).text((40, 30), word, font=font, fill=(20, 24, 40), stroke_width=3)
    buffer = io.BytesIO()
    picture.save(buffer, "png")
    return buffer.getvalue()


def without(sewn: list[Sewn], left_out: set[int]) -> tuple[Stitches, tuple[Step, ...]]:
    return sew([piece for number, piece in enumerate(sewn) if number not in left_out])


def test_a_piece_sewn_as_drawn_keeps_its_look() -> None:
    sized, sewn = comb(1.5)
    assert detail_kept(*sew(sewn), sized) > 0.95


def test_nothing_sewn_keeps_nothing() -> None:
    sized, sewn = comb(1.5)
    assert detail_kept(*sew(sewn[:1]), sized) < 0.35


def test_it_falls_as_the_design_shrinks() -> None:
    kept = [detail_kept(*sew(sewn), sized) for sized, sewn in (comb(scale) for scale in (2.0, 1.0, 0.6, 0.45, 0.3))]
    assert all(larger >= smaller - 1e-9 for larger, smaller in pairwise(kept))
    assert kept[0] > 0.95
    assert kept[-1] < 0.4


@settings(derandomize=True, deadline=None, max_examples=25)
@given(st.sampled_from([2.0, 1.0, 0.6, 0.4]), st.sets(st.integers(0, 5), max_size=3), st.integers(0, 5))
def test_leaving_out_a_part_never_scores_higher(scale: float, already: set[int], part: int) -> None:
    sized, sewn = comb(scale)
    if len(already | {part}) < len(sewn):
        whole, less = (detail_kept(*without(sewn, gone), sized) for gone in (already, already | {part}))
        assert less <= whole + 1e-9


def test_a_gap_that_closes_is_lost_and_so_is_a_stroke_in_the_wrong_colour() -> None:
    sized, sewn = comb(1.0)
    over = (rows(0, 0, 13.6, 10), "fill", 0, Lay.TOP)
    assert detail_kept(*sew([*sewn, over]), sized) < detail_kept(*sew(sewn), sized) - 0.3
    wrong = [(sewn[0][0], "column", 1, Lay.TOP), *sewn[1:]]
    assert detail_kept(*sew(wrong), sized) < detail_kept(*sew(sewn), sized) - 0.05


def test_colours_too_alike_are_not_told_apart() -> None:
    def with_step(measure: float) -> float:
        sized, sewn = comb(1.5)
        feature = Feature("colour-step", (5.7, 15.0), measure, 10.0, "dE00", None, "lost", weight=1.0)
        alone = sized_of([(20, 30, 70), (190, 40, 40)], sized.size_mm, shapes=shapes_of(sized), features=[feature])
        return detail_kept(*sew(sewn), alone)

    assert with_step(12.0) > 0.7
    assert with_step(7.5) == pytest.approx(with_step(12.0) / 2)
    assert with_step(4.0) == 0.0


def shapes_of(sized: SizedDrawing) -> list[tuple[object, int, str]]:
    return [(part.outline_mm, part.colour, part.kind) for part in sized.parts]


def test_drift_costs_detail_where_edges_meet() -> None:
    sized, sewn = comb(0.6)
    still, drifted = (detail_kept(*sew(sewn), sized, drift_mm=drift) for drift in (0.0, 1.2))
    assert drifted < still


def test_a_drawing_without_features_keeps_all() -> None:
    stitches, steps = sew([(rows(0, 0, 5, 5), "fill", 0, Lay.TOP)])
    assert detail_kept(stitches, steps, sized_of([(0, 0, 0)], (5.0, 5.0))) == 1.0


def test_it_is_a_share() -> None:
    sized, sewn = comb(0.8)
    assert 0.0 <= detail_kept(*sew(sewn), sized) <= 1.0
    assert detail_kept(*sew(sewn), sized) == pytest.approx(detail_kept(*sew(sewn), sized), abs=0)
    assert np.isfinite(detail_kept(*sew(sewn), sized))


def test_leaving_out_what_crowds_its_neighbour_is_no_gain() -> None:
    """A thin line sewn over half of the stroke beside it: without it that stroke would look better."""
    shapes = [(box(0, 0, 4, 20), 0, "column"), (box(4, 0, 4.2, 20), 1, "running")]
    features = [weigh(stroke((2.0, 10.0), 4.0, 0), 0.99), weigh(stroke((4.1, 10.0), 0.2, 1), 0.01)]
    sized = sized_of([(20, 30, 70), (190, 40, 40)], (4.2, 20.0), shapes=shapes, features=features)
    sewn = [
        (zigzag(0, 0, 20, 4)[:, ::-1], "column", 0, Lay.TOP),
        (zigzag(0, 2.0, 20, 2.2)[:, ::-1], "running", 1, Lay.TOP),
    ]
    assert detail_kept(*without(sewn, {1}), sized) <= detail_kept(*sew(sewn), sized)


def test_a_line_of_lettering_falls_with_its_size() -> None:
    """One line, planned at falling sizes: what is kept of it never rises, and holds in full where the trade says so."""
    drawing = trace(read_artwork(png_of("HARBOUR")))
    rows, columns = (np.flatnonzero((drawing.labels >= 0).any(axis=axis)) for axis in (1, 0))
    caps_wide = np.ptp(columns) / np.ptp(rows)
    kept = []
    for cap_mm in (9.0, 6.0, 4.0, 3.1):
        sized = drawing.at(width_mm=cap_mm * caps_wide, cloth="twill", cloth_rgb=(255, 255, 255))
        plan = make_plan(sized, Job())
        kept.append(detail_kept(plan.stitches, plan.steps, sized))
    with pytest.raises(NothingToSewError):  # what is to be left out at this size is not sewn
        make_plan(drawing.at(width_mm=2.0 * caps_wide), Job())
    assert all(larger >= smaller - 1e-9 for larger, smaller in pairwise(kept))
    assert min(kept[:2]) > 0.9
    assert kept[-1] < 0.65


def line_work(thread: tuple[int, int, int]) -> float:
    """A stroke of a thread across a navy field of which only the outline is sewn; white cloth."""
    field, stroke_ = box(0, 0, 30, 20), box(5, 9.2, 25, 10.8)
    shapes = [(field.difference(stroke_), 0, "fill"), (stroke_, 1, "column")]
    sized = sized_of([(20, 30, 70), thread], (30.0, 20.0), shapes=shapes, features=[weigh(at_stroke(), 1.0)])
    around = np.array([(0, 0), (30, 0), (30, 20), (0, 20), (0, 0)], np.float64)
    sewn: list[Sewn] = [(around, "running", 0, Lay.TOP), (zigzag(5, 9.1, 20, 1.8), "column", 1, Lay.TOP)]
    return detail_kept(*sew(sewn), sized)


def at_stroke() -> Feature:
    return stroke((15.0, 10.0), 1.6, 1)


def test_a_stroke_on_a_field_left_bare_holds_where_the_cloth_sets_it_off() -> None:
    """Line work is no loss to a red stroke: it stands on white cloth in the place of navy. A white one is gone."""
    assert line_work((190, 40, 40)) > 0.95
    assert line_work((250, 250, 248)) < 0.05
