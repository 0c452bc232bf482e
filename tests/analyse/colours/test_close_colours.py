"""Colours hardly apart stay apart in clean art, and thin parts keep theirs."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.colours.lab import srgb_to_lab
from analyse.tracing import trace
from tests.analyse.made_art import BLACK, FINE, RED, WHITE, artwork, as_jpeg, at, fine, majority, seen

Picture = NDArray[np.uint8]

HIGH_PX, WIDE_PX, PATCH_PX = 300, 360, 56


def close_colours(first: tuple[int, int, int], count: int, apart: float) -> Picture:
    """Colours that each lie `apart` or a little more from the nearest other (CIEDE2000: Sharma, Wu, Dalal 2005)."""
    steps = np.stack(np.meshgrid(*[np.arange(-48, 49, 2)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    every = np.clip(np.array(first) + steps[np.argsort(np.abs(steps).sum(axis=1), kind="stable")], 0, 255)
    lab, found = srgb_to_lab(every), [0]
    nearest = ciede2000(lab, lab[0])
    while len(found) < count:
        found.append(int(np.argmin(np.where(nearest >= apart, nearest, np.inf))))
        nearest = np.minimum(nearest, ciede2000(lab, lab[found[-1]]))
    return every[found].astype(np.uint8)


def quilt(colours: Picture) -> Picture:
    """Patches side by side, a little turned, so that hardly an edge lies on the pixels' own lines."""
    drawn = fine(HIGH_PX, WIDE_PX)
    along, down = np.array([1.0, 0.13]), np.array([-0.13, 1.0])
    for place, colour in enumerate(colours):
        corner = np.array([45.3, 10.7]) + PATCH_PX * (place % 5 * along + place // 5 * down)
        sides = [corner, corner + PATCH_PX * along, corner + PATCH_PX * (along + down), corner + PATCH_PX * down]
        cv2.fillPoly(drawn, [at(*[tuple(side) for side in sides])], colour.tolist())
    return drawn


@pytest.mark.parametrize("first", [(200, 30, 40), (60, 90, 150), (128, 128, 128), (220, 190, 90)])
def test_twenty_colours_three_apart_are_twenty(first: tuple[int, int, int]) -> None:
    colours = close_colours(first, 20, 3.0)
    drawn = quilt(colours)
    drawing = trace(artwork(seen(drawn)))
    found = np.array([colour.rgb for colour in drawing.palette])
    assert len(found) == 20
    assert max(ciede2000(srgb_to_lab(own), srgb_to_lab(found)).min() for own in colours) < 1
    code = np.vstack([found, WHITE]) @ np.array([65536, 256, 1])
    # Where two greys differ by three steps of 255 a pixel's own rounding hides a sixth of its share.
    assert (code[drawing.labels] == majority(drawn)).mean() > 0.9995


@pytest.mark.parametrize("quality", [60, 75, 90])
def test_black_beside_red_is_one_black_in_a_jpeg(quality: int) -> None:
    drawn = fine(240, 320, RED)
    for place in range(6):
        cv2.rectangle(drawn, at((20 + 48 * place, 30))[0].tolist(), at((44 + 48 * place, 200))[0].tolist(), BLACK, -1)
        cv2.line(drawn, at((20, 210 + 4 * place))[0].tolist(), at((300, 212 + 4 * place))[0].tolist(), BLACK, FINE)
    cv2.rectangle(drawn, (0, 0), (drawn.shape[1], 12 * FINE), WHITE, -1)
    drawing = trace(artwork(as_jpeg(seen(drawn), quality)))
    dark = [colour for colour in drawing.palette if colour.lab[0] < 25]
    assert len(dark) == 1


@pytest.mark.parametrize("width_px", [1.0, 1.5, 2.5])
@pytest.mark.parametrize(
    ("around", "band", "within"),
    [((252, 234, 43), (241, 179, 28), BLACK), ((165, 121, 57), (106, 70, 47), BLACK), ((234, 90, 71), RED, BLACK)],
)
def test_a_band_between_two_colours_keeps_its_own(
    around: tuple[int, int, int], band: tuple[int, int, int], within: tuple[int, int, int], width_px: float
) -> None:
    drawn = fine(200, 260)
    centre = at((90.3, 100.2))[0].tolist()
    cv2.rectangle(drawn, at((8, 8))[0].tolist(), at((180, 190))[0].tolist(), around, -1)
    cv2.circle(drawn, centre, round((60 + width_px) * FINE), band, -1)
    cv2.circle(drawn, centre, 60 * FINE, within, -1)
    cv2.rectangle(drawn, at((200, 20))[0].tolist(), at((240, 90))[0].tolist(), band, -1)
    drawing = trace(artwork(seen(drawn)))
    code = np.array([colour.rgb for colour in drawing.palette] + [WHITE]) @ np.array([65536, 256, 1])
    true = majority(drawn)
    thin = true == int(np.array(band) @ np.array([65536, 256, 1]))
    thin[:, 190:] = False
    assert len(drawing.palette) == 3
    assert (code[drawing.labels] == true)[thin].mean() > 0.95


def test_a_taper_keeps_its_colour_to_where_it_is_a_pixel_wide() -> None:
    drawn = fine(120, 400)
    grey = (208, 207, 206)
    cv2.rectangle(drawn, at((0, 60))[0].tolist(), at((400, 120))[0].tolist(), BLACK, -1)
    cv2.fillPoly(drawn, [at((20, 40), (20, 62), (380, 61.3), (380, 60.3))], grey)
    drawing = trace(artwork(seen(drawn)))
    found = np.array([colour.rgb for colour in drawing.palette] + [WHITE])
    label = int(np.argmin(np.abs(found - grey).sum(axis=1)))
    true = majority(drawn) == int(np.array(grey) @ np.array([65536, 256, 1]))
    assert (drawing.labels == label)[true].mean() > 0.95
