"""How is a way measured and stepped along? Lengths, resampling, and needle points by curvature and chord error."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats

Ints = NDArray[np.int64]

SAMPLE_MM = 0.1  # how finely a way is sampled before it is measured
CORNER_DEG = 40.0  # a sharper turn at one point is a corner: the needle falls on it
MENDED_TIMES = 8  # a stitch that leaves its way too far is shortened at most so often
CLOSER = 1.05  # and each time by so much more than its error asks for
BEND_OVER_MM = 0.6  # curvature is read over this much of the way, so that a traced outline's steps do not count


def lengths(path: Floats) -> Floats:
    """Length of each step of a path (N, 2)."""
    steps = path[1:, :2] - path[:-1, :2]
    return np.asarray(np.sqrt(steps[:, 0] ** 2 + steps[:, 1] ** 2))


def along(path: Floats) -> Floats:
    """Way from the first point to each point."""
    way = np.zeros(len(path))
    np.cumsum(lengths(path), out=way[1:])
    return way


def at_way(path: Floats, way: Floats, wanted: Floats) -> Floats:
    """Points of `path` at the `wanted` ways along it; columns beyond x, y are carried along."""
    points = np.empty((len(wanted), path.shape[1]))
    for column in range(path.shape[1]):
        points[:, column] = np.interp(wanted, way, path[:, column])
    return points


def sampled(path: Floats, step_mm: float = SAMPLE_MM) -> Floats:
    """`path` at even steps of at most `step_mm`, both ends included."""
    way = along(path)
    count = max(int(np.ceil(way[-1] / step_mm - 1e-9)), 1)
    return at_way(path, way, np.linspace(0.0, way[-1], count + 1))


def slopes(path: Floats) -> Floats:
    """Step of a path at each of its points (N, 2): half way from the one before to the one behind."""
    steps = np.empty_like(path)
    steps[1:-1] = (path[2:] - path[:-2]) / 2
    steps[0], steps[-1] = path[1] - path[0], path[-1] - path[-2]
    return steps


def without_repeats(path: Floats) -> Floats:
    """`path` without points that repeat the one before."""
    keep = np.concatenate([[True], lengths(path) > 1e-9]) if len(path) else np.ones(0, bool)
    return np.asarray(path[keep])


def corners_of(path: Floats) -> Floats:
    """Ways along the path at which it turns sharply, its two ends among them."""
    way, steps = along(path), path[1:, :2] - path[:-1, :2]
    sharp = way[1:-1][np.abs(_angle(steps[:-1], steps[1:])) > np.radians(CORNER_DEG)]
    return np.unique(np.concatenate([[0.0], sharp, way[-1:]]))


def stitched(path: Floats, stitch_mm: float, chord_error_mm: float, *, closed: bool = False) -> Floats:
    """Needle points along `path` (N, 2): no chord over `stitch_mm`, none leaves the way by more than the error.

    Corners get a needle point. A closed path returns to its first point, which is repeated.
    """
    path = without_repeats(np.vstack([path, path[:1]]) if closed else path)
    if len(path) < 2:
        return path
    runs = _runs(path[:, :2])
    arc = chord_arcs(_bends(runs), stitch_mm, chord_error_mm)
    step = np.where(runs.run[1:] == runs.run[:-1], runs.step_mm[runs.run[1:]] * 2.0 / (arc[1:] + arc[:-1]), 0.0)
    for _ in range(MENDED_TIMES):
        points, stitch = _parted(runs, step)
        off = _off(runs, points, stitch)
        if (off <= chord_error_mm).all():
            break
        closer = np.maximum(np.sqrt(off / chord_error_mm) * CLOSER, 1.0)
        step = step * np.where(off > chord_error_mm, closer, 1.0)[stitch[1:]]
    return points


@dataclass(frozen=True, slots=True, eq=False)
class _Runs:
    """A path parted at its corners, each run sampled evenly with both its ends: run[i] is the run of sample i.

    first, last: the samples at a run's ends; step_mm: how far apart its samples lie along the way.
    """

    fine: Floats
    run: Ints
    first: Ints
    last: Ints
    step_mm: Floats


def _runs(path: Floats) -> _Runs:
    way, cuts = along(path), corners_of(path)
    whole = np.diff(cuts)
    parts = np.maximum(np.ceil(whole / SAMPLE_MM - 1e-9), 1).astype(np.int64)
    run = np.repeat(np.arange(len(parts)), parts + 1)
    behind = np.cumsum(parts + 1)
    first, step = behind - parts - 1, whole / parts
    place = np.arange(len(run)) - first[run]
    return _Runs(at_way(path, way, cuts[run] + place * step[run]), run, first, behind - 1, step)


def chord_arcs(bend: Floats, stitch_mm: float, chord_error_mm: float) -> Floats:
    """Arc that one stitch may span where a path bends by `bend`, 1/mm: c = min(l, 2 sqrt(2 r e - e^2)) as arc."""
    radius = 1.0 / np.maximum(bend, 1e-6)
    error = np.minimum(chord_error_mm, radius)
    chord = np.minimum(stitch_mm, 2.0 * np.sqrt(2.0 * radius * error - error**2))
    return np.asarray(2.0 * radius * np.arcsin(np.clip(chord / (2.0 * radius), 0.0, 1.0)))


def _bends(runs: _Runs) -> Floats:
    """Bend at each sample, 1/mm, read over BEND_OVER_MM."""
    size = runs.last - runs.first + 1
    reach = np.clip(np.round(BEND_OVER_MM / 2 / np.maximum(runs.step_mm, 1e-9)), 1, (size - 1) // 2).astype(np.int64)
    off = reach[runs.run]
    here = np.clip(np.arange(len(runs.run)), (runs.first + reach)[runs.run], (runs.last - reach)[runs.run])
    before, after = runs.fine[here] - runs.fine[here - off], runs.fine[here + off] - runs.fine[here]
    bend = np.abs(_angle(before, after)) / np.maximum(off * runs.step_mm[runs.run], 1e-9)
    return np.asarray(np.where((size < 5)[runs.run], 0.0, bend))


def _parted(runs: _Runs, step: Floats) -> tuple[Floats, Ints]:
    """Needle points so that each run's measure is parted evenly, and the stitch that each sample lies on."""
    measure = np.concatenate([[0.0], np.cumsum(step)])
    begin, whole = measure[runs.first], measure[runs.last] - measure[runs.first]
    counts = np.maximum(np.ceil(whole - 1e-6), 1).astype(np.int64)
    run = np.repeat(np.arange(len(counts)), counts)
    before = np.cumsum(counts) - counts
    wanted = begin[run] + (np.arange(len(run)) - before[run]) * (whole / counts)[run]
    points = at_way(runs.fine, measure, np.concatenate([wanted, measure[-1:]]))
    share = (measure - begin[runs.run]) / np.maximum(whole / counts, 1e-12)[runs.run]
    return points, before[runs.run] + np.clip(np.ceil(share - 1e-9).astype(np.int64) - 1, 0, counts[runs.run] - 1)


def _off(runs: _Runs, points: Floats, stitch: Ints) -> Floats:
    """How far each stitch leaves the samples it spans."""
    begin, run = points[stitch], (points[1:] - points[:-1])[stitch]
    off = runs.fine - begin
    share = np.clip((off * run).sum(axis=1) / np.maximum((run**2).sum(axis=1), 1e-12), 0.0, 1.0)
    gap = off - share[:, None] * run
    heads = np.minimum(np.searchsorted(stitch, np.arange(len(points) - 1)), len(stitch) - 1)
    return np.asarray(np.maximum.reduceat(np.sqrt((gap**2).sum(axis=1)), heads))


def _angle(a: Floats, b: Floats) -> Floats:
    return np.asarray(np.arctan2(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0], (a[..., :2] * b[..., :2]).sum(axis=-1)))
