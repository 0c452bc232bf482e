"""Thin strokes in compressed art are read, though hardly any of their pixels is flat."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from analyse.colours.reading import read_colours
from analyse.files import read_artwork
from tests.benchmarks.kinds import picture, strokes


def test_strokes_without_a_flat_pixel_near_are_read_in_a_jpeg() -> None:
    """Bars and arcs of 2.5 to 20 px in a JPEG of quality 85: most of what is not flat lies far from any flat ink."""
    data = io.BytesIO()
    Image.fromarray(picture(305, on_body=False)).save(data, "jpeg", quality=85)
    reading = read_colours(read_artwork(data.getvalue()).rgba)
    ink = int(np.argmin(reading.colours.sum(axis=1)))
    drawn = sum(stroke.shape.area for stroke in strokes(305)) + 4 * 12**2
    assert abs((reading.label == ink).sum() / drawn - 1) < 0.03
