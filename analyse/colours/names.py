"""What a colour is called: ISCC-NBS names.

Source: ISCC-NBS names (Kelly and Judd, NBS Special Publication 440, 1976); centroids by the Munsell renotation.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import ArrayLike

from analyse.colours.difference import ciede2000
from analyse.colours.lab import Floats, srgb_to_lab
from analyse.values import Colour

NEUTRAL_CHROMA = 2.0  # below it the eye sees no hue: named by lightness alone
NEUTRALS = ("black", "dark gray", "medium gray", "light gray", "white")
NEUTRAL_STEPS = (25.26, 45.89, 65.98, 85.35)  # L* of Munsell values 2.5, 4.5, 6.5, 8.5


@cache
def _centroids() -> tuple[tuple[str, ...], Floats]:
    text = resources.files("analyse.colours").joinpath("iscc_nbs.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(row for row in text.splitlines() if not row.startswith("#")))
    return tuple(row["name"] for row in rows), np.array([[float(row[axis]) for axis in "Lab"] for row in rows])


def colour_name(lab: ArrayLike) -> str:
    """ISCC-NBS name, one of 267, of a CIELAB colour, (3,): a neutral by lightness, else the nearest centroid."""
    value = np.asarray(lab, dtype=np.float64)
    if np.hypot(value[1], value[2]) < NEUTRAL_CHROMA:
        return NEUTRALS[int(np.searchsorted(NEUTRAL_STEPS, value[0], side="right"))]
    names, centroids = _centroids()
    return names[int(np.argmin(ciede2000(value, centroids)))]


def centroid(name: str) -> Floats | None:
    """The CIELAB colour, (3,), in the middle of what ISCC-NBS calls so; None where it has no such name."""
    names, centroids = _centroids()
    return centroids[names.index(name)] if name in names else None


def colour(rgb: ArrayLike) -> Colour:
    """The Colour of sRGB values, (3,), 0..255; rounded to whole ones."""
    red, green, blue = (int(value) for value in np.clip(np.rint(np.asarray(rgb, dtype=np.float64)), 0, 255))
    lab = srgb_to_lab((red, green, blue))
    return Colour((red, green, blue), (float(lab[0]), float(lab[1]), float(lab[2])), colour_name(lab))
