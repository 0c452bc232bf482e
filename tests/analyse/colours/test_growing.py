"""A flat colour runs on into what touches it and shows nothing else; what only looks like it, apart, stays open."""

from __future__ import annotations

import numpy as np
import pytest

from analyse.colours.flats import UNLABELLED, Flats
from analyse.colours.growing import _LONGEST_PX, grown

WHITE, NAVY = (255, 255, 255), (20, 40, 110)
COLOURS = np.array([WHITE, NAVY], dtype=np.float64)


def taper(long: int) -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.uint8]], Flats]:
    """A navy block with a tail one pixel wide, `long`, on white; the insides of block and ground are flat."""
    rgb = np.full((30, 20 + long + 5, 3), WHITE, np.uint8)
    rgb[10:20, 5:15] = NAVY
    rgb[15, 15 : 15 + long] = NAVY
    seeds = np.full(rgb.shape[:2], UNLABELLED, np.uint8)
    seeds[11:19, 6:14] = 1
    seeds[:8], seeds[22:] = 0, 0
    return rgb, Flats(COLOURS, seeds, 0.0, False)


@pytest.mark.parametrize("shade", [0, 1])
def test_a_tail_is_of_the_block_it_runs_out_of(shade: int) -> None:
    rgb, flats = taper(30)
    found = grown(rgb + np.uint8(shade) * (rgb < 255), flats).seeds
    assert (found[15, 15:45] == 1).all()
    assert (found[10:20, 5:15] == 1).all()
    assert set(np.unique(found[:10])) == {0}


def test_it_runs_on_so_far_and_no_farther() -> None:
    rgb, flats = taper(100)
    found = grown(rgb, flats).seeds[15, 14:]
    assert (found[:_LONGEST_PX] == 1).all()
    assert (found[_LONGEST_PX : 14 + 80] == UNLABELLED).all()


def test_what_only_looks_alike_stays_open() -> None:
    rgb, flats = taper(10)
    rgb[12, 30] = NAVY
    rgb[14, 33] = (40, 60, 130)
    found = grown(rgb, flats).seeds
    assert found[12, 30] == UNLABELLED
    assert found[14, 33] == UNLABELLED


def test_of_two_close_colours_each_pixel_runs_on_from_the_nearer() -> None:
    close = np.array([WHITE, NAVY, (22, 40, 110)], dtype=np.float64)
    rgb, flats = taper(30)
    rgb[15, 15:45] = (22, 40, 110)
    rgb[5:9, 40:44] = (22, 40, 110)
    seeds = flats.seeds.copy()
    seeds[5:9, 40:44] = 2
    found = grown(rgb, Flats(close, seeds, 0.0, False)).seeds
    assert (found[15, 15:45] == UNLABELLED).all()  # no block of its own colour at hand
    assert (found[10:20, 5:15] == 1).all()
