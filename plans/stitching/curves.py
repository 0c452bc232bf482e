"""How is a way measured and stepped along? Lengths, resampling, and needle points by curvature and chord error."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from analyse.values import Floats

SAMPLE_MM = 0.1  # how finely a way is sampled before it is measured
CORNER_DEG = 40.0  # a sharper turn at one point is a corner: the needle falls on it
BEND_OVER_MM = 0.6  # curvature is read over this much of the way, so that a traced outline's steps do not count


def lengths(path: Floats) -> Floats:
    """Length of each step of a path (N, 2)."""
    steps = np.diff(path, axis=0)
    return np.asarray(np.hypot(steps[:, 0], steps[:, 1]))


def along(path: Floats) -> Floats:
    """Way from the first point to each point."""
    return np.concatenate([[0.0], np.cumsum(lengths(path))])


def at_way(path: Floats, way: Floats, wanted: Floats) -> Floats:
    """Points of `path` at the `wanted` ways along it; columns beyond x, y are carried along."""
    return np.column_stack([np.interp(wanted, way, path[:, column]) for column in range(path.shape[1])])


def sampled(path: Floats, step_mm: float = SAMPLE_MM) -> Floats:
    """`path` at even steps of at most `step_mm`, both ends included."""
    way = along(path)
    count = max(int(np.ceil(way[-1] / step_mm - 1e-9)), 1)
    return at_way(path, way, np.linspace(0.0, way[-1], count + 1))


def without_repeats(path: Floats) -> Floats:
    """`path` without points that repeat the one before."""
    keep = np.concatenate([[True], lengths(path) > 1e-9]) if len(path) else np.ones(0, bool)
    return np.asarray(path[keep])


def corners_of(path: Floats) -> Floats:
    """Ways along the path at which it turns sharply, its two ends among them."""
    way = along(path)
    sharp = way[1:-1][np.abs(_turns(np.diff(path, axis=0))) > np.radians(CORNER_DEG)]
    return np.unique(np.concatenate([[0.0], sharp, way[-1:]]))


def chord_limits(path: Floats, stitch_mm: float, chord_error_mm: float) -> Floats:
    """Arc that one stitch may span at each sample of an evenly sampled path: c = min(l, 2 sqrt(2 r e - e^2)) as arc."""
    bend = _curvature(path)
    radius = 1.0 / np.maximum(bend, 1e-6)
    error = np.minimum(chord_error_mm, radius)
    chord = np.minimum(stitch_mm, 2.0 * np.sqrt(2.0 * radius * error - error**2))
    return np.asarray(2.0 * radius * np.arcsin(np.clip(chord / (2.0 * radius), 0.0, 1.0)))


def stitched(path: Floats, stitch_mm: float, chord_error_mm: float, *, closed: bool = False) -> Floats:
    """Needle points along `path` (N, 2): no chord over `stitch_mm`, none leaves the way by more than the error.

    Corners get a needle point. A closed path returns to its first point, which is repeated.
    """
    path = without_repeats(np.vstack([path, path[:1]]) if closed else path)
    if len(path) < 2:
        return path
    way = along(path)
    runs = []
    for begin, end in pairwise(corners_of(path)):
        inner = way[(way > begin) & (way < end)]
        runs.append(_stepped_run(at_way(path, way, np.concatenate([[begin], inner, [end]])), stitch_mm, chord_error_mm))
    return np.concatenate([*(run[:-1] for run in runs[:-1]), runs[-1]])


def _stepped_run(run: Floats, stitch_mm: float, chord_error_mm: float) -> Floats:
    fine = sampled(run)
    step = lengths(fine)
    limit = chord_limits(fine, stitch_mm, chord_error_mm)
    measure = np.concatenate([[0.0], np.cumsum(step * 2.0 / (limit[1:] + limit[:-1]))])
    count = max(int(np.ceil(measure[-1] - 1e-6)), 1)
    return np.column_stack(
        [np.interp(np.linspace(0.0, measure[-1], count + 1), measure, fine[:, column]) for column in (0, 1)]
    )


def _curvature(path: Floats) -> Floats:
    """Bend of an evenly sampled path at each sample, 1/mm, read over BEND_OVER_MM."""
    if len(path) < 5:
        return np.zeros(len(path))
    step = float(lengths(path).mean())
    reach = int(min(max(round(BEND_OVER_MM / 2 / max(step, 1e-9)), 1), (len(path) - 1) // 2))
    before, here, after = path[: -2 * reach], path[reach:-reach], path[2 * reach :]
    turn = np.abs(_angle(here - before, after - here))
    bend = turn / (reach * step)
    return np.concatenate([np.full(reach, bend[0]), bend, np.full(reach, bend[-1])])


def _turns(steps: Floats) -> Floats:
    return _angle(steps[:-1], steps[1:])


def _angle(a: Floats, b: Floats) -> Floats:
    return np.asarray(np.arctan2(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0], (a[..., :2] * b[..., :2]).sum(axis=-1)))
