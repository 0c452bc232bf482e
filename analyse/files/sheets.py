"""The sheet a picture was printed on, as the practitioner states it: its corners and its true size."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from analyse.errors import JobError
from analyse.files.opened import Opened
from analyse.trade import nearest
from analyse.units import MM_PER
from analyse.values import Floats

# ISO 216 and ANSI/ASME Y14.1, width and height in mm, upright.
SHEETS_MM = {
    "a2": (420.0, 594.0),
    "a3": (297.0, 420.0),
    "a4": (210.0, 297.0),
    "a5": (148.0, 210.0),
    "a6": (105.0, 148.0),
    "b5": (176.0, 250.0),
    "letter": (215.9, 279.4),
    "legal": (215.9, 355.6),
    "tabloid": (279.4, 431.8),
}
_PAIR = re.compile(r"\s*([\d.]+)\s*(mm|cm|in|)\s*[x×*]\s*([\d.]+)\s*(mm|cm|in|)\s*", re.IGNORECASE)


def sheet_mm_of(sheet_size: str | tuple[float, float] | None) -> tuple[float, float] | None:
    """Width and height in mm of `a4`, `letter`, `210x297` (mm) or `8.5x11in`.

    Errors: JobError for a name that is no sheet, or a size outside 10 to 5,000 mm.
    """
    if sheet_size is None:
        return None
    if isinstance(sheet_size, str):
        named = SHEETS_MM.get(sheet_size.strip().lower())
        if named:
            return named
        match = _PAIR.fullmatch(sheet_size)
        if match is None:
            raise JobError(f"{sheet_size!r} is no sheet size", "--sheet-size", nearest(sheet_size, tuple(SHEETS_MM)))
        units = match[2].lower() or match[4].lower(), match[4].lower() or match[2].lower()
        sheet_size = float(match[1]) * MM_PER[units[0]], float(match[3]) * MM_PER[units[1]]
    width, height = float(sheet_size[0]), float(sheet_size[1])
    if not (10 <= width <= 5000 and 10 <= height <= 5000):
        raise JobError(f"a sheet of {width:g} x {height:g} mm", "--sheet-size", "write a4, letter or 210x297mm")
    return width, height


def corners_of(corners: Sequence[Sequence[float]] | None, opened: Opened) -> Floats | None:
    """Four corners, given in pixels of the upright file, as (4, 2) in canonical px: top left first, clockwise.

    Errors: JobError for another number of corners, corners outside the picture, or no four-sided shape.
    """
    if corners is None:
        return None
    height, width = opened.rgba.shape[:2]
    given = np.asarray(corners, float)
    if given.shape != (4, 2) or not np.isfinite(given).all():
        raise JobError("a sheet has four corners, each x,y", "--corners", "write x,y x,y x,y x,y in pixels")
    upright = opened.file_px if (opened.from_file[0, 0] != 0) else opened.file_px[::-1]
    points = given * [width / upright[0], height / upright[1]]
    if (points < -2).any() or (points > np.array([width, height]) + 2).any():
        raise JobError(
            "a corner lies outside the picture", "--corners", f"x up to {upright[0]:,}, y up to {upright[1]:,}"
        )
    return clockwise(points)


def clockwise(points: Floats) -> Floats:
    """Four points in order round their centre, the one nearest the top left first.

    Errors: JobError where they make no four-sided shape.
    """
    away = points - points.mean(axis=0)
    ordered = points[np.argsort(np.arctan2(away[:, 1], away[:, 0]), kind="stable")]
    first = int(np.argmin(ordered.sum(axis=1)))
    ordered = np.roll(ordered, -first, axis=0)
    side, following = (
        np.roll(ordered, -1, axis=0) - ordered,
        np.roll(ordered, -2, axis=0) - np.roll(ordered, -1, axis=0),
    )
    turns = side[:, 0] * following[:, 1] - side[:, 1] * following[:, 0]
    if (turns <= 1.0).any():
        raise JobError("the four corners make no sheet", "--corners", "give the sheet's four corners, each once")
    return ordered
