"""Where the sheet of paper lies in a photograph: its four corners."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.errors import JobError
from analyse.files.sheets import clockwise
from analyse.values import Floats

Grey = NDArray[np.float32]
# The sheet is looked for in a small copy, and its sides then measured in the picture itself.
_COPY_PX = 480
_LEVELS = 14
# Reach of the trend of the light, as a share of the long side.
_TREND = 0.2
# Least share of the picture a sheet covers, and of its own four-sided outline.
_LEAST_SHARE, _LEAST_FILL = 0.12, 0.9
# A sheet that covers more than this has no surroundings to be told from.
_MOST_SHARE = 0.97
# How much brighter, of 255, the paper is just inside a side than what lies outside, and along how much of it.
_STEP_LEVELS, _STEP_SHARE = 8.0, 0.8
_SIDE_SAMPLES = 96
# Half the length over which a side is searched for, as a share of the long side.
_SEARCH = 0.012


def find_sheet(rgb: NDArray[np.uint8]) -> Floats | None:
    """Corners of a bright sheet on a darker ground, (4, 2) px, top left first, clockwise; None where there is none.

    Accuracy: see test_paper, within 0.3 % of the side in simulated photographs.
    """
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    scale = min(1.0, _COPY_PX / max(grey.shape))
    copy: Grey = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA).astype(np.float32)
    copy = cv2.GaussianBlur(copy, (0, 0), 1.5).astype(np.float32)
    rough = _best_outline(copy)
    if rough is None:
        return None
    corners = _along_sides(np.asarray(cv2.GaussianBlur(grey, (0, 0), 1.0), np.float32), rough / scale)
    height, width = grey.shape
    return np.clip(corners, 0, (width, height)) if corners is not None else None


def _best_outline(copy: Grey) -> Floats | None:
    """The four-sided outline of the brightest wide area that fills it best, over several levels.

    Where light falls off far, no level parts the sheet from its ground: the same is tried with the trend taken out.
    """
    trend = cv2.GaussianBlur(copy, (0, 0), _TREND * max(copy.shape))
    evened = (copy / np.maximum(trend, 1.0) * float(copy.mean())).astype(np.float32)
    best: tuple[float, Floats] | None = None
    for shown in (copy, evened):
        darkest, brightest = (float(level) for level in np.percentile(shown, (8, 92)))
        for level in np.linspace(darkest, brightest, _LEVELS):
            outline = _outline_at(shown, float(level))
            step = None if outline is None else _step_at_sides(copy, outline[1])
            if outline is not None and step is not None and (best is None or outline[0] * step > best[0]):
                best = outline[0] * step, outline[1]
    return best[1] if best else None


def _outline_at(copy: Grey, level: float) -> tuple[float, Floats] | None:
    mask = cv2.morphologyEx((copy > level).astype(np.uint8), cv2.MORPH_OPEN, np.ones((5, 5), np.uint8))
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not contours:
        return None
    widest = max(contours, key=cv2.contourArea)
    area, whole = cv2.contourArea(widest), float(copy.size)
    if not _LEAST_SHARE * whole < area < _MOST_SHARE * whole:
        return None
    hull = np.asarray(cv2.convexHull(widest), np.int32)
    corners = _four_sided(hull)
    if corners is None:
        return None
    fill = area / max(cv2.contourArea(hull), cv2.contourArea(corners.astype(np.float32)))
    return (fill, corners) if fill > _LEAST_FILL else None


def _four_sided(hull: NDArray[np.int32]) -> Floats | None:
    around = cv2.arcLength(hull, True)
    for share in np.linspace(0.01, 0.08, 15):
        outline = cv2.approxPolyDP(hull, share * around, True)
        if len(outline) == 4:
            try:
                return clockwise(outline[:, 0].astype(float) + 0.5)
            except JobError:
                return None
    return None


def _step_at_sides(copy: Grey, corners: Floats) -> float | None:
    """Median brightness step from outside to inside; None if a side has none."""
    steps = []
    for start, end, inward in _sides(corners):
        along = start + (end - start) * np.linspace(0.08, 0.92, 40)[:, None]
        inside, outside = _sampled(copy, along + 4 * inward), _sampled(copy, along - 4 * inward)
        off = ~np.isfinite(outside)
        if off.mean() > 1 - _STEP_SHARE:  # the sheet reaches the picture's edge here
            return None
        step = inside[~off] - outside[~off]
        if (step > _STEP_LEVELS).mean() < _STEP_SHARE:
            return None
        steps.append(float(np.median(step)))
    return float(np.median(steps))


def _along_sides(grey: Grey, rough: Floats) -> Floats | None:
    """The corners where lines fitted to the four sides meet, to a fraction of a pixel."""
    reach = max(4.0, _SEARCH * max(grey.shape))
    fitted = (_fitted_side(grey, *side, reach) for side in _sides(rough))
    lines = [line for line in fitted if line is not None]
    if len(lines) < 4:
        return None
    corners = []
    for index in range(4):
        (point, way), (other, its_way) = lines[index - 1], lines[index]
        meeting = np.linalg.lstsq(np.stack([way, -its_way], axis=1), other - point, rcond=None)[0]
        corners.append(point + meeting[0] * way)
    refined = np.array(corners)
    return refined if np.abs(refined - rough).max() < 2.5 * reach else rough


def _fitted_side(grey: Grey, start: Floats, end: Floats, inward: Floats, reach: float) -> tuple[Floats, Floats] | None:
    share = np.linspace(0.04, 0.96, _SIDE_SAMPLES)
    along = start + (end - start) * share[:, None]
    offsets = np.arange(-reach, reach + 0.25, 0.5)
    places = along[:, None] + offsets[None, :, None] * inward
    profile = _sampled(grey, places.reshape(-1, 2)).reshape(len(along), -1)
    rise = cv2.GaussianBlur(np.nan_to_num(np.gradient(profile, axis=1)).astype(np.float32), (0, 0), 1.5)
    top = np.argmax(rise, axis=1).clip(1, len(offsets) - 2)
    rows = np.arange(len(along))
    left, mid, right = rise[rows, top - 1], rise[rows, top], rise[rows, top + 1]
    bend = np.minimum(left - 2 * mid + right, -1e-6)
    at = offsets[top] + 0.5 * np.clip(0.5 * (left - right) / bend, -1, 1)
    found = mid > 0.25 * np.median(mid)
    if found.sum() < 12:
        return None
    points = (along + at[:, None] * inward)[found].astype(np.float32)
    way_x, way_y, x, y = cv2.fitLine(points, cv2.DIST_WELSCH, 1.5, 0.01, 0.01).ravel().astype(float)
    return np.array([x, y]), np.array([way_x, way_y])


def _sides(corners: Floats) -> list[tuple[Floats, Floats, Floats]]:
    """Start, end and inward normal of each side, from the top one clockwise."""
    sides = []
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        way = (end - start) / np.linalg.norm(end - start)
        sides.append((start, end, np.array([-way[1], way[0]])))
    return sides


def _sampled(grey: Grey, places: Floats) -> Floats:
    """Values at places in px (a pixel's centre lies at .5), nan outside."""
    x, y = (places - 0.5).astype(np.float32).T
    values = cv2.remap(grey, x[None], y[None], cv2.INTER_LINEAR)[0].astype(float)
    inside = (x >= 0) & (y >= 0) & (x <= grey.shape[1] - 1) & (y <= grey.shape[0] - 1)
    return np.where(inside, values, np.nan)
