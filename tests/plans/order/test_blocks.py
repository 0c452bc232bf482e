"""Colour blocks: what lies under what is kept, with as few changes as any order has."""

from __future__ import annotations

from itertools import pairwise, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.order import blocks as blocks_module
from plans.order.blocks import Tasks, colour_blocks, fewest_blocks


@st.composite
def few_tasks(draw: st.DrawFn, most: int = 7) -> Tasks:
    count = draw(st.integers(1, most))
    thread = tuple(draw(st.lists(st.integers(0, 2), min_size=count, max_size=count)))
    pairs = [(i, j) for i in range(count) for j in range(i + 1, count)]
    before = tuple(pair for pair in pairs if draw(st.integers(0, 3)) == 0)
    return Tasks(thread, (50.0, 20.0, 80.0), before)


def best_by_trying_all(tasks: Tasks) -> int:
    fewest = len(tasks.thread)
    for order in permutations(range(len(tasks.thread))):
        place = {task: number for number, task in enumerate(order)}
        if all(place[a] < place[b] for a, b in tasks.before):
            threads = [tasks.thread[task] for task in order]
            fewest = min(fewest, 1 + sum(a != b for a, b in pairwise(threads)))
    return fewest


@settings(derandomize=True, deadline=None, max_examples=60)
@given(few_tasks(6))
def test_no_order_has_fewer_blocks(tasks: Tasks) -> None:
    blocks = colour_blocks(tasks)
    best = best_by_trying_all(tasks)
    assert len(blocks) == best
    assert fewest_blocks(tasks) == best  # as every order was looked at, it is the number itself


@settings(derandomize=True, deadline=None, max_examples=60)
@given(few_tasks(6), st.integers(1, 2))
def test_where_not_every_order_was_looked_at_less_is_promised(tasks: Tasks, width: int) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(blocks_module, "WIDEST_SEARCH", width)
        assert fewest_blocks(tasks) <= best_by_trying_all(tasks)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(few_tasks(20))
def test_every_task_is_sewn_once_and_after_what_lies_under_it(tasks: Tasks) -> None:
    blocks = colour_blocks(tasks)
    block_of = {task: number for number, (_, members) in enumerate(blocks) for task in members}
    assert sorted(block_of) == list(range(len(tasks.thread)))
    assert all(block_of[a] <= block_of[b] for a, b in tasks.before)
    assert all(tasks.thread[task] == thread for thread, members in blocks for task in members)


def test_what_is_alike_but_belongs_to_another_stage_is_left_to_it() -> None:
    alike = Tasks((0, 0, 1, 1), (50.0, 20.0), ())
    assert colour_blocks(alike, (0, 2)) == ((0, (0,)), (1, (2,)))
    assert colour_blocks(alike, (1, 3)) == ((0, (1,)), (1, (3,)))
