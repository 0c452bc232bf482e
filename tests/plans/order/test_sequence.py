"""The sewing order: kept under what lies over, and nearly as short as any."""

from __future__ import annotations

from itertools import pairwise, permutations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analyse.values import Floats
from plans.order import sewing_order
from plans.order.blocks import Tasks
from plans.order.ports import Ports
from plans.order.sequence import Stop


def by_length(start: Floats, end: Floats, *_known: object) -> Floats:
    return np.hypot(*(end - start).T)


def row_of_bars(count: int, seed: int) -> tuple[Ports, ...]:
    rng = np.random.default_rng(seed)
    return tuple(Ports(rng.uniform(0, 30, (2, 2)), True) for _ in range(count))


def walked(stops: tuple[Stop, ...]) -> float:
    ways = [np.subtract(b.start, a.end) for a, b in pairwise(stops) if a.end and b.start]
    return float(sum(np.hypot(*way) for way in ways))


def shortest(ports: tuple[Ports, ...]) -> float:
    best = np.inf
    for order in permutations(range(len(ports))):
        for turned in product((0, 1), repeat=len(ports)):
            ends = [ports[task].xy[::-1] if turn else ports[task].xy for task, turn in zip(order, turned, strict=True)]
            best = min(best, sum(float(np.hypot(*(b[0] - a[1]))) for a, b in pairwise(ends)))
    return best


@pytest.mark.parametrize("seed", range(6))
def test_chains_are_within_a_third_of_the_shortest_walk(seed: int) -> None:
    ports = row_of_bars(5, seed)
    stops = sewing_order(Tasks((0,) * 5, (50.0,), ()), ports, by_length)
    assert walked(stops) <= 1.34 * shortest(ports) + 1e-9


@settings(derandomize=True, deadline=None, max_examples=40)
@given(st.integers(1, 25), st.integers(0, 1000))
def test_the_order_holds_every_task_once_and_keeps_what_lies_under(count: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    thread = tuple(rng.integers(0, 3, count).tolist())
    before = tuple((i, j) for i in range(count) for j in range(i + 1, count) if rng.random() < 0.15)
    tasks = Tasks(thread, (50.0, 30.0, 70.0), before)
    stops = sewing_order(tasks, row_of_bars(count, seed), by_length)
    place = {stop.task: number for number, stop in enumerate(stops)}
    assert sorted(place) == list(range(count))
    assert all(place[a] < place[b] for a, b in before)


def test_strands_in_a_row_are_sewn_one_after_the_other() -> None:
    ports = tuple(Ports(np.array([[x, 0.0], [x, 2.0]]), True) for x in (0.0, 9.0, 3.0, 6.0, 12.0))
    stops = sewing_order(Tasks((0,) * 5, (50.0,), ()), ports, by_length)
    along = [ports[stop.task].xy[0, 0] for stop in stops]
    assert along in ([0, 3, 6, 9, 12], [12, 9, 6, 3, 0])


def test_an_even_number_of_passes_ends_where_it_began() -> None:
    ports = (Ports(np.array([[0.0, 0.0], [0.0, 5.0]]), False), Ports(np.array([[1.0, 5.0], [9.0, 5.0]]), True))
    first, _ = sewing_order(Tasks((0, 0), (50.0,), ()), ports, by_length)
    assert first.start == first.end
