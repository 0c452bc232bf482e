"""How do a fill's rows turn along a bent shape? The shape is laid out straight along a guide, filled, and bent back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import LineString, MultiPolygon, Polygon

from analyse.values import Floats
from plans.stitching.curves import along, at_way, sampled
from plans.values import Trail

STEP_MM = 0.5  # a guide is sampled, and a shape's outline laid out, in steps of this
EVEN_DIGITS = 6  # places that differ by less are one, whichever way the shape is turned
SMOOTH_MM = 4.0  # over so much of a guide its turns are evened
BEYOND_MM = 60.0  # a guide goes straight on this far at both ends


@dataclass(frozen=True, slots=True, eq=False)
class Guide:
    """A smooth way: points (N, 2) along it, and at each the unit step across, to the right of the run as seen."""

    line: Floats
    across: Floats
    way: Floats

    def straightened(self, points: ArrayLike) -> Floats:
        """Places (N, 2) as (way along the guide, distance across it)."""
        places = shapely.points(np.asarray(points, float).reshape(-1, 2))
        curve = LineString(self.line)
        way = shapely.line_locate_point(curve, places)
        foot, across = at_way(self.line, self.way, way), at_way(self.across, self.way, way)
        off = shapely.get_coordinates(places) - foot
        side = np.where((off * across).sum(axis=1) < 0, -1.0, 1.0)
        return np.column_stack([way, side * np.hypot(*off.T)])

    def bent(self, places: ArrayLike) -> Floats:
        """(way along, distance across) back to places on the cloth."""
        laid = np.asarray(places, float).reshape(-1, 2)
        return at_way(self.line, self.way, laid[:, 0]) + laid[:, 1:] * at_way(self.across, self.way, laid[:, 0])


def guide_along(line: Floats) -> Guide:
    """A guide along a polyline (N, 2), its turns evened, carried straight on at both ends."""
    fine = sampled(np.asarray(line, float)[:, :2], STEP_MM)
    ends = [fine[0] - fine[min(len(fine) - 1, 4)], fine[-1] - fine[max(len(fine) - 5, 0)]]
    out = [end / max(float(np.hypot(*end)), 1e-9) * BEYOND_MM for end in ends]
    whole = sampled(np.vstack([fine[0] + out[0], fine, fine[-1] + out[1]]), STEP_MM)
    width = int(SMOOTH_MM / STEP_MM) | 1
    kernel = np.ones(width) / width
    padded = np.pad(whole, ((width // 2, width // 2), (0, 0)), mode="reflect", reflect_type="odd")
    even = np.column_stack([np.convolve(padded[:, axis], kernel, "valid") for axis in (0, 1)])
    run = np.gradient(even, axis=0)
    run = run / np.maximum(np.hypot(*run.T), 1e-9)[:, None]
    return Guide(even, np.column_stack([-run[:, 1], run[:, 0]]), along(even))


def laid_out(shape: Polygon | MultiPolygon, guide: Guide) -> Polygon | MultiPolygon | None:
    """The shape straightened along the guide; None where it bends too tightly to be laid out."""
    flat = shapely.transform(
        shapely.segmentize(shape, STEP_MM), lambda xy: np.round(guide.straightened(xy), EVEN_DIGITS)
    )
    return flat if flat.is_valid and flat.area > 0 else None


def widest_stretch(flat: Polygon | MultiPolygon, guide: Guide) -> float:
    """By how much lines across the guide spread, at most, when the shape is bent back."""
    places = shapely.get_coordinates(flat)
    ahead = np.array([STEP_MM, 0.0])
    ahead = guide.bent(places + ahead) - guide.bent(places - ahead)
    return float(np.hypot(*ahead.T).max() / (2 * STEP_MM))


def bent_back(trail: Trail, guide: Guide) -> Trail:
    """A trail laid over the straightened shape, on the cloth."""
    return Trail(guide.bent(trail.xy), trail.move, trail.lay) if len(trail.xy) else trail
