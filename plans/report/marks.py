"""Numbered marks round the artwork, each with a line to what it points at, so that nothing is covered."""

from __future__ import annotations

import math
from dataclasses import dataclass

from analyse.values import Feature

LABEL_SHARE = 0.029  # a label's radius as a share of the picture's long side
MOST = 24  # marks round one picture, the heaviest; the tables list all
APART = 2.3  # labels of one side stand so many radii apart
OFF = 1.7  # and so many radii off the picture
STEEP = 1.0  # along its side a line goes at most so much for what it goes away from it
CLEAR = 0.8  # a line keeps so many radii off the other places that are marked, where there is a side for it
FEW = 12  # and where so few are marked that all their labels have room anyway,
DETOUR = 2.5  # at most so many times as far away as the nearest
SIDES = ("left", "right", "top", "bottom")
Box = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Mark:
    """A number at (x, y) with a line to (to_x, to_y), in mm of the design."""

    number: int
    feature: Feature
    x: float
    y: float
    to_x: float
    to_y: float


def radius(size_mm: Box, number: int) -> float:
    """A label's radius: as large as the picture asks, small enough for all to stand round it."""
    round_it = 2 * (size_mm[0] + size_mm[1])
    return min(LABEL_SHARE * max(size_mm), 0.8 * round_it / max(1, number) / APART)


def placed(features: list[Feature], size_mm: Box, size: float) -> list[Mark]:
    """A mark for each feature, at the nearest side that has room, in the order of the places they point at."""
    points = [_inside(feature.at_mm, size_mm) for feature in features]
    sides: dict[str, list[int]] = {side: [] for side in SIDES}
    nearest_first = sorted(range(len(points)), key=lambda n: (min(_way(side, points[n], size_mm) for side in SIDES), n))
    few = len(points) <= FEW
    for number in nearest_first:
        by_way = sorted(SIDES, key=lambda side: (_way(side, points[number], size_mm), side))
        steep = [side for side in by_way if _steep(side, [*sides[side], number], points, size_mm, size)]
        near = DETOUR * (_way(by_way[0], points[number], size_mm) + OFF * size)
        clear = [side for side in steep if _way(side, points[number], size_mm) + OFF * size <= near]
        clear = [side for side in clear if few and _clear(side, number, points, size_mm, CLEAR * size)]
        if features[number].kind == "lettering":  # a line along it would strike its words through
            clear = [side for side in clear if side in {"top", "bottom"}]
        room = [side for side in by_way if _room(side, sides[side], size_mm, size)]
        sides[(clear or steep or room or by_way)[0]].append(number)
    places: dict[int, Box] = {}
    for side, numbers in sides.items():
        places.update(_on_side(side, numbers, points, size_mm, size))
    _untangle(places, points)
    return [Mark(n + 1, feature, *places[n], *points[n]) for n, feature in enumerate(features)]


def _room(side: str, numbers: list[int], size_mm: Box, size: float) -> bool:
    return (len(numbers) + 1) * APART * size <= _length(side, size_mm) + size


def _steep(side: str, numbers: list[int], points: list[Box], size_mm: Box, size: float) -> bool:
    """Whether the lines of all these marks leave their side steeply, so that none runs under the next label."""
    if not _room(side, numbers[:-1], size_mm, size):
        return False
    axis = 0 if side in {"top", "bottom"} else 1
    places = _on_side(side, numbers, points, size_mm, size)
    return all(
        abs(places[n][axis] - points[n][axis]) <= STEEP * (_way(side, points[n], size_mm) + OFF * size) for n in numbers
    )


def _clear(side: str, number: int, points: list[Box], size_mm: Box, off: float) -> bool:
    """Whether a line straight from a place to its side runs over none of the other places."""
    axis = 0 if side in {"top", "bottom"} else 1
    way = _way(side, points[number], size_mm)
    return not any(
        abs(other[axis] - points[number][axis]) < off and _way(side, other, size_mm) < way - off
        for n, other in enumerate(points)
        if n != number
    )


def _untangle(places: dict[int, Box], points: list[Box]) -> None:
    """Swap the places of marks whose lines cross: each swap shortens the lines, so it comes to an end."""
    pairs = [(one, other) for one in range(len(points)) for other in range(one)]
    crossed = True
    while crossed:
        crossed = False
        for one, other in pairs:
            if _cross(places[one], points[one], places[other], points[other]):
                places[one], places[other] = places[other], places[one]
                crossed = True


def _cross(a: Box, b: Box, c: Box, d: Box) -> bool:
    """Whether the lines a to b and c to d cross, and by more than rounding."""
    gain = math.dist(a, b) + math.dist(c, d) - math.dist(c, b) - math.dist(a, d)
    return gain > 1e-6 and _left(a, b, c) * _left(a, b, d) < 0 and _left(c, d, a) * _left(c, d, b) < 0


def _left(a: Box, b: Box, c: Box) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _on_side(side: str, numbers: list[int], points: list[Box], size_mm: Box, size: float) -> dict[int, Box]:
    axis = 0 if side in {"top", "bottom"} else 1
    numbers = sorted(numbers, key=lambda n: (points[n][axis], n))
    along = _spread([points[n][axis] for n in numbers], size, _length(side, size_mm) - size, APART * size)
    far = OFF * size
    off = {"left": -far, "top": -far, "right": size_mm[0] + far, "bottom": size_mm[1] + far}[side]
    places = [(at, off) if axis == 0 else (off, at) for at in along]
    return dict(zip(numbers, places, strict=True))


def _inside(point: Box, size_mm: Box) -> Box:
    return min(max(point[0], 0.0), size_mm[0]), min(max(point[1], 0.0), size_mm[1])


def _way(side: str, point: Box, size_mm: Box) -> float:
    x, y = point
    return {"left": x, "right": size_mm[0] - x, "top": y, "bottom": size_mm[1] - y}[side]


def _length(side: str, size_mm: Box) -> float:
    return size_mm[0] if side in {"top", "bottom"} else size_mm[1]


def _spread(wanted: list[float], low: float, high: float, apart: float) -> list[float]:
    """The wanted places, in order, moved as little as keeps them `apart` and inside; evenly where they crowd."""
    if len(wanted) < 2:
        return [min(max(at, low), max(low, high)) for at in wanted]
    apart = min(apart, (high - low) / (len(wanted) - 1))
    spread = [max(low, wanted[0])]
    for at in wanted[1:]:
        spread.append(max(at, spread[-1] + apart))
    spread[-1] = min(spread[-1], high)
    for n in range(len(spread) - 2, -1, -1):
        spread[n] = min(spread[n], spread[n + 1] - apart)
    return spread
