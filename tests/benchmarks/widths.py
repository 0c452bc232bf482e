"""How well widths are measured: ours, scikit-image's medial axis and OpenCV's distance transform used plainly.

Strokes of known width (tests/published/local_thickness_cases.csv) drawn into pictures, read and traced like any
artwork. The error is the mean over the stroke's length; length that was not found counts as wholly wrong.
Run: .venv/bin/python tests/benchmarks/widths.py
"""

from __future__ import annotations

import io
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from shapely import Polygon, affinity
from skimage.morphology import medial_axis

from analyse.files import read_artwork
from analyse.tracing import trace
from analyse.widths.measuring import measure
from analyse.widths.profile import by_length
from tests.thickness_shapes import STROKES, published_cases

CONSTANT = [case for case in STROKES if case not in ("taper", "eccentric-ring")]
ENLARGED = 3


def picture(shape: Polygon, side_px: int) -> tuple[NDArray[np.uint8], float]:
    """The shape, dark on white, its longer side 0.9 of the picture's; px per unit."""
    left, top, right, bottom = shape.bounds
    scale = 0.9 * side_px / max(right - left, bottom - top)
    fine = 8
    placed = affinity.translate(shape, -left, -top)
    placed = affinity.scale(placed, scale * fine, scale * fine, origin=(0, 0))
    room = 0.05 * side_px * fine
    width, height = (int(size * scale + 0.1 * side_px) for size in (right - left, bottom - top))
    mask = np.zeros((height * fine, width * fine), np.uint8)
    rings = [np.round(np.array(ring.coords) + room).astype(np.int32) for ring in (placed.exterior, *placed.interiors)]
    cv2.fillPoly(mask, rings, 255)
    grey = 255 - cv2.resize(mask, (width, height), interpolation=cv2.INTER_AREA)
    return np.dstack([grey] * 3), scale


def ours(rgb: NDArray[np.uint8]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    data = io.BytesIO()
    Image.fromarray(rgb).save(data, "png")
    artwork = read_artwork(data.getvalue())
    drawing = trace(artwork)
    scale = drawing.from_picture[0, 0]
    shape = max(measure(drawing).regions, key=lambda each: each.outline.area)
    widths, lengths = by_length([branch.axis for branch in shape.branches])
    return widths / scale, lengths / scale


def plain(rgb: NDArray[np.uint8], *, enlarge: int, thin: bool) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Twice the distance at the skeleton's pixels (less one pixel), each standing for one pixel of length."""
    grey = cv2.resize(rgb[..., 0], None, fx=enlarge, fy=enlarge, interpolation=cv2.INTER_CUBIC)
    mask = grey < 128
    skeleton, distance = medial_axis(mask, return_distance=True, rng=0)
    if thin:
        distance = cv2.distanceTransform(mask.astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE).astype(np.float64)
    widths = (2.0 * distance[skeleton] - 1.0) / enlarge
    return widths, np.full(len(widths), 1.0 / enlarge)


def error(found: tuple[NDArray[np.float64], NDArray[np.float64]], width: float, length: float) -> float:
    """Mean relative error over the true length; what is missing counts 1, what is too much counts as found."""
    widths, lengths = found
    total = float(lengths.sum())
    wrong = float((np.minimum(np.abs(widths / width - 1.0), 1.0) * lengths).sum()) / max(total, 1e-9)
    missing = max(1.0 - total / length, 0.0)
    return wrong * (1.0 - missing) + missing


def main() -> None:
    published = published_cases()
    print(f"{'picture':>10}  {'case':<18}{'width px':>9}{'ours %':>9}{'sk-image %':>12}{'OpenCV x3 %':>13}")
    for side in (1200, 300):
        sums, seconds = np.zeros(3), 0.0
        for case in CONSTANT:
            row = published[case]
            rgb, scale = picture(STROKES[case], side)
            width, length = float(row["width_median"]) * scale, float(row["axis_length"]) * scale
            start = time.process_time()
            mine = error(ours(rgb), width, length)
            seconds += time.process_time() - start
            each = [mine, error(plain(rgb, enlarge=1, thin=False), width, length)]
            each.append(error(plain(rgb, enlarge=ENLARGED, thin=True), width, length))
            sums += each
            shown = "".join(f"{100 * e:>{w}.2f}" for e, w in zip(each, (9, 12, 13), strict=True))
            print(f"{side:>7} px  {case:<18}{width:>9.1f}{shown}")
        mean = 100 * sums / len(CONSTANT)
        print(
            f"{side:>7} px  {'mean':<18}{'':>9}{mean[0]:>9.2f}{mean[1]:>12.2f}{mean[2]:>13.2f}   ours {seconds:.1f} s"
        )


if __name__ == "__main__":
    main()
