"""Ways round: through what hides them, near the shortest there is, or none."""

from __future__ import annotations

import numpy as np
import pytest

from plans.order.clusters import walked
from plans.order.ports import Ports
from plans.order.routes import straightened, way_through, way_with_leap


def test_a_way_goes_round_a_corner_near_its_true_length() -> None:
    """An L of two arms of 40 cells, three wide: between the city-block and the straight distance."""
    hidden = np.zeros((50, 50), bool)
    hidden[4:7, 4:45] = True
    hidden[4:45, 42:45] = True
    way = way_through(hidden, (5, 5), (43, 43), 200)
    assert way is not None
    assert tuple(way[0]) == (5, 5)
    assert tuple(way[-1]) == (43, 43)
    assert all(hidden[y, x] for x, y in way)
    assert np.abs(np.diff(way, axis=0)).max() == 1
    line = straightened(way.astype(float), 1.0)
    assert np.hypot(*np.diff(line, axis=0).T).sum() <= 76


def test_there_is_no_way_across_open_cloth_or_past_the_longest() -> None:
    hidden = np.ones((20, 20), bool)
    hidden[:, 10] = False
    assert way_through(hidden, (2, 2), (18, 2), 100) is None
    assert way_through(np.ones((20, 20), bool), (0, 0), (19, 0), 10) is None


@pytest.mark.parametrize("seed", range(8))
def test_pieces_of_a_shape_never_leave_the_rest_in_two(seed: int) -> None:
    """A random tree of bars: after each, what is left hangs together, so a hidden way goes on."""
    rng = np.random.default_rng(seed)
    count = 9
    touching: dict[int, set[int]] = {task: set() for task in range(count)}
    for task in range(1, count):
        other = int(rng.integers(0, task))
        touching[task].add(other)
        touching[other].add(task)
    ports = tuple(Ports(rng.uniform(0, 10, (2, 2)), None) for _ in range(count))
    order = [stop.task for stop in walked(tuple(range(count)), touching, ports, (0.0, 0.0), None)]
    assert sorted(order) == list(range(count))
    for number in range(1, count - 1):
        left = set(order[number:])
        seen, stack = set(), [min(left)]
        while stack:
            here = stack.pop()
            seen.add(here)
            stack += [other for other in touching[here] & left if other not in seen]
        assert seen == left


def test_a_strip_too_narrow_to_be_worth_a_trim_is_leapt_over_where_it_is_narrowest() -> None:
    hidden = np.ones((20, 30), bool)
    hidden[:, 12:18] = False
    hidden[15, 12:16] = True
    before, after = way_with_leap(hidden, (3, 3), (26, 3), 200, 4.0)
    assert tuple(before[0]) == (3, 3)
    assert tuple(after[-1]) == (26, 3)
    assert all(hidden[y, x] for way in (before, after) for x, y in way)
    assert before[-1].tolist() == [15, 15]
    assert after[0].tolist() == [18, 15]
    hidden[15, 12:16] = False
    assert way_with_leap(hidden, (3, 3), (26, 3), 200, 4.0) == ()
