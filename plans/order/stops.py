"""A sewing in its place in the order."""

from __future__ import annotations

from dataclasses import dataclass

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Stop:
    """One task in its place: where it should begin and end, None where that is left to it."""

    task: int
    start: Place | None
    end: Place | None
