"""Numbered marks beside the artwork, each with a line to what it points at, so that nothing is covered."""

from __future__ import annotations

from dataclasses import dataclass

from analyse.values import Feature

LABEL_SHARE = 0.034  # a label's radius as a share of the picture's width
MOST = 40  # marks beside one picture; the table lists all


@dataclass(frozen=True, slots=True)
class Mark:
    """A number at (x, y) with a line to (to_x, to_y), in picture units."""

    number: int
    state: str
    title: str
    x: float
    y: float
    to_x: float
    to_y: float


def radius(width: float, height: float, number: int) -> float:
    """A label's radius: as large as the picture's width asks, small enough for all to stand in two columns."""
    rows = max(1, (number + 1) // 2)
    return min(LABEL_SHARE * width, height / rows / 2.3)


def beside(
    features: list[Feature], titles: list[str], box: tuple[float, float, float, float], size: float
) -> list[Mark]:
    """Marks left and right of `box` (left, top, right, bottom), in the order of the places they point at."""
    left, top, right, bottom = box
    halves: dict[bool, list[int]] = {False: [], True: []}
    by_x = sorted(range(len(features)), key=lambda n: (features[n].at_mm, n))
    for rank, number in enumerate(by_x):
        halves[rank >= len(by_x) / 2].append(number)
    marks: list[Mark] = []
    for is_right, numbers in halves.items():
        numbers.sort(key=lambda n: (features[n].at_mm[1], n))
        heights = _spread([features[n].at_mm[1] for n in numbers], top + size, bottom - size, 2.2 * size)
        x = right + 1.6 * size if is_right else left - 1.6 * size
        marks += [
            Mark(n + 1, features[n].state, titles[n], x, y, *features[n].at_mm)
            for n, y in zip(numbers, heights, strict=True)
        ]
    return sorted(marks, key=lambda mark: mark.number)


def _spread(wanted: list[float], low: float, high: float, apart: float) -> list[float]:
    """The wanted places, in order, moved as little as keeps them `apart` and inside (or evenly, where they crowd)."""
    if not wanted:
        return []
    apart = min(apart, (high - low) / max(1, len(wanted) - 1)) if len(wanted) > 1 else apart
    placed = list(wanted)
    placed[0] = max(low, placed[0])
    for n in range(1, len(placed)):
        placed[n] = max(placed[n], placed[n - 1] + apart)
    over = placed[-1] - high
    if over > 0:
        placed[-1] = high
        for n in range(len(placed) - 2, -1, -1):
            placed[n] = min(placed[n], placed[n + 1] - apart)
    return placed
