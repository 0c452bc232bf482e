"""What is made to draw over: layers in mm, outlines at a stated scale, and where the needle goes."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from shapely import Point, box

from analyse.files.svgtree import parse
from analyse.limits import default_limits
from plans import words
from plans.pictures.coding import png
from plans.pictures.drawn import draw_pictures
from plans.pictures.layers import layers_svg
from plans.pictures.over import MARGIN_MM, over_canvas, to_draw_over
from plans.pictures.paths import path_data
from plans.pictures.sewn import filled_to, sewn_lines
from plans.values import Sewing
from tests.badge import drawing
from tests.plan_fixture import plan

SVG = "{http://www.w3.org/2000/svg}"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"


def sewing(kind: str, shape: object, **more: object) -> Sewing:
    return Sewing(0, 0, kind, "body", 0, shape, **more)  # type: ignore[arg-type]


def test_layers_are_in_mm_in_sewing_order_and_named() -> None:
    root = parse(layers_svg(plan()).encode(), "layers.svg", default_limits())
    assert (root.get("width"), root.get("viewBox")) == ("76.20mm", "0 0 76.20 60.00")
    labels = [group.get(LABEL) for group in root.iter(f"{SVG}g")]
    assert labels == [
        "01 fill base, dark purplish blue, p0",
        "02 column detail, white, p2",
        "03 column border, strong orange yellow, p1",
        "04 running detail, strong orange yellow, p4",
        "left out",
    ]


def test_a_name_that_is_no_xml_does_not_break_the_layers() -> None:
    named = plan('<&\x00\x1b">.png')
    root = parse(layers_svg(named).encode(), "layers.svg", default_limits())
    assert root.findtext(f"{SVG}title") == words.name(named)


def test_a_path_keeps_holes_and_drops_needless_noughts() -> None:
    ring = box(0, 0, 10, 10).difference(box(2.5, 2.5, 5, 5))
    data = path_data(ring)
    assert data.count("M") == data.count("Z") == 2
    assert "10.00" not in data
    assert "2.5 " in data
    assert path_data(Point(0, 0).buffer(0)) == ""


def test_the_png_states_its_scale_and_shows_a_millimetre_as_one() -> None:
    opened = Image.open(io.BytesIO(to_draw_over(plan())))
    dpi = opened.info["dpi"][0]
    assert dpi == pytest.approx(400, abs=0.5)
    expected = [(side + 2 * MARGIN_MM) * dpi / 25.4 for side in (76.2, 60.0)]
    assert opened.size == tuple(pytest.approx(side, abs=1.5) for side in expected)
    dark = np.asarray(opened.convert("RGB")).max(axis=-1) < 90
    columns = np.flatnonzero(dark.any(axis=0)) / (dpi / 25.4) - MARGIN_MM
    assert columns[0] == pytest.approx(0.0, abs=0.1)  # the ring's edge lies at the design's own edge
    assert columns[-1] == pytest.approx(76.2, abs=0.4)


def test_a_wide_back_is_drawn_at_fewer_dpi_not_at_more_memory() -> None:
    made = plan()
    wide = replace(made, sized=replace(made.sized, size_mm=(300.0, 236.0)))
    assert max(over_canvas(wide).shape) <= 4000


def test_a_fill_grows_along_its_rows_and_is_held_back_across_them() -> None:
    grown = filled_to(sewing("fill", box(0, 0, 20, 10), angle_deg=0.0, pull_mm=0.3, push_mm=0.2))
    assert grown.bounds == pytest.approx((-0.3, 0.2, 20.3, 9.8), abs=0.01)
    upright = filled_to(sewing("fill", box(0, 0, 20, 10), angle_deg=90.0, pull_mm=0.3, push_mm=0.2))
    assert upright.bounds == pytest.approx((0.2, -0.3, 19.8, 10.3), abs=0.01)


def test_a_columns_sides_move_out_by_widening_and_pull_and_its_ends_stay() -> None:
    _, oar, ring, wave = (step.sewing for step in plan().steps)
    (left, _), (right, _) = sewn_lines(replace(oar, pull_mm=0.2, widen_mm=0.05))
    assert left[:, 0] == pytest.approx(28.5 - 0.25)
    assert right[:, 0] == pytest.approx(31.5 + 0.25)
    assert (left[0, 1], left[-1, 1]) == (10, 50)
    inner, outer = (np.hypot(*(points - 30).T) for points, closed in sewn_lines(ring) if closed)
    assert (inner.max(), outer.min()) == (pytest.approx(27.4), pytest.approx(30.2))
    assert sewn_lines(wave)[0][0].tolist() == wave.spines[0].line[:, :2].tolist()


def test_the_sewout_prints_at_true_size() -> None:
    pictures = draw_pictures(plan())
    opened = Image.open(io.BytesIO(png(pictures.sewout, pictures.dpi)))
    dpi = opened.info["dpi"][0]
    assert opened.width / dpi * 25.4 == pytest.approx(pictures.frame.width_mm, abs=0.2)
    assert opened.width == pictures.sewout.shape[1]


def test_a_transparent_artwork_lies_on_white() -> None:
    from plans.pictures.design import on_paper

    flat = on_paper(drawing().artwork)
    assert flat[0, 0].tolist() == [255, 255, 255]
    assert flat[300, 150].tolist() == [27, 42, 74]


def test_a_transparent_artwork_is_shown_on_its_cloth_unless_it_would_not_show_there() -> None:
    from plans.pictures.design import GREY, on_paper, paper_under

    made = plan().sized
    assert paper_under(made) == made.cloth_rgb
    assert on_paper(made.drawing.artwork, (40, 90, 60))[0, 0].tolist() == [40, 90, 60]
    assert paper_under(replace(made, cloth_rgb=(27, 42, 74))) == GREY
    opaque = made.drawing.artwork.rgba.copy()
    opaque[..., 3] = 255
    whole = replace(made.drawing, artwork=replace(made.drawing.artwork, rgba=opaque))
    assert paper_under(replace(made, drawing=whole)) == (255, 255, 255)
