"""The sewing order: blocks of one thread, within each the chain of sewings with the fewest and shortest ways."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from plans.order.blocks import Tasks, colour_blocks
from plans.order.clusters import Touching, walked
from plans.order.ports import Ports
from plans.order.stops import Place, Stop

NEAREST = 10
"""Ways looked at from each place: further ones are never the cheapest in a design of strokes."""
Ints = NDArray[np.int64]
Links = Callable[[Floats, Floats, Ints, Ints, NDArray[np.bool_]], Floats]
"""Seconds of the ways from (N, 2) to (N, 2), each from a task to a task, before the tasks in the mask are sewn."""
Known = Callable[[Floats, Floats, Ints, Ints], Floats]


@dataclass(frozen=True, slots=True)
class _Port:
    task: int
    number: int


def sewing_order(
    tasks: Tasks,
    ports: tuple[Ports, ...],
    links: Links,
    touching: Touching | None = None,
    stages: tuple[tuple[int, ...], ...] | None = None,
) -> tuple[Stop, ...]:
    """All tasks in order, `tasks.before` kept, with the places where each should begin and end.

    touching: for tasks that are pieces of one shape, those they touch. stages: tasks to be finished with one after the
    other, whatever changes of thread that costs. Within a block, what waits for nothing in it is
    chained by its cheapest ways, then what that frees; a shape's pieces are one link of a chain. Deterministic. Cost:
    n log n in ports.
    """
    stops: list[Stop] = []
    needle: Place | None = None
    left = np.ones(len(tasks.thread), bool)
    blocks = [block for stage in stages for block in colour_blocks(tasks, stage)] if stages else colour_blocks(tasks)
    for _, members in blocks:
        for unit in _units(tasks, members):
            left[list(unit)] = False
            shapes = _shapes(unit, touching or {})
            for stop in _chained(shapes, ports, lambda a, b, one, two: links(a, b, one, two, left), needle):
                pieces = shapes[stop.task]
                stops += [stop] if len(pieces) == 1 else walked(pieces, touching or {}, ports, stop.start, stop.end)
            needle = stops[-1].end or needle
    return tuple(stops)


def _shapes(unit: tuple[int, ...], touching: Touching) -> dict[int, tuple[int, ...]]:
    """The pieces of each shape, by its first piece."""
    left, found = set(unit), {}
    while left:
        first = min(left)
        seen, stack = {first}, [first]
        while stack:
            new = (touching.get(stack.pop(), set()) & left) - seen
            seen |= new
            stack += sorted(new)
        found[first] = tuple(sorted(seen))
        left -= seen
    return found


def _units(tasks: Tasks, members: tuple[int, ...]) -> list[tuple[int, ...]]:
    """The tasks of a block in pieces within which nothing waits: by depth of waiting."""
    inside = set(members)
    depth: dict[int, int] = {}
    for task in _by_waiting(tasks, members):
        above = [first for first, second in tasks.before if second == task and first in inside]
        depth[task] = 1 + max((depth[first] for first in above), default=-1)
    levels: dict[int, list[int]] = {}
    for task in members:
        levels.setdefault(depth[task], []).append(task)
    return [tuple(levels[key]) for key in sorted(levels)]


def _by_waiting(tasks: Tasks, members: tuple[int, ...]) -> list[int]:
    """Members so that each comes after those it waits for."""
    left, done, order = list(members), 0, []
    own = sum(1 << task for task in members)
    while left:
        ready = [task for task in left if tasks.waits[task] & own & ~done == 0]
        order += ready
        done |= sum(1 << task for task in ready)
        left = [task for task in left if task not in ready]
    return order


def _chained(
    shapes: dict[int, tuple[int, ...]], ports: tuple[Ports, ...], links: Known, needle: Place | None
) -> list[Stop]:
    """Shapes linked by their cheapest ways into chains, the chains taken nearest first; a shape by its first piece."""
    unit = tuple(shapes)
    own = {first: _ports_of_all(pieces, ports) for first, pieces in shapes.items()}
    chains = _chains(unit, own, _join(unit, own, _cheapest(unit, own, links)))
    stops: list[Stop] = []
    at = np.zeros(2) if needle is None else np.array(needle)
    while chains:
        both = [(chain, way) for chain in chains for way in (chain, _reversed(chain))]
        chain, way = min(both, key=lambda pair: (round(_off(pair[1][0], own, at), 6), pair[1][0].task))
        chains.remove(chain)
        stops += way
        at = _left_at(way[-1], own, at)
    return stops


def _ports_of_all(pieces: tuple[int, ...], ports: tuple[Ports, ...]) -> Ports:
    return ports[pieces[0]] if len(pieces) == 1 else Ports(np.vstack([ports[task].xy for task in pieces]), None)


def _off(stop: Stop, ports: dict[int, Ports], at: Floats) -> float:
    places = ports[stop.task].xy if stop.start is None else np.array([stop.start])
    return float(np.hypot(*(places - at).T).min())


def _left_at(stop: Stop, ports: dict[int, Ports], at: Floats) -> Floats:
    """Where the needle stands after a stop; near where it began, if its end is left to it."""
    if stop.end is not None:
        return np.array(stop.end)
    places = ports[stop.task].xy
    return np.asarray(places[int(np.argmin(np.hypot(*(places - at).T)))])


def _reversed(chain: list[Stop]) -> list[Stop]:
    return [Stop(stop.task, stop.end, stop.start) for stop in reversed(chain)]


def _cheapest(unit: tuple[int, ...], ports: dict[int, Ports], links: Known) -> list[tuple[_Port, _Port]]:
    """Ways between ports of different tasks, the cheapest first."""
    owner = np.repeat(unit, [len(ports[task].xy) for task in unit])
    number = np.concatenate([np.arange(len(ports[task].xy)) for task in unit])
    xy = np.vstack([ports[task].xy for task in unit])
    apart = np.hypot(*(xy[:, None, :] - xy[None, :, :]).transpose(2, 0, 1))
    apart[owner[:, None] == owner[None, :]] = np.inf
    near = np.argsort(apart, axis=1, kind="stable")[:, :NEAREST]
    first = np.repeat(np.arange(len(xy)), near.shape[1])
    second = near.ravel()
    fine = np.isfinite(apart[first, second])
    low, high = np.minimum(first[fine], second[fine]), np.maximum(first[fine], second[fine])
    pairs = np.unique(np.column_stack([low, high]), axis=0)
    if not len(pairs):
        return []
    seconds = links(xy[pairs[:, 0]], xy[pairs[:, 1]], owner[pairs[:, 0]], owner[pairs[:, 1]])
    ranked = np.lexsort((pairs[:, 1], pairs[:, 0], np.round(seconds, 6)))
    return [
        (_Port(int(owner[a]), int(number[a])), _Port(int(owner[b]), int(number[b]))) for a, b in pairs[ranked].tolist()
    ]


def _join(
    unit: tuple[int, ...], ports: dict[int, Ports], ways: list[tuple[_Port, _Port]]
) -> dict[int, list[tuple[_Port, _Port]]]:
    """Links taken greedily: two for each task at most, no ring, and only such ends as its passes allow."""
    root = {task: task for task in unit}

    def find(task: int) -> int:
        while root[task] != task:
            root[task] = root[root[task]]
            task = root[task]
        return task

    joined: dict[int, list[tuple[_Port, _Port]]] = {task: [] for task in unit}
    for one, two in ways:
        if find(one.task) == find(two.task) or not all(_fits(ports, joined, port) for port in (one, two)):
            continue
        root[find(one.task)] = find(two.task)
        joined[one.task].append((one, two))
        joined[two.task].append((two, one))
    return joined


def _fits(ports: dict[int, Ports], joined: dict[int, list[tuple[_Port, _Port]]], port: _Port) -> bool:
    taken = joined[port.task]
    if len(taken) == 2:
        return False
    through = ports[port.task].through
    if not taken or through is None:
        return True
    return (taken[0][0].number != port.number) == through


def _chains(
    unit: tuple[int, ...], ports: dict[int, Ports], joined: dict[int, list[tuple[_Port, _Port]]]
) -> list[list[Stop]]:
    """The chains that links make, each begun at its end with the smaller number."""
    seen: set[int] = set()
    chains = []
    for task in sorted(unit, key=lambda t: (len(joined[t]), t)):
        if task in seen:
            continue
        chain: list[Stop] = []
        at, came = task, None
        while True:
            seen.add(at)
            on = [link for link in joined[at] if came is None or link[1].task != came[0].task]
            leave = on[0] if on else None
            chain.append(_stop(ports[at], at, came[1] if came else None, leave[0] if leave else None))
            if leave is None:
                break
            at, came = leave[1].task, leave
        chains.append(chain)
    return chains


def _stop(ports: Ports, task: int, entry: _Port | None, leave: _Port | None) -> Stop:
    """Where a task begins and ends; its passes decide an open end, or leave it open."""
    known = entry or leave
    if known is None:
        return Stop(task, None, None)
    other = None if ports.through is None else _place(ports, _other_end(ports, known.number))
    begin = other if entry is None else _place(ports, entry.number)
    end = other if leave is None else _place(ports, leave.number)
    return Stop(task, begin, end)


def _other_end(ports: Ports, number: int) -> int:
    return len(ports.xy) - 1 - number if ports.through else number


def _place(ports: Ports, number: int) -> Place:
    return float(ports.xy[number, 0]), float(ports.xy[number, 1])
