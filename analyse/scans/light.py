"""Uneven light and paper: how bright the bare paper would be at every pixel."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.scans.quality import BLOCK_PX

Blocks = NDArray[np.float32]
# Deviation within a block, of 255, up to which it may be bare paper.
_SMOOTH_DEVIATION = 12.0
# Tiles along a side from whose bright blocks the search for paper starts.
_TILES = 7
# How far paper may be off the fitted light, in log brightness: first fit, later fits, and about the smoothed field.
_FAR, _NEAR, _LOCAL = 0.10, 0.06, 0.035
_FITS = 6
# Hues of the seeds, as differences of log brightness between channels, are counted in cells of this side, and with each
# the cells about it; a hue so far from grey counts half.
_HUE_CELL, _PALE = 0.06, 0.3
# Least share of blocks that are paper; darkest and most coloured paper, as photographed: in a picture that may be of
# something else, and on a sheet that was found by its edges, under a lamp or of a colour of its own.
_LEAST_SHARE, _DARKEST, _MOST_COLOURED, _MOST_COLOURED_SHEET = 0.10, 100.0, 0.32, 0.7
# Brighter than the light on the paper by so much in log brightness, light shines back; darker by so much from the edge
# of the sheet inwards, and of the paper's own hue but for so much, a shadow lies there.
_SHINE, _SHADE, _DEEPEST, _SAME_HUE = 0.08, 0.15, 1.2, 0.08
# Reach of the smoothed field, as a share of the long side.
_REACH = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class Light:
    """field: (H, W, 3) float32, brightness of bare paper, 0..255. share: of blocks that are paper.

    grain: deviation within paper blocks, levels. spread: darkest to brightest paper, as a share. shine, shade: shares
    of the picture where light shines back, and where a shadow seems to lie.
    """

    field: Blocks
    share: float
    grain: float
    spread: float
    shine: float
    shade: float


def find_light(rgb: NDArray[np.uint8], *, sheet: bool = False) -> Light | None:
    """The light on the paper of a scan, or of a `sheet` that was squared; None where no paper is seen."""
    means, deviation = _block_statistics(rgb)
    logs = np.log(np.maximum(means, 1.0))
    smooth = deviation <= _SMOOTH_DEVIATION
    if smooth.sum() < 30:
        return None
    trend, paper = _trend(logs, smooth)
    if paper is None:
        return None
    local = _local(logs - trend, paper)
    paper &= np.abs(logs - trend - local).max(axis=2) < _LOCAL
    if not _is_paper(means, paper, _MOST_COLOURED_SHEET if sheet else _MOST_COLOURED):
        return None
    local = _local(logs - trend, paper)
    field = np.exp(trend + local).astype(np.float32)
    height, width = rgb.shape[:2]
    brightness = field.mean(axis=2)
    return Light(
        _at_full_size(field, (width, height)),
        float(paper.mean()),
        float(np.median(deviation[paper])),
        float(1 - brightness.min() / brightness.max()),
        *_shine_and_shade(logs - trend - local, smooth),
    )


def _shine_and_shade(rest: Blocks, smooth: NDArray[np.bool_]) -> tuple[float, float]:
    bright, hue = rest.mean(axis=2), np.ptp(rest, axis=2)
    dark = smooth & (bright < -_SHADE) & (bright > -_DEEPEST) & (hue < _SAME_HUE)
    _, pieces = cv2.connectedComponents(dark.astype(np.uint8), connectivity=4)
    rim = np.concatenate([pieces[0], pieces[-1], pieces[:, 0], pieces[:, -1]])
    return float((smooth & (rest.min(axis=2) > _SHINE)).mean()), float((dark & np.isin(pieces, rim[rim > 0])).mean())


def _block_statistics(rgb: NDArray[np.uint8]) -> tuple[Blocks, Blocks]:
    """Mean (h, w, 3) and the noisiest channel's deviation (h, w) of whole blocks."""
    rows, columns = (max(1, side // BLOCK_PX) for side in rgb.shape[:2])
    values = rgb[: rows * BLOCK_PX, : columns * BLOCK_PX].astype(np.float32)
    size = columns, rows
    means = np.asarray(cv2.resize(values, size, interpolation=cv2.INTER_AREA), np.float32)
    squares = np.asarray(cv2.resize(values * values, size, interpolation=cv2.INTER_AREA), np.float32)
    deviation = np.sqrt(np.maximum(squares - means * means, 0))
    return means, np.asarray(deviation.max(axis=2), np.float32)


def _trend(logs: Blocks, smooth: NDArray[np.bool_]) -> tuple[Blocks, NDArray[np.bool_] | None]:
    """A smooth light fitted to what is bright and even, and which blocks agree with it."""
    terms = _terms(*logs.shape[:2])
    brightness = logs.mean(axis=2)
    seeds = _of_one_hue(logs, _bright_blocks(brightness, smooth))
    trend = _fitted(logs, terms[..., :3], seeds)
    for fit in range(_FITS):
        rest = np.abs(logs - trend).max(axis=2)
        # A plane may be far off light that falls away quickly: at first the nearer half of the seeds counts at least.
        reach = max(_FAR, float(np.median(rest[seeds]))) if fit < 2 else _NEAR
        paper = smooth & (rest < reach)
        if paper.mean() < _LEAST_SHARE / 2:
            return trend, None
        trend = _fitted(logs, terms[..., : 6 if fit < 3 else 10], paper)
    return trend, smooth & (np.abs(logs - trend).max(axis=2) < _NEAR)


def _terms(rows: int, columns: int) -> Blocks:
    """Polynomial terms up to the third order over the picture, (h, w, 10)."""
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j].astype(np.float32)
    powers = [(i, order - i) for order in range(4) for i in range(order + 1)]
    return np.stack([x**i * y**j for i, j in powers], axis=-1)


def _bright_blocks(brightness: Blocks, smooth: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The brightest smooth blocks of every tile that are no darker than paper could be there."""
    seeds = np.zeros(brightness.shape, bool)
    floor = np.percentile(brightness[smooth], 95) - np.log(2.2)
    for rows in np.array_split(np.arange(brightness.shape[0]), _TILES):
        for columns in np.array_split(np.arange(brightness.shape[1]), _TILES):
            if not len(rows) or not len(columns):
                continue
            tile = np.ix_(rows, columns)
            bright = brightness[tile][smooth[tile]]
            if len(bright):
                level = max(float(np.percentile(bright, 80)), floor)
                seeds[tile] = smooth[tile] & (brightness[tile] >= level)
    return seeds


def _of_one_hue(logs: Blocks, seeds: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Of the seeds those of one hue, common and pale: paper has one, whatever the light, and bright art has others."""
    hues = logs[..., :2] - logs[..., 1:]
    cells, place, counts = np.unique(np.rint(hues[seeds] / _HUE_CELL), axis=0, return_inverse=True, return_counts=True)
    near = np.abs(cells[:, None] - cells[None]).max(axis=2) <= 1
    pale = 1 / (1 + np.abs(cells).max(axis=1) * _HUE_CELL / _PALE)
    kept = near[np.argmax((near @ counts) * pale)][place.reshape(-1)]
    one = np.zeros_like(seeds)
    one[seeds] = kept
    return one


def _fitted(logs: Blocks, terms: Blocks, chosen: NDArray[np.bool_]) -> Blocks:
    """Least squares with a slight pull to a plain plane, so that bare corners do not run away."""
    matrix = terms[chosen].astype(float)
    pull = np.diag(np.sqrt([1e-3 * len(matrix) if index >= 3 else 1e-9 for index in range(terms.shape[-1])]))
    stacked = np.vstack([matrix, pull])
    values = np.vstack([logs[chosen], np.zeros((terms.shape[-1], 3))])
    factors = np.linalg.lstsq(stacked, values, rcond=None)[0]
    return np.asarray(terms @ factors.astype(np.float32), np.float32)


def _local(rest: Blocks, paper: NDArray[np.bool_]) -> Blocks:
    """What remains on the paper, smoothed over its neighbourhood; nothing far from any paper."""
    reach = max(1.0, _REACH * max(paper.shape))
    weight = paper.astype(np.float32)
    sums = cv2.GaussianBlur(rest * weight[..., None], (0, 0), reach, borderType=cv2.BORDER_REFLECT)
    weights = cv2.GaussianBlur(weight, (0, 0), reach, borderType=cv2.BORDER_REFLECT)
    return np.asarray(sums / (weights + 0.02)[..., None], np.float32)


def _is_paper(means: Blocks, paper: NDArray[np.bool_], most_coloured: float) -> bool:
    if paper.mean() < _LEAST_SHARE:
        return False
    low, high = means[paper].min(axis=1), means[paper].max(axis=1)
    return bool(np.median(high) > _DARKEST and np.median(1 - low / np.maximum(high, 1)) < most_coloured)


def _at_full_size(field: Blocks, size: tuple[int, int]) -> Blocks:
    return np.asarray(cv2.resize(field, size, interpolation=cv2.INTER_LINEAR), np.float32)
