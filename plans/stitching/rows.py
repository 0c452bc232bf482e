"""Where do the rows of a fill run? A shape cut by parallel lines, all edges and all rows at once.

Everything here lies in the fill's own frame: u along the rows, v across them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely import MultiPolygon, Polygon

from analyse.units import direction
from analyse.values import Floats

Ints = NDArray[np.int64]
SLANT_SHARE = 0.1  # how far a row ends short on a slanting edge, as a share of what the edge moves from row to row
SLANT_MOST = 0.2  # and at most, as a share of the rows' pitch


@dataclass(frozen=True, slots=True)
class Frame:
    """The fill's own axes: rows run along u, the first row has the least v; `start` lies at low u and low v."""

    along: tuple[float, float]
    across: tuple[float, float]

    def inward(self, xy: ArrayLike) -> Floats:
        """Cloth (..., 2) to frame."""
        return np.asarray(np.asarray(xy, float) @ np.array([self.along, self.across]).T)

    def outward(self, uv: ArrayLike) -> Floats:
        """Frame (..., 2) to cloth."""
        return np.asarray(np.asarray(uv, float) @ np.array([self.along, self.across]))


def frame_of(shape: Polygon | MultiPolygon, angle_deg: float, start: tuple[float, float] | None) -> Frame:
    """The axes of rows at `angle_deg`, turned so that `start` lies in the quarter of low u and low v.

    So a turned or mirrored shape with its start turned or mirrored alike is sewn alike.
    """
    u = np.array(direction(angle_deg))
    v = np.array([-u[1], u[0]])
    if start is not None:
        corners = shapely.get_coordinates(shape)
        u, v = (axis if _in_first_half(corners @ axis, float(np.dot(start, axis))) else -axis for axis in (u, v))
    return Frame((float(u[0]), float(u[1])), (float(v[0]), float(v[1])))


def _in_first_half(span: Floats, at: float) -> bool:
    return bool(at <= (span.min() + span.max()) / 2)


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Rows `pitch` apart from `first_v` on: span i lies in row `row[i]` from `low[i]` to `high[i]`, in order."""

    first_v: float
    pitch: float
    row: Ints
    low: Floats
    high: Floats

    def v_of(self, spans: Ints) -> Floats:
        """Where the row of each of some spans lies."""
        return np.asarray(self.first_v + self.row[spans] * self.pitch)

    def near(self, v: float, rows: int) -> tuple[Ints, float]:
        """The spans of the rows within so many of `v`, and the distance within which none is missed."""
        here = int(np.floor((v - self.first_v) / self.pitch + 0.5))
        first, behind = np.searchsorted(self.row, [here - rows, here + rows + 1])
        return np.arange(first, behind), (rows + 0.5) * self.pitch

    def __len__(self) -> int:
        return len(self.row)


def cut_rows(shape: Polygon | MultiPolygon, frame: Frame, pitch_mm: float, room_mm: float = 0.0) -> Rows:
    """The shape cut into rows near `pitch_mm` apart, so that a whole number of them fits its extent across.

    Rows lie at the middle of their strips: a rectangle h tall has round(h / pitch) of them. On a slanting edge a row
    ends a little short, so that half its strand does not stand over the edge, unless there is room for it beyond.
    """
    tails, heads = _edges(shape, frame)
    least, most = tails[:, 1].min(), tails[:, 1].max()
    count = max(1, round((most - least) / pitch_mm))
    pitch = (most - least) / count
    first = least + pitch / 2
    low_v, high_v = np.minimum(tails[:, 1], heads[:, 1]), np.maximum(tails[:, 1], heads[:, 1])
    begin = np.ceil((low_v - first) / pitch).astype(np.int64)
    times = np.ceil((high_v - first) / pitch).astype(np.int64) - begin
    edge = np.repeat(np.arange(len(tails)), times)
    row = begin[edge] + ragged_arange(times)
    slope = (heads[edge, 0] - tails[edge, 0]) / (heads[edge, 1] - tails[edge, 1])
    u = tails[edge, 0] + slope * (first + row * pitch - tails[edge, 1])
    short = np.minimum(SLANT_SHARE * pitch * np.abs(slope), SLANT_MOST * pitch)
    short = short if room_mm < pitch / 2 else np.zeros(len(short))
    order = np.lexsort((u, row))
    row, u, short = row[order], u[order], short[order]
    spans = Rows(float(first), float(pitch), row[::2], u[::2] + short[::2], u[1::2] - short[1::2])
    return picked(spans, spans.high > spans.low)


def picked(rows: Rows, keep: NDArray[np.bool_]) -> Rows:
    """Only the spans that `keep` names."""
    return Rows(rows.first_v, rows.pitch, rows.row[keep], rows.low[keep], rows.high[keep])


def lengthened(rows: Rows, pull_mm: float, open_gap_mm: float) -> Rows:
    """Every span longer by `pull_mm` at both ends; gaps in a row close to no less than `open_gap_mm` by it."""
    if pull_mm <= 0 or not len(rows):
        return rows
    same = rows.row[1:] == rows.row[:-1]
    gap = np.where(same, rows.low[1:] - rows.high[:-1], np.inf)
    gain = np.clip((gap - open_gap_mm) / 2, 0.0, pull_mm)
    low, high = rows.low.copy(), rows.high.copy()
    low[0] -= pull_mm
    high[-1] += pull_mm
    low[1:] -= gain
    high[:-1] += gain
    return Rows(rows.first_v, rows.pitch, rows.row, low, high)


def ragged_arange(counts: Ints) -> Ints:
    """0, 1, .. counts[0] - 1, 0, 1, .. counts[1] - 1 and so on."""
    ends = np.cumsum(counts)
    return np.arange(ends[-1] if len(ends) else 0) - np.repeat(ends - counts, counts)


def _edges(shape: Polygon | MultiPolygon, frame: Frame) -> tuple[Floats, Floats]:
    rings = [ring for polygon in shapely.get_parts(shape) for ring in (polygon.exterior, *polygon.interiors)]
    points = [frame.inward(shapely.get_coordinates(ring)) for ring in rings]
    return np.concatenate([p[:-1] for p in points]), np.concatenate([p[1:] for p in points])
