"""Regions of any label map: a valid coverage of the whole picture, whatever the pixels are."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from analyse.regions.mapping import Fit, map_regions
from analyse.regions.subpixel import Shares


def shares(labels: np.ndarray) -> Shares:
    main = labels.astype(np.uint8)
    return Shares(main, main, main, np.full(labels.shape, 255, np.uint8))


@settings(derandomize=True, deadline=None, max_examples=60)
@given(arrays(np.int16, st.tuples(st.integers(1, 12), st.integers(1, 14)), elements=st.integers(0, 3)))
def test_regions_tile_the_picture_exactly(labels: np.ndarray) -> None:
    regions, _ = map_regions(labels, shares(labels), Fit())
    outlines = [region.outline for region in regions]
    assert shapely.is_valid(outlines).all()
    assert shapely.coverage_is_valid(outlines)
    assert sum(outline.area for outline in outlines) == pytest.approx(labels.size, abs=1e-9 * labels.size)


@settings(derandomize=True, deadline=None, max_examples=25)
@given(
    arrays(np.uint8, (20, 24), elements=st.integers(0, 2)), arrays(np.uint8, (20, 24), elements=st.integers(128, 255))
)
def test_they_do_so_with_edges_anywhere_between_the_pixels(labels: np.ndarray, share: np.ndarray) -> None:
    mixed = Shares(labels, labels, np.roll(labels, 1, axis=1), share)
    regions, _ = map_regions(labels.astype(np.int16), mixed, Fit())
    outlines = [region.outline for region in regions]
    assert shapely.coverage_is_valid(outlines)
    assert sum(outline.area for outline in outlines) == pytest.approx(labels.size, abs=1e-9 * labels.size)


def test_shared_edges_add_up_to_each_regions_boundary() -> None:
    labels = np.zeros((30, 40), np.int16)
    labels[5:25, 5:20] = 1
    labels[5:25, 20:35] = 2
    regions, _ = map_regions(labels, shares(labels), Fit())
    for region in regions:
        inner = sum(length for _, length in region.touches)
        rim = shapely.intersection(region.outline.boundary, shapely.box(0, 0, 40, 30).exterior).length
        assert inner + rim == pytest.approx(region.outline.length)


def test_what_lies_in_a_ring_has_the_ring_as_parent() -> None:
    y, x = np.mgrid[:60, :60]
    away = np.hypot(y - 29.5, x - 29.5)
    labels = np.where(away < 6, 2, np.where((away > 15) & (away < 25), 1, -1)).astype(np.int16)
    regions, _ = map_regions(labels, shares(np.where(labels < 0, 9, labels)), Fit())
    ring = next(region for region in regions if region.colour == 1)
    dot = next(region for region in regions if region.colour == 2)
    assert dot.parent == ring.id
    assert ring.parent is None
    assert ring.outline.interiors


def test_a_diagonal_line_one_pixel_wide_is_one_region() -> None:
    labels = np.full((24, 24), -1, np.int16)
    labels[np.arange(4, 20), np.arange(4, 20)] = 0
    regions, _ = map_regions(labels, shares(np.where(labels < 0, 9, labels)), Fit())
    assert len(regions) == 1
    assert regions[0].outline.area == pytest.approx(16, rel=0.25)
