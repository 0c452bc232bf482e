"""Laws of widths on pictures that were read and traced like any artwork."""

from __future__ import annotations

import io
from functools import cache

import cv2
import numpy as np
import pytest
from PIL import Image
from shapely import Polygon, affinity

from analyse.files import read_artwork
from analyse.tracing import trace
from analyse.values import Drawing
from analyse.widths.measuring import measure
from analyse.widths.profile import percentiles_px
from tests.thickness_shapes import STROKES

FINE = 8


@cache
def traced(case: str, side_px: int, angle_deg: float = 0.0) -> Drawing:
    """A closed form drawn dark on white, its longer side 0.8 of the picture's, read from a PNG."""
    shape: Polygon = affinity.rotate(STROKES[case], angle_deg)
    left, top, right, bottom = shape.bounds
    scale = 0.8 * side_px / max(right - left, bottom - top)
    mask = np.zeros((side_px * FINE, side_px * FINE), np.uint8)
    rings = [
        (np.array(ring.coords) - (left, top)) * scale + 0.1 * side_px for ring in (shape.exterior, *shape.interiors)
    ]
    cv2.fillPoly(mask, [np.round(ring * FINE).astype(np.int32) for ring in rings], 255)
    grey = 255 - cv2.resize(mask, (side_px, side_px), interpolation=cv2.INTER_AREA)
    data = io.BytesIO()
    Image.fromarray(np.dstack([grey] * 3)).save(data, "png")
    return trace(read_artwork(data.getvalue()))


def widths(drawing: Drawing) -> tuple[float, float, float]:
    """10th, 50th and 90th percentile of the largest region's width, as shares of the design's longer side."""
    shape = max(measure(drawing).regions, key=lambda each: each.outline.area)
    left, top, right, bottom = drawing.extent_px
    low, median, high = percentiles_px(shape.whole)
    size = max(right - left, bottom - top)
    return low / size, median / size, high / size


@pytest.mark.parametrize("case", ["bar-30deg", "annulus", "sine-ribbon", "spiral-ribbon", "taper", "eccentric-ring"])
def test_twice_the_pixels_give_the_same_widths(case: str) -> None:
    np.testing.assert_allclose(widths(traced(case, 500)), widths(traced(case, 1000)), rtol=0.01)


@pytest.mark.parametrize("case", ["annulus", "sine-ribbon", "capsule-3"])
@pytest.mark.parametrize("angle_deg", [17.0, 90.0])
def test_turned_artwork_has_the_same_widths(case: str, angle_deg: float) -> None:
    straight, turned = traced(case, 700), traced(case, 700, angle_deg)
    sizes = [max(d.extent_px[2] - d.extent_px[0], d.extent_px[3] - d.extent_px[1]) for d in (straight, turned)]
    shape = STROKES[case]
    longer = [
        max(s.bounds[2] - s.bounds[0], s.bounds[3] - s.bounds[1]) for s in (shape, affinity.rotate(shape, angle_deg))
    ]
    assert min(sizes) > 500
    np.testing.assert_allclose(np.array(widths(straight)) * longer[0], np.array(widths(turned)) * longer[1], rtol=0.01)


@pytest.mark.parametrize("case", ["sine-ribbon", "eccentric-ring", "taper"])
def test_parts_of_a_traced_shape_add_up_to_it(case: str) -> None:
    drawing = traced(case, 700)
    for width_mm in (12.0, 60.0, 200.0):
        sized = drawing.at(width_mm=width_mm)
        for region in drawing.regions:
            own = sum(part.outline_mm.area for part in sized.parts if part.region == region.id)
            assert own == pytest.approx(region.outline.area * sized.mm_per_px**2, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("width_px", [3.5, 4.5, 5.5, 9.5])
@pytest.mark.parametrize("shift_px", [0.0, 0.3, 0.5])
def test_a_thin_bar_is_as_wide_as_its_grey_rows_add_up_to(width_px: float, shift_px: float) -> None:
    """The share of a pixel that a bar covers is its grey: exact coverage, so the widths add up row by row."""
    rows = np.arange(60)
    covered = np.clip(np.minimum(rows + 1, 20 + shift_px + width_px) - np.maximum(rows, 20 + shift_px), 0, 1)
    grey = np.full((60, 300), 255.0)
    grey[:, 30:270] -= 255 * covered[:, None]
    data = io.BytesIO()
    Image.fromarray(np.dstack([np.round(grey).astype(np.uint8)] * 3)).save(data, "png")
    (shape,) = measure(trace(read_artwork(data.getvalue()))).regions
    assert percentiles_px(shape.whole)[1] == pytest.approx(width_px, rel=0.01)
