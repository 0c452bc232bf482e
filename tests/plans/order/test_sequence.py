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


def by_length(xy: Floats, *_known: object) -> Floats:
    return np.asarray(np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1)))


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
def test_a_tour_is_hardly_longer_than_the_shortest_walk(seed: int) -> None:
    ports = row_of_bars(5, seed)
    stops = sewing_order(Tasks((0,) * 5, (50.0,), ()), ports, by_length)
    assert walked(stops) <= 1.1 * shortest(ports) + 1e-9


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


def test_more_tasks_than_are_toured_at_once_are_all_sewn_and_in_order() -> None:
    rng = np.random.default_rng(3)
    ports = tuple(Ports(at + rng.uniform(0, 2, (2, 2)), True) for at in rng.uniform(0, 200, (450, 1, 2)))
    before = tuple((i, i + 200) for i in range(0, 250, 7))
    stops = sewing_order(Tasks((0,) * 450, (50.0,), before), ports, by_length)
    place = {stop.task: number for number, stop in enumerate(stops)}
    assert sorted(place) == list(range(450))
    assert all(place[a] < place[b] for a, b in before)


def test_a_line_is_sewn_letter_by_letter_in_reading_order() -> None:
    """Two strokes each, and a bar that lies nearer to every letter than the next one does."""
    ports = tuple(Ports(np.array([[x, 0.0], [x, 5.0]]), True) for x in (0, 2, 10, 12, 20, 22))
    between = tuple(Ports(np.array([[x, 0.0], [x, 1.0]]), True) for x in (6.0, 16.0))
    tasks = Tasks((0,) * 8, (50.0,), ())
    stops = sewing_order(tasks, ports + between, by_length, lines=(((2, 3), (4, 5)), ((0, 1), (2, 3), (4, 5)))[1:])
    order = [stop.task for stop in stops if stop.task < 6]
    assert [task // 2 for task in order] == [0, 0, 1, 1, 2, 2]


def test_a_line_gives_way_to_what_must_come_between_its_letters() -> None:
    ports = row_of_bars(3, 1)
    stops = sewing_order(Tasks((0,) * 3, (50.0,), ((0, 2), (2, 1))), ports, by_length, lines=(((0,), (1,)),))
    assert [stop.task for stop in stops] == [0, 2, 1]


def test_tasks_that_wait_for_each_other_are_refused() -> None:
    with pytest.raises(ValueError, match="wait for each other"):
        sewing_order(Tasks((0, 0), (50.0,), ((0, 1), (1, 0))), row_of_bars(2, 0), by_length)


def test_strands_in_a_row_are_sewn_one_after_the_other() -> None:
    ports = tuple(Ports(np.array([[x, 0.0], [x, 2.0]]), True) for x in (0.0, 9.0, 3.0, 6.0, 12.0))
    stops = sewing_order(Tasks((0,) * 5, (50.0,), ()), ports, by_length)
    along = [ports[stop.task].xy[0, 0] for stop in stops]
    assert along in ([0, 3, 6, 9, 12], [12, 9, 6, 3, 0])


def test_an_even_number_of_passes_ends_where_it_began() -> None:
    ports = (Ports(np.array([[0.0, 0.0], [0.0, 5.0]]), False), Ports(np.array([[1.0, 5.0], [9.0, 5.0]]), True))
    first, _ = sewing_order(Tasks((0, 0), (50.0,), ()), ports, by_length)
    assert first.start == first.end
