"""What lies on what: fields that read as one, the detail on them, the borders round them."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass
from dataclasses import field as of_kind
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.values import Floats, Part, SizedDrawing
from plans.job import Job
from plans.seams import CLOTH, PartMap, Seams, find_seams, map_parts

Anything = TypeVar("Anything")
LIES_ON = 0.7
"""Share of a stroke's outline against one field from which it lies on that field, not beside it."""
BORDERS = 0.2
"""Share of a stroke's outline against a field from which it closes that field's edge."""
HELD, DROP_MM = 0.5, 0.15
"""A dropped part is closed over by what lies along half of its outline, looked for this far outside it."""
LEFT_OF = 0.8
"""Share of a narrow part's outline against a body of its colour and what lies over it, from which it is left of it."""
MOSTLY = 0.7
"""Share of a region's area that is filled, from which its narrow places are read as body."""
LINKS_MM = 0.5
"""Two cells of one colour are one field if a stroke lies along both for this length at least."""


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """A body: fill parts of one colour that read as one, and what lies on them. Indices into the parts.

    left: what the detail leaves of the body: strips between strands, counters of letters. They are body, not strokes.
    """

    parts: tuple[int, ...]
    colour: int
    detail: tuple[int, ...] = ()
    borders: tuple[int, ...] = ()
    left: tuple[int, ...] = ()


@dataclass(frozen=True, eq=False)
class Survey:
    """All that the approaches share: where parts meet, what lies on what.

    on: for each part the field it lies on, or None. field_of: for each part the field it is a piece of, or is left of,
    or None.
    """

    sized: SizedDrawing
    job: Job
    parts_map: PartMap
    seams: Seams
    fields: tuple[Field, ...]
    on: tuple[int | None, ...]
    field_of: tuple[int | None, ...]
    _kept: dict[Hashable, Any] = of_kind(default_factory=dict, init=False, repr=False)

    def kept(self, name: Hashable, make: Callable[[], Anything]) -> Anything:
        """What follows from the survey alone, made for the first approach that asks and kept for the others."""
        if name not in self._kept:
            self._kept[name] = make()
        found: Anything = self._kept[name]
        return found

    @cached_property
    def absorbed(self) -> dict[int, tuple[int, ...]]:
        """For each part the dropped ones it closes over: those it lies round for the most part.

        What lies in a dropped one, such as a letter's counter, is closed over with it.
        """
        dropped = [index for index, part in enumerate(self.sized.parts) if part.kind == "drop"]
        lying = shapely.STRtree([self.sized.parts[index].outline_mm for index in dropped])
        about = {index: self._about(index, dropped, lying) for index in dropped}
        found: dict[int, tuple[int, ...]] = {}
        for index in dropped:
            over, passed = about[index], {index}
            while over in about and over not in passed:
                passed.add(over)
                over = about[over]
            if over != CLOTH and over not in about:
                found[over] = (*found.get(over, ()), index)
        return found

    def _about(self, index: int, dropped: list[int], lying: shapely.STRtree) -> int:
        """The sewn part that lies round another for the most part, where none does a dropped one, or CLOTH."""
        points = shapely.get_coordinates(self.sized.parts[index].outline_mm.buffer(DROP_MM, quad_segs=2))
        inside, which = lying.query(shapely.points(points), predicate="intersects")
        other = np.array(dropped)[which]
        free = np.delete(points, inside[other != index], axis=0)
        around = self.parts_map.at(free) if len(free) else other[other != index]
        most, times = np.unique(around, return_counts=True)
        return int(most[np.argmax(times)]) if times.max() >= HELD * len(around) else CLOTH

    @cached_property
    def borders(self) -> frozenset[int]:
        """Parts that close a field's edge."""
        return frozenset(part for body in self.fields for part in body.borders)

    @cached_property
    def shared(self) -> Floats:
        """(n, n + 1) mm of outline between parts; last column: cloth."""
        return self.seams.shared()

    @cached_property
    def contrast(self) -> Floats:
        """(k, k) CIEDE2000 between palette colours."""
        lab = np.array([colour.lab for colour in self.sized.drawing.palette], float)
        return np.asarray(ciede2000(lab[:, None, :], lab[None, :, :]), float)


def survey(sized: SizedDrawing, job: Job) -> Survey:
    """Find fields, their detail and their borders. Cost: about linear in outline length."""
    parts_map = map_parts(sized)
    seams = find_seams(sized, parts_map)
    shared = seams.shared()
    widest_mm = float(sized.trade.value("base.cut_out_under"))
    bodies = _bodies(sized.parts, shared, widest_mm)
    left = _left_between(sized.parts, shared, bodies)
    field_of = _inverse(len(sized.parts), [(*body, *strips) for body, strips in zip(bodies, left, strict=True)])
    on = _lying_on(sized.parts, shared, field_of, len(bodies))
    fields = tuple(_field(sized.parts, shared, body, left[number], number, on) for number, body in enumerate(bodies))
    return Survey(sized, job, parts_map, seams, fields, on, field_of)


def _bodies(parts: tuple[Part, ...], shared: Floats, widest_mm: float) -> list[tuple[int, ...]]:
    """Fill parts of one colour that touch, or that a narrow stroke lies between."""
    links = [
        (first, second)
        for index, part in enumerate(parts)
        if part.kind != "drop" and (part.kind == "fill" or part.width_mm.median <= widest_mm)
        for first, second in _pairs(parts, shared[index], index)
    ]
    fills = [index for index, part in enumerate(parts) if part.kind == "fill"]
    return united(fills, links)


