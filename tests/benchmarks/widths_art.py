"""What widths are measured on: closed forms, tapers, font stems and stroke icons, as pictures with their truth."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from pathlib import Path

import cv2
import numpy as np
import resvg_py
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from shapely import Point, Polygon, affinity

from tests.thickness_shapes import STROKES, published_cases

Floats = NDArray[np.float64]
FINE = 8
SUPERSAMPLED = 4
CONSTANT = [case for case in STROKES if case not in ("taper", "eccentric-ring")]
# icons of one width, drawn without joints or sharp corners: there a stroke is truly wider than drawn
ICONS = ("circle", "minus", "equal", "menu", "wifi", "audio-lines", "signal", "waves", "egg", "wind", "nfc", "loader")
ICON_UNITS, ICON_WIDTH = 24.0, 2.0
STEMS = "Il1|"  # letters of Pillow's own font that are one upright stem, or nearly


@dataclass(frozen=True)
class Art:
    """A picture; width: true width in px at (N, 2) points of an axis; length: of the true axis in px."""

    name: str
    rgb: NDArray[np.uint8]
    width_px: float
    width: Callable[[Floats], Floats]
    length: float


def constant(width: float) -> Callable[[Floats], Floats]:
    return lambda xy: np.full(len(xy), width)


def picture(shape: Polygon, side_px: int) -> tuple[NDArray[np.uint8], float, Callable[[Floats], Floats]]:
    """The shape, dark on white, its longer side 0.9 of the picture's; px per unit; from px back to units."""
    left, top, right, bottom = shape.bounds
    scale = 0.9 * side_px / max(right - left, bottom - top)
    room = 0.05 * side_px
    width, height = (int(size * scale + 2 * room) for size in (right - left, bottom - top))
    rings = [(np.array(ring.coords) - (left, top)) * scale + room for ring in (shape.exterior, *shape.interiors)]
    path = "".join("M" + "L".join(f"{x:.4f},{y:.4f}" for x, y in ring) + "Z" for ring in rings)
    source = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}">'
        f'<path fill-rule="evenodd" d="{path}"/></svg>'
    )
    large = _drawn(source, width * SUPERSAMPLED, height * SUPERSAMPLED)
    grey = cv2.resize(large, (width, height), interpolation=cv2.INTER_AREA)
    return np.dstack([grey] * 3), scale, lambda xy: (xy - room) / scale + (left, top)


def closed_forms(side_px: int) -> Iterator[Art]:
    """Strokes of one width: tests/published/local_thickness_cases.csv names the formula of each."""
    published = published_cases()
    for case in CONSTANT:
        rgb, scale, _ = picture(STROKES[case], side_px)
        width, length = float(published[case]["width_median"]) * scale, float(published[case]["axis_length"]) * scale
        yield Art(case, rgb, width, constant(width), length)


def tapers(side_px: int) -> Iterator[Art]:
    """Shapes whose width follows a law along the axis; the same table names it."""
    published = published_cases()
    slope = math.cos(math.atan(4 / 80))
    laws: dict[str, tuple[Polygon, Callable[[Floats], Floats]]] = {
        "taper": (STROKES["taper"], lambda xy: (1 + 4 * xy[:, 0] / 40) * slope),
        "wedge": (
            Polygon([(0, 0), (30, -3), (30, 3)]),
            lambda xy: 2 * np.minimum(xy[:, 0] * math.sin(math.atan(0.1)), 2 * 90 / 66.2993),
        ),
        "ellipse-15x5": (affinity.scale(Point(0, 0).buffer(1, 256), 15, 5), lambda xy: _ellipse(xy, 15, 5)),
        "ellipse-12x2": (affinity.scale(Point(0, 0).buffer(1, 256), 12, 2), lambda xy: _ellipse(xy, 12, 2)),
        "eccentric-ring": (STROKES["eccentric-ring"], lambda xy: 2 * (10 - np.hypot(*_onto(xy, 7, 3).T))),
    }
    for case, (shape, law) in laws.items():
        rgb, scale, back = picture(shape, side_px)
        row = published[case]
        widths = partial(_at, law=law, scale=scale, back=back)
        yield Art(case, rgb, float(row["width_median"]) * scale, widths, float(row["axis_length"]) * scale)


def _at(xy: Floats, *, law: Callable[[Floats], Floats], scale: float, back: Callable[[Floats], Floats]) -> Floats:
    return law(back(xy)) * scale


def _ellipse(xy: Floats, a: float, b: float) -> Floats:
    return np.asarray(2 * b * np.sqrt(np.maximum(1 - xy[:, 0] ** 2 / (a * a - b * b), 0)))


def _onto(xy: Floats, half: float, offset: float) -> Floats:
    """Points moved onto the ring's axis, an ellipse with half axis `half` and foci at 0 and `offset`."""
    across = math.sqrt(half**2 - (offset / 2) ** 2)
    turn = np.arctan2(xy[:, 1] / across, (xy[:, 0] - offset / 2) / half)
    return np.column_stack([offset / 2 + half * np.cos(turn), across * np.sin(turn)])


def stems(height_px: int) -> Iterator[Art]:
    """Upright stems of letters; the truth is the same letter's ink at eight times the size."""
    for letter in STEMS:
        large = _letter(letter, height_px * FINE)
        ink = large < 128
        rows = ink[np.flatnonzero(ink.any(axis=1))]
        across = rows.sum(axis=1) / FINE
        width = float(np.median(across))
        if np.percentile(across, 95) - np.percentile(across, 5) > 0.02 * width:
            continue
        small = cv2.resize(large, (large.shape[1] // FINE, large.shape[0] // FINE), interpolation=cv2.INTER_AREA)
        yield Art(f"stem {letter}", np.dstack([small] * 3), width, constant(width), len(rows) / FINE - width)


def _letter(letter: str, height: int) -> NDArray[np.uint8]:
    font = ImageFont.load_default(size=float(height))
    side = (2 * height) // FINE * FINE
    image = Image.new("L", (side, side), 255)
    ImageDraw.Draw(image).text((height // 2, height // 4), letter, fill=0, font=font)
    return np.asarray(image)


def icons(folder: Path, side_px: int) -> Iterator[Art]:
    """Stroke icons (lucide-static, npm, ISC): 2 of 24 units wide, round ends. Length: area by width, less the ends."""
    for name in ICONS:
        source = (folder / f"{name}.svg").read_text(encoding="utf-8").replace("currentColor", "#000000")
        large = _drawn(source, side_px * SUPERSAMPLED, side_px * SUPERSAMPLED)
        width = ICON_WIDTH * side_px / ICON_UNITS
        ink = (large < 128).astype(np.uint8)
        count, labels = cv2.connectedComponents(ink)
        open_ends = sum(cv2.connectedComponents((labels != k).astype(np.uint8))[0] == 2 for k in range(1, count))
        area = float((255.0 - large).sum()) / 255.0 / SUPERSAMPLED**2
        length = area / width - open_ends * math.pi * width / 4.0
        yield Art(name, np.dstack([_drawn(source, side_px, side_px)] * 3), width, constant(width), length)


def _drawn(source: str, width: int, height: int) -> NDArray[np.uint8]:
    """Grey, edges by their exact share of the pixel: a polygon filled pixel by pixel comes out half a pixel wider."""
    data = bytes(resvg_py.svg_to_bytes(svg_string=source, width=width, height=height, background="#ffffff"))
    return np.asarray(Image.open(BytesIO(data)).convert("L"))
