"""What is done to a picture is done to its drawing, and nothing else: on the artworks of the examples."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
import resvg_py
from PIL import Image

from analyse.tracing import trace
from analyse.values import Drawing
from tests.analyse.tracing_laws import LAWS, Picture, artwork

IMAGES = Path(__file__).parents[2] / "images"
ART = ("clover-bee", "cairn-hill", "skerry-puffin", "brockhurst-badger")
WIDE_PX = 300


@cache
def read(name: str) -> tuple[Picture, Drawing]:
    png = bytes(resvg_py.svg_to_bytes(svg_path=str(IMAGES / f"{name}.svg"), width=WIDE_PX, background="white"))
    picture = np.asarray(Image.open(BytesIO(png)).convert("RGB"))
    return picture, trace(artwork(picture))


@pytest.mark.parametrize("law", ["turned", "mirrored", "doubled", "framed", "permuted", "spotted", "tiled"])
@pytest.mark.parametrize("name", ART)
def test_the_law_holds_on_real_art(name: str, law: str) -> None:
    found = LAWS[law](*read(name))
    assert found.holds, found
