"""The size-free reading: from a picture to flat colours and the regions they fill."""

from __future__ import annotations

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.colours.lab import srgb_to_lab
from analyse.colours.names import colour
from analyse.errors import NothingToSewError
from analyse.regions.connected import connect, saddles
from analyse.regions.coverage import polygons
from analyse.regions.cracks import find_cracks
from analyse.regions.nesting import shared_edges
from analyse.regions.outlines import crack_points, simplified
from analyse.values import Artwork, Drawing, Region

FLAT_SPAN = 10  # of 255, within 3 x 3
SEED_REACH = 7


def trace(artwork: Artwork, *, max_colours: int | None = None) -> Drawing:
    """Read the flat colours and regions of an artwork. Errors: NothingToSewError."""
    rgb = np.ascontiguousarray(artwork.rgba[..., :3])
    clear = artwork.rgba[..., 3] < 128
    shown = np.where(clear[..., None], 255, rgb).astype(np.uint8)
    span = (cv2.dilate(shown, np.ones((3, 3))) - cv2.erode(shown, np.ones((3, 3)))).max(axis=2)
    flat = (span <= FLAT_SPAN) & ~clear
    modes = _modes(shown[flat] if flat.any() else shown[~clear], max_colours)
    if not len(modes):
        raise NothingToSewError("the artwork holds nothing to sew", artwork.name, "send a picture with something in it")
    labels = _nearest(shown, flat, modes)
    labels[clear] = -1
    background = None
    if not clear.any():
        rim = np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]])
        around = int(np.bincount(rim).argmax())
        background = colour(modes[around])
        labels = np.where(labels == around, -1, labels - (labels > around)).astype(np.int16)
        modes = np.delete(modes, around, axis=0)
    if not (labels >= 0).any():
        raise NothingToSewError("the artwork holds nothing to sew", artwork.name, "send it on another background")
    return Drawing(
        artwork,
        labels,
        tuple(colour(mode) for mode in modes),
        _regions(labels),
        artwork.from_file,
        0.5,
        background,
        px_per_mm=artwork.px_per_mm,
    )


def _modes(pixels: NDArray[np.uint8], most: int | None) -> NDArray[np.uint8]:
    code = (pixels >> 3).astype(np.int64) @ np.array([1024, 32, 1])
    counts = np.bincount(code, minlength=32768)
    smoothed = cv2.GaussianBlur(counts.reshape(32, 1024).astype(np.float32), (1, 1), 0).reshape(-1)
    chosen: list[NDArray[np.uint8]] = []
    for peak in np.argsort(-smoothed, kind="stable")[:64]:
        if counts[peak] < max(12, len(pixels) * 2e-4):
            break
        rgb = np.median(pixels[code == peak], axis=0).astype(np.uint8)
        if all(ciede2000(srgb_to_lab(rgb), srgb_to_lab(other)) > 6 for other in chosen):
            chosen.append(rgb)
    return np.array(chosen[: most + 1 if most else None], dtype=np.uint8).reshape(-1, 3)


def _nearest(rgb: NDArray[np.uint8], flat: NDArray[np.bool_], modes: NDArray[np.uint8]) -> NDArray[np.int16]:
    best = np.full(rgb.shape[:2], np.inf, dtype=np.float32)
    labels = np.zeros(rgb.shape[:2], dtype=np.int16)
    apart = [((rgb.astype(np.float32) - mode) ** 2).sum(axis=2) for mode in modes]
    own = np.argmin(apart, axis=0)
    for index, distance in enumerate(apart):
        near = cv2.dilate((flat & (own == index)).astype(np.uint8), np.ones((SEED_REACH, SEED_REACH)))
        cost = distance + np.where(near > 0, 0, 1e6).astype(np.float32)
        closer = cost < best
        best[closer], labels[closer] = cost[closer], index
    return labels


def _regions(labels: NDArray[np.int16]) -> tuple[Region, ...]:
    joined = saddles(labels)
    numbered, own = connect(labels, joined)
    cracks = find_cracks(numbered, joined)
    lines = crack_points(cracks)
    outlines = polygons(cracks, simplified(lines), len(own))
    if not shapely.is_valid(outlines).all() or not shapely.coverage_is_valid(outlines):
        outlines = polygons(cracks, lines, len(own))
    sewn = [number for number in range(len(own)) if own[number] >= 0]
    new = {number: place for place, number in enumerate(sewn)}
    touches: dict[int, list[tuple[int, float]]] = {number: [] for number in sewn}
    for (one, other), length in sorted(shared_edges(cracks, lines).items()):
        if one in new and other in new:
            touches[one].append((new[other], length))
            touches[other].append((new[one], length))
    return tuple(
        Region(new[number], int(own[number]), outlines[number], None, tuple(sorted(touches[number]))) for number in sewn
    )
