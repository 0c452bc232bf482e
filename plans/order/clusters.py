"""A shape sewn in several pieces: in which order, so that the way from piece to piece hides under what is to come."""

from __future__ import annotations

import numpy as np

from analyse.values import Floats
from plans.order.ports import Ports
from plans.order.stops import Place, Stop

Touching = dict[int, set[int]]


def walked(
    members: tuple[int, ...], touching: Touching, ports: tuple[Ports, ...], begin: Place | None, end: Place | None
) -> list[Stop]:
    """The pieces of one shape in order: at each step the nearest whose loss leaves the rest in one piece.

    Each ends where it touches what is left, so that the next way runs beneath that; such a piece always exists. The
    last piece is the one nearest to `end`.
    """
    left = set(members)
    last = min(left, key=lambda task: (_off(ports[task], end), task)) if end else None
    at = begin
    stops: list[Stop] = []
    while left:
        nearest = sorted(left - {last}, key=lambda one: (_off(ports[one], at), one))
        task = next((one for one in nearest if _may_go(one, left, touching)), last)
        if task is None:
            task = nearest[0]
        left.discard(task)
        goal = _meeting(ports, task, left & touching.get(task, set()))
        stop = _stop(ports[task], task, at, goal if left else end)
        stops.append(stop)
        at = stop.end or at
    return stops


def _may_go(task: int, left: set[int], touching: Touching) -> bool:
    """Whether what is `left`, all in one piece, stays so without `task`."""
    beside = touching.get(task, set()) & left
    if len(beside) < 2:
        return True
    seen, stack = {task}, [min(beside)]
    missing = set(beside)
    while stack and missing:
        here = stack.pop()
        if here not in seen:
            seen.add(here)
            missing.discard(here)
            stack += (touching[here] & left) - seen
    return not missing


def _meeting(ports: tuple[Ports, ...], task: int, beside: set[int]) -> Place | None:
    """The port of a piece nearest to those it touches that are still to come."""
    if not beside:
        return None
    others = np.vstack([ports[other].xy for other in sorted(beside)])
    own = ports[task].xy
    apart = np.hypot(*(own[:, None, :] - others[None, :, :]).transpose(2, 0, 1)).min(axis=1)
    return _place(own[int(np.argmin(apart))])


def _stop(ports: Ports, task: int, at: Place | None, goal: Place | None) -> Stop:
    """Begin near the needle and end near the goal, as far as the passes of the piece allow."""
    if goal is None:
        return Stop(task, None if at is None else _nearest(ports, at), None)
    number = int(np.argmin(np.hypot(*(ports.xy - goal).T)))
    end = _place(ports.xy[number])
    if ports.through is None:
        return Stop(task, end if at is None else _nearest(ports, at), end)
    return Stop(task, _place(ports.xy[len(ports.xy) - 1 - number]) if ports.through else end, end)


def _nearest(ports: Ports, at: Place) -> Place:
    return _place(ports.xy[int(np.argmin(np.hypot(*(ports.xy - at).T)))])


def _off(ports: Ports, at: Place | None) -> float:
    return 0.0 if at is None else round(float(np.hypot(*(ports.xy - at).T).min()), 6)


def _place(xy: Floats) -> Place:
    return float(xy[0]), float(xy[1])
