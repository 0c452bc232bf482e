"""From labelled pixels to regions: outlined, nested, and knowing whom they touch."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from analyse.regions.chains import Bools, Floats
from analyse.regions.connected import connect, saddles
from analyse.regions.coverage import polygons
from analyse.regions.cracks import Cracks, find_cracks
from analyse.regions.nesting import parents, shared_edges
from analyse.regions.outlines import Outlines, crack_lines, fit
from analyse.regions.subpixel import Shares, offsets
from analyse.values import Region

_REPAIRS_PX = (1.5, 1.5, 3.0, 3.0, 5.0, 0.0, 0.0)  # within which points go, round by round; 0: the rough line instead
_PLACE = re.compile(r"\[(\S+) (\S+)\]")  # of a fault, in GEOS's words


@dataclass(frozen=True, slots=True)
class Fit:
    """How outlines are measured and drawn.

    reach: pixels either side of an edge that it may have blurred. smooth: points either side that one is smoothed
    over. tolerance_px: of simplifying.
    """

    reach: int = 2
    smooth: int = 3
    tolerance_px: float = 0.1


def map_regions(labels: NDArray[np.int16], shares: Shares, how: Fit) -> tuple[tuple[Region, ...], float]:
    """The regions of a label map, (H, W), -1 left out, and the outlines' RMS spread in px.

    Outlines are a valid coverage: neighbours share every point of their common edge.
    """
    joined = saddles(labels)
    numbered, own = connect(labels, joined)
    cracks = find_cracks(numbered, joined)
    fitted = fit(
        cracks, offsets(cracks, shares, how.reach), labels.shape, smooth=how.smooth, tolerance_px=how.tolerance_px
    )
    lines, outlines = _sound(cracks, fitted, len(own))
    return _as_regions(cracks, lines, outlines, own), fitted.spread_px


def _sound(cracks: Cracks, fitted: Outlines, count: int) -> tuple[list[Floats], list[Polygon]]:
    """Lines and polygons that are a valid coverage.

    Where outlines cross, points near the fault are taken out; what still crosses goes back to the pixels' own cracks.
    """
    lines = list(fitted.lines)
    right, left = cracks.right[cracks.first[:-1]], cracks.left[cracks.first[:-1]]
    for reach_px in _REPAIRS_PX:
        outlines = polygons(cracks, lines, count)
        faulty, places = _faults(outlines)
        if not faulty.any():
            return lines, outlines
        beside = np.append(faulty, np.zeros(1, dtype=bool))  # the outside, negative, looks up the last
        for chain in np.flatnonzero(beside[np.maximum(right, -1)] | beside[np.maximum(left, -1)]):
            lines[chain] = _straightened(lines[chain], places, reach_px) if reach_px else fitted.rough[chain]
    lines = crack_lines(cracks)
    return lines, polygons(cracks, lines, count)


def _faults(outlines: list[Polygon]) -> tuple[Bools, Floats]:
    """Which polygons are faulty, and about where, (N, 2)."""
    faulty: Bools = ~shapely.is_valid(outlines)
    if faulty.any():
        reasons = " ".join(str(shapely.is_valid_reason(outlines[number])) for number in np.flatnonzero(faulty))
        return faulty, np.array([[float(x), float(y)] for x, y in _PLACE.findall(reasons)]).reshape(-1, 2)
    if shapely.coverage_is_valid(outlines):
        return faulty, np.empty((0, 2))
    edges = shapely.coverage_invalid_edges(outlines)
    return ~shapely.is_empty(edges), shapely.get_coordinates(edges)


def _straightened(line: Floats, places: Floats, reach_px: float) -> Floats:
    """The line without its inner points near faults, if enough of it is left."""
    near = (np.hypot(*(line[:, None] - places[None]).transpose(2, 0, 1)) < reach_px).any(axis=1)
    near[[0, -1]] = False
    looped = np.array_equal(line[0], line[-1])
    return line[~near] if (~near).sum() >= (4 if looped else 2) else line


def _as_regions(
    cracks: Cracks, lines: list[Floats], outlines: list[Polygon], own: NDArray[np.int16]
) -> tuple[Region, ...]:
    sewn = np.flatnonzero(own >= 0).tolist()
    new = {number: place for place, number in enumerate(sewn)}
    touches: dict[int, list[tuple[int, float]]] = {number: [] for number in sewn}
    for (one, other), length in sorted(shared_edges(cracks, lines).items()):
        if one in new and other in new:
            touches[one].append((new[other], length))
            touches[other].append((new[one], length))
    around = parents([outlines[number] for number in sewn])
    return tuple(
        Region(new[number], int(own[number]), outlines[number], around[new[number]], tuple(sorted(touches[number])))
        for number in sewn
    )
