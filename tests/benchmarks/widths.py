"""How well widths are measured: ours, scikit-image's medial axis and OpenCV's distance transform used plainly.

Shapes of known width are drawn into pictures, read and traced like any artwork. The error is the mean over the axis'
length; length that was not found counts as wholly wrong, tapers and their tips included; how much was found stands
beside. Stroke icons are measured as well where their folder is given (npm pack lucide-static, then the package's icons
folder); they are not shipped.
Run: .venv/bin/python tests/benchmarks/widths.py [ICONS]
"""

from __future__ import annotations

import io
import sys
import time
from collections.abc import Iterable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from skimage.morphology import medial_axis

from analyse.files import read_artwork
from analyse.tracing import trace
from analyse.widths.measuring import measure
from tests.benchmarks.widths_art import Art, closed_forms, icons, stems, tapers

Floats = NDArray[np.float64]
Found = tuple[Floats, Floats, Floats]  # points (N, 2) in px, widths, the length each stands for
ENLARGED = 3


def ours(rgb: NDArray[np.uint8]) -> Found:
    """Every region's axis, by its pieces."""
    data = io.BytesIO()
    Image.fromarray(rgb).save(data, "png")
    drawing = trace(read_artwork(data.getvalue()))
    scale, offset = drawing.from_picture[0, 0], drawing.from_picture[:2, 2]
    axes = [axis for shape in measure(drawing).regions for axis in shape.whole.axes if len(axis) > 1]
    if not axes:
        return np.empty((0, 2)), np.empty(0), np.empty(0)
    middles = np.concatenate([(axis[1:] + axis[:-1]) / 2 for axis in axes])
    lengths = np.concatenate([np.hypot(*np.diff(axis[:, :2], axis=0).T) for axis in axes])
    return (middles[:, :2] - offset) / scale, middles[:, 2] / scale, lengths / scale


def plain(rgb: NDArray[np.uint8], *, enlarge: int, opencv: bool) -> Found:
    """Twice the distance at the skeleton's pixels (less one pixel), each standing for one pixel of length."""
    grey = cv2.resize(rgb[..., 0], None, fx=enlarge, fy=enlarge, interpolation=cv2.INTER_CUBIC)
    mask = grey < 128
    skeleton, distance = medial_axis(mask, return_distance=True, rng=0)
    if opencv:
        distance = cv2.distanceTransform(mask.astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE).astype(np.float64)
    y, x = np.nonzero(skeleton)
    widths = (2.0 * distance[skeleton] - 1.0) / enlarge
    return (np.column_stack([x, y]) + 0.5) / enlarge, widths, np.full(len(widths), 1.0 / enlarge)


def error(found: Found, art: Art) -> float:
    """Mean relative error over the true length; what is missing counts 1, what is too much counts as found."""
    points, widths, lengths = found
    total = float(lengths.sum())
    off = np.abs(widths / np.maximum(art.width(points), 1e-6) - 1.0)
    wrong = float((np.minimum(off, 1.0) * lengths).sum()) / max(total, 1e-9)
    missing = max(1.0 - total / art.length, 0.0)
    return wrong * (1.0 - missing) + missing


def compare(title: str, arts: Iterable[Art]) -> None:
    """Print a group of pictures row by row, and its mean."""
    rows, seconds = [], 0.0
    for art in arts:
        start = time.process_time()
        found = ours(art.rgb)
        mine = error(found, art)
        seconds += time.process_time() - start
        peers = [plain(art.rgb, enlarge=1, opencv=False), plain(art.rgb, enlarge=ENLARGED, opencv=True)]
        rows.append((mine, *(error(peer, art) for peer in peers)))
        more = f"   found {100 * min(float(found[2].sum()) / art.length, 1.0):.0f} %"
        show(title, art.name, f"{art.width_px:.1f}", rows[-1], more)
    if rows:
        show(title, "mean", "", tuple(np.mean(rows, axis=0).tolist()), f"   ours {seconds:.1f} s")


def show(title: str, name: str, width: str, errors: tuple[float, ...], more: str = "") -> None:
    shown = "".join(f"{100 * e:>{w}.2f}" for e, w in zip(errors, (9, 12, 13), strict=True))
    print(f"{title:<16}{name:<18}{width:>9}{shown}{more}", flush=True)


def main(folder: Path | None) -> None:
    print(f"{'picture':<16}{'case':<18}{'width px':>9}{'ours %':>9}{'sk-image %':>12}{'OpenCV x3 %':>13}")
    for side in (1200, 300):
        compare(f"strokes {side}", closed_forms(side))
    thin = [art for side in (1200, 600, 300) for art in closed_forms(side) if art.width_px < 12.0]
    compare("under 12 px", thin)
    for side in (1200, 300):
        compare(f"tapers {side}", tapers(side))
    compare("font stems", (art for height in (80, 200) for art in stems(height)))
    if folder is not None:
        for side in (1200, 300):
            compare(f"icons {side}", icons(folder, side))


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
