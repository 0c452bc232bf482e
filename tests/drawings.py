"""Drawings made from polygons, for tests that need no picture."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from shapely import Polygon

from analyse.colours.lab import srgb_to_lab
from analyse.values import Artwork, Colour, Drawing, Region

RGB = ((20, 40, 90), (200, 30, 30), (240, 200, 0))


def colour_of(rgb: tuple[int, int, int]) -> Colour:
    light, a, b = srgb_to_lab(rgb).tolist()
    return Colour(rgb, (light, a, b), f"rgb {rgb}")


def drawing_of(
    *outlines: Polygon, colours: Sequence[int] = (), edge_error_px: float = 0.05, parents: Sequence[int | None] = ()
) -> Drawing:
    """A drawing of these regions; colours: their indices into RGB (all 0 if not given)."""
    artwork = Artwork(np.zeros((2, 2, 4), np.uint8), "drawn", "0", "png", (2, 2), np.eye(3))
    regions = tuple(
        Region(
            i,
            colours[i] if colours else 0,
            outline,
            parents[i] if parents else None,
            tuple(
                (k, float(outline.boundary.intersection(other.boundary).length))
                for k, other in enumerate(outlines)
                if k != i and outline.boundary.intersection(other.boundary).length > 0
            ),
        )
        for i, outline in enumerate(outlines)
    )
    palette = tuple(colour_of(rgb) for rgb in RGB)
    return Drawing(artwork, np.full((2, 2), -1, np.int16), palette, regions, np.eye(3), edge_error_px)
