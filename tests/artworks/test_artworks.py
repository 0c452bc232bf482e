"""The shipped artworks: what each is there to show, and that their states are derived from them.

Widths and gaps are taken from the vector outlines with shapely's buffers, not from our own reading.
"""

from __future__ import annotations

import io
import re
from pathlib import Path

import numpy as np
import pytest
import resvg_py
from numpy.typing import NDArray
from PIL import Image
from shapely import MultiPolygon, Polygon, union_all

from tests.artworks.states import STATES
from tests.artworks.vector_pdf import parsed

HERE = Path(__file__).parent
IMAGES = HERE.parents[1] / "images"
DRAWINGS = sorted(IMAGES.glob("*.svg"))
SVG = "{http://www.w3.org/2000/svg}"
MIB = 2**20


def rendered(path: Path, width: int = 400) -> NDArray[np.uint8]:
    png = bytes(resvg_py.svg_to_bytes(svg_path=str(path), width=width, skip_system_fonts=True))
    return np.array(Image.open(io.BytesIO(png)).convert("RGBA"))


def outlines(path: Path) -> list[Polygon | MultiPolygon]:
    """The filled areas of an artwork that is drawn in straight pieces."""
    areas = []
    for element in parsed(path).iter(f"{SVG}path"):
        assert "C" not in element.attrib["d"]
        rings = [re.findall(r"(-?[\d.]+),(-?[\d.]+)", ring) for ring in element.attrib["d"].split("M")[1:]]
        areas.append(union_all([Polygon(np.array(ring, float)) for ring in rings]))
    return areas


def test_the_folder_stays_small() -> None:
    assert sum(path.stat().st_size for path in IMAGES.iterdir()) <= 6 * MIB


def test_there_are_artworks_enough_to_judge_by() -> None:
    assert len(DRAWINGS) >= 10


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.stem)
def test_an_artwork_is_paths_alone_so_it_looks_the_same_everywhere(path: Path) -> None:
    tags = {element.tag.removeprefix(SVG) for element in parsed(path).iter()}
    assert tags <= {"svg", "title", "defs", "clipPath", "linearGradient", "stop", "g", "path"}


def test_the_bold_mark_is_nowhere_thinner_than_a_column_nor_closer_than_a_gap_at_76_mm() -> None:
    areas = outlines(IMAGES / "merrow-sails.svg")
    left, _, right, _ = union_all(areas).bounds
    reach = 0.6 * (right - left) / 76  # half of 1.2 mm
    for area in areas:
        opened = area.buffer(-reach, quad_segs=32).buffer(reach, quad_segs=32)
        assert area.area - opened.area < 1e-4 * area.area
    apart = [a.distance(b) for k, a in enumerate(areas) for b in areas[:k]]
    assert min(apart) >= 2 * reach


def test_the_full_picture_touches_every_edge_and_the_crest_none() -> None:
    full, crest = rendered(IMAGES / "cairn-hill.svg")[..., 3], rendered(IMAGES / "saltmarsh-crest.svg")[..., 3]
    for side in (np.s_[0], np.s_[-1], np.s_[:, 0], np.s_[:, -1]):
        assert (full[side] == 255).all()
        assert (crest[side] == 0).all()


def test_the_white_artwork_is_white_on_nothing() -> None:
    picture = rendered(IMAGES / "regatta-white.svg")
    assert (picture[picture[..., 3] == 255][:, :3] == 255).all()
    assert (picture[..., 3] == 0).mean() > 0.5


@pytest.mark.parametrize("name", sorted(STATES))
def test_a_shipped_state_is_derived_from_its_drawing(name: str) -> None:
    stem, state = STATES[name]
    made, shipped = state(IMAGES / f"{stem}.svg"), (IMAGES / name).read_bytes()
    if name.endswith(".pdf"):
        assert made == shipped
        return
    ours, theirs = (np.asarray(Image.open(io.BytesIO(file)).convert("RGBA"), int) for file in (made, shipped))
    assert ours.shape == theirs.shape
    assert np.abs(ours - theirs).mean() < 0.5  # another processor may round the odd grey level otherwise