def _pairs(parts: tuple[Part, ...], row: Floats, index: int) -> Iterator[tuple[int, int]]:
    """Fills joined by part `index`: itself with those of its colour it touches, or those of one colour it parts."""
    by_colour: dict[int, list[int]] = {}
    for other in np.flatnonzero(row[:CLOTH] >= LINKS_MM):
        if parts[other].kind == "fill":
            by_colour.setdefault(parts[other].colour, []).append(int(other))
    if parts[index].kind == "fill":
        yield from ((index, other) for other in by_colour.get(parts[index].colour, ()))
    else:
        for alike in by_colour.values():
            yield from ((alike[0], other) for other in alike[1:])


def united(members: Iterable[int], links: Iterable[tuple[int, int]]) -> list[tuple[int, ...]]:
    """Members joined by links, as sorted groups in the order of their first member."""
    root = {member: member for member in members}

    def find(member: int) -> int:
        while root[member] != member:
            root[member] = root[root[member]]
            member = root[member]
        return member

    for first, second in links:
        low, high = sorted((find(first), find(second)))
        root[high] = low
    groups: dict[int, list[int]] = {}
    for member in root:
        groups.setdefault(find(member), []).append(member)
    return [tuple(sorted(group)) for _, group in sorted(groups.items())]


def _inverse(count: int, bodies: list[tuple[int, ...]]) -> tuple[int | None, ...]:
    found: list[int | None] = [None] * count
    for number, body in enumerate(bodies):
        for part in body:
            found[part] = number
    return tuple(found)


def _left_between(parts: tuple[Part, ...], shared: Floats, bodies: list[tuple[int, ...]]) -> list[tuple[int, ...]]:
    """For each body the narrow parts of its colour that what lies over it leaves of it.

    Their outline runs against the body itself and against strokes of another colour that touch it, or letters that do
    with one of their strokes; or they are narrow places of its own shape with hardly any cloth beside them.
    """
    crosses = np.array([part.kind in ("column", "running") for part in parts])
    letter = np.array([part.role_hint == "letter" for part in parts])
    stroke = crosses & ~letter
    colour = np.array([part.colour for part in parts])
    region = np.array([part.region for part in parts])
    total = np.maximum(shared.sum(axis=1), 1e-9)
    enclosed = shared[:, CLOTH] <= (1 - LEFT_OF) * total
    mostly = _mostly_filled(parts, region)
    found: list[tuple[int, ...]] = []
    for body in bodies:
        against = shared[:, list(body)].sum(axis=1)
        own = stroke & (colour == parts[body[0]].colour)
        touches = np.where(letter, np.bincount(region, against)[region], against) >= LINKS_MM
        about = np.flatnonzero(crosses & (colour != parts[body[0]].colour) & touches)
        over = shared[:, about].sum(axis=1)
        between = own & (against + over > 0) & (against + over >= LEFT_OF * total)
        narrow = own & enclosed & mostly & np.isin(region, region[list(body)])
        found.append(tuple(np.flatnonzero(between | narrow).tolist()))
        stroke[list(found[-1])] = False
    return found


def _mostly_filled(parts: tuple[Part, ...], region: NDArray[np.int64]) -> NDArray[np.bool_]:
    """For each part whether its region is filled for the most part."""
    area = np.array([part.outline_mm.area for part in parts])
    filled = np.array([part.kind == "fill" for part in parts]) * area
    share = np.bincount(region, filled) / np.maximum(np.bincount(region, area), 1e-9)
    return np.asarray((share >= MOSTLY)[region])


def _against_fields(
    parts: tuple[Part, ...], shared: Floats, field_of: tuple[int | None, ...], fields: int
) -> Callable[[int], Floats]:
    """For a part: the share of its outline against each field, cuts through its own region left out."""
    to_field = np.zeros((len(parts) + 1, max(fields, 1)))
    for part, field in enumerate(field_of):
        if field is not None:
            to_field[part, field] = 1.0
    against = shared @ to_field
    region = np.array([part.region for part in parts])
    own = np.array([shared[i, :CLOTH][region == region[i]].sum() for i in range(len(parts))])
    total = np.maximum(shared.sum(axis=1) - own, 1e-9)
    return lambda part: against[part] / total[part]


def _lying_on(
    parts: tuple[Part, ...], shared: Floats, field_of: tuple[int | None, ...], fields: int
) -> tuple[int | None, ...]:
    share = _against_fields(parts, shared, field_of, fields)
    found: list[int | None] = []
    for index, part in enumerate(parts):
        stroke = part.kind in ("column", "running") and field_of[index] is None
        best = int(np.argmax(share(index))) if stroke and fields else None
        lies = best is not None and share(index)[best] >= LIES_ON
        found.append(best if lies else None)
    return tuple(found)


def _field(
    parts: tuple[Part, ...],
    shared: Floats,
    body: tuple[int, ...],
    left: tuple[int, ...],
    number: int,
    on: tuple[int | None, ...],
) -> Field:
    detail = tuple(index for index, field in enumerate(on) if field == number)
    against = shared[:, list(body)].sum(axis=1) / np.maximum(shared.sum(axis=1), 1e-9)
    borders = tuple(
        index
        for index, part in enumerate(parts)
        if part.kind in ("column", "running")
        and on[index] is None
        and index not in left
        and part.role_hint != "letter"
        and part.region != parts[body[0]].region
        and against[index] >= BORDERS
    )
    return Field(body, parts[body[0]].colour, detail, borders, left)
