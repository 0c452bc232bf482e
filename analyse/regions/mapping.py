"""From labelled pixels to regions: outlined, nested, and knowing whom they touch."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, STRtree

from analyse.regions.chains import Bools, Floats
from analyse.regions.connected import connect, saddles
from analyse.regions.coverage import polygons
from analyse.regions.cracks import Cracks, find_cracks
from analyse.regions.nesting import parents, shared_edges
from analyse.regions.outlines import Outlines, crack_lines, fit
from analyse.regions.subpixel import Shares, offsets
from analyse.values import Region

_REPAIRS_PX = (1.5, 2.0, 3.0, 3.0, 4.0, 4.0, 6.0, 8.0)  # round by round, how far about a fault outlines go back
_PLACE = re.compile(r"\[(\S+) (\S+)\]")  # of a fault, in GEOS's words


@dataclass(frozen=True, slots=True)
class Fit:
    """How outlines are measured and drawn.

    reach: pixels either side of an edge that it may have blurred. smooth: points either side that one is smoothed
    over. tolerance_px: of simplifying. round_px: the radius that a sharp corner may seem to have, blurred as it was.
    """

    reach: int = 2
    smooth: int = 3
    tolerance_px: float = 0.1
    round_px: float = 1.75


def map_regions(labels: NDArray[np.int16], shares: Shares, how: Fit) -> tuple[tuple[Region, ...], Outlines]:
    """The regions of a label map, (H, W), -1 left out, and their outlines as they were fitted.

    Outlines are a valid coverage: neighbours share every point of their common edge.
    """
    joined = saddles(labels)
    numbered, own = connect(labels, joined)
    cracks = find_cracks(numbered, joined)
    fitted = fit(
        cracks,
        offsets(cracks, shares, how.reach),
        labels.shape,
        smooth=how.smooth,
        tolerance_px=how.tolerance_px,
        round_px=how.round_px,
    )
    lines, outlines = _sound(cracks, fitted)
    return _as_regions(cracks, lines, outlines, own), fitted


def _sound(cracks: Cracks, fitted: Outlines) -> tuple[list[Floats], list[Polygon]]:
    """Lines and polygons that are a valid coverage: where outlines cross, they go back to the pixels' own cracks."""
    lines, rough = list(fitted.lines), None
    for reach_px in _REPAIRS_PX:
        outlines = polygons(cracks, lines)
        places = _faults(outlines)
        if not len(places):
            return lines, outlines
        rough = rough or crack_lines(cracks)
        places = np.concatenate([places, _crossings(lines)])
        tree = STRtree([shapely.LineString(line) for line in lines])
        near = np.unique(tree.query(shapely.buffer(shapely.points(places), reach_px), predicate="intersects")[1])
        for chain in near.tolist():
            lines[chain] = _repaired(lines[chain], rough[chain], places, reach_px, looped=bool(cracks.closed[chain]))
    rough = crack_lines(cracks)
    return rough, polygons(cracks, rough)


def _repaired(line: Floats, rough: Floats, places: Floats, reach_px: float, *, looped: bool) -> Floats:
    """The line, but along the rough one within reach of the places."""
    if looped:
        line, rough = line[:-1], rough[:-1]
    keep = ~_within(line, places, reach_px)
    taken = _within(rough, places, reach_px)
    if not looped:
        taken[[0, -1]] = ~keep[[0, -1]]
    along = ((line[:, None] - rough[None]) ** 2).sum(axis=2).argmin(axis=1)
    if not looped:
        along[[0, -1]] = 0, len(rough) - 1
    order = np.argsort(np.concatenate([along[keep], np.flatnonzero(taken)]), kind="stable")
    points: Floats = np.concatenate([line[keep], rough[taken]])[order]
    if len(points) < (3 if looped else 2):
        points = rough
    return np.vstack([points, points[:1]]) if looped else points


def _within(points: Floats, places: Floats, reach_px: float) -> Bools:
    apart = np.hypot(*(points[:, None] - places[None]).transpose(2, 0, 1))
    return np.asarray((apart < reach_px).any(axis=1), dtype=bool)


def _faults(outlines: list[Polygon]) -> Floats:
    """About where outlines cross themselves or each other, (N, 2).

    Every chain is walked once each way, so the winding numbers of all regions add up to one everywhere. Where each
    region's is that of a valid polygon, its shell running the pixels' way round and its holes against it, none
    overlap and nothing is left between.
    """
    faulty = np.flatnonzero(~shapely.is_valid(outlines))
    if len(faulty):
        reasons = " ".join(str(shapely.is_valid_reason(outlines[number])) for number in faulty)
        return np.array([[float(x), float(y)] for x, y in _PLACE.findall(reasons)]).reshape(-1, 2)
    rings, of = shapely.get_rings(outlines, return_index=True)
    shell = np.diff(of, prepend=-1) > 0
    inside_out = rings[shapely.is_ccw(rings) != shell]
    return np.asarray(shapely.get_coordinates(inside_out), dtype=np.float64)


def _crossings(lines: list[Floats]) -> Floats:
    """Where stretches of lines cross, (N, 2)."""
    pairs = np.concatenate([np.stack([line[:-1], line[1:]], axis=1) for line in lines])
    stretches = shapely.linestrings(pairs)
    one, two = STRtree(stretches).query(stretches, predicate="crosses")
    crossed = shapely.intersection(stretches[one], stretches[two])
    return np.asarray(shapely.get_coordinates(shapely.centroid(crossed)), dtype=np.float64)


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
