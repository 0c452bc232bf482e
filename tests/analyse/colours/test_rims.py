"""The rim of art on nothing: what lies under a shape does not shine out beside it."""

from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from analyse import read_artwork, trace
from analyse.colours.rims import with_plain_rims

# Two shapes that end together, as drawing programs make them: a fill and the keyline over its rim. The third colour is
# what the other two make when mixed, and a hair of the fill stands out all along the keyline.
COAST = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 72 72">
<path d="M10 40C20 12 52 9 62 38C64 52 30 66 10 40Z" fill="#d0cfce" stroke="#d0cfce" stroke-width="2.03"/>
<path d="M28 36h14v9h-14z" fill="#9b9b9a"/>
<path d="M10 40C20 12 52 9 62 38C64 52 30 66 10 40Z" fill="none" stroke="#000" stroke-width="2"/></svg>"""


def _png(rgba: NDArray[np.uint8]) -> bytes:
    file = BytesIO()
    Image.fromarray(rgba).save(file, "PNG")
    return file.getvalue()


def test_a_fill_under_a_keyline_does_not_shine_out_beside_it() -> None:
    drawing = trace(read_artwork(COAST.encode()))
    assert len(drawing.palette) == 3
    assert len(drawing.regions) == 3


def test_a_rim_takes_the_solid_colour_it_touches_and_a_hairline_on_nothing_keeps_its_own() -> None:
    rgb = np.full((5, 9, 3), 255, np.uint8)
    alpha = np.zeros((5, 9), np.uint8)
    rgb[:, :3], alpha[:, :3] = (0, 0, 0), 255
    rgb[:, 3], alpha[:, 3] = (94, 90, 86), 130
    rgb[:, 7], alpha[:, 7] = (200, 20, 20), 130
    plain = with_plain_rims(rgb, alpha)
    assert (plain[:, 3] == 0).all()
    assert (plain[:, 7] == (200, 20, 20)).all()
    assert (plain[:, 4:7] == 255).all()


def test_solid_art_is_left_as_it_is() -> None:
    rgb = np.random.default_rng(1).integers(0, 255, (6, 6, 3)).astype(np.uint8)
    assert with_plain_rims(rgb, np.full((6, 6), 255, np.uint8)) is rgb


def test_a_plain_patch_on_nothing_is_sewn() -> None:
    rgba = np.zeros((80, 120, 4), np.uint8)
    rgba[20:60, 30:90] = (200, 20, 20, 255)
    drawing = trace(read_artwork(_png(rgba)))
    assert [colour.rgb for colour in drawing.palette] == [(200, 20, 20)]
    assert sum(region.outline.area for region in drawing.regions) == 40 * 60
