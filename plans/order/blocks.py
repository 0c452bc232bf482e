"""Colour blocks: which thread comes next, so that what lies under what is kept with the fewest changes."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

WIDEST_SEARCH = 1024
"""Open states kept at each length: designs of a dozen threads seldom have more, and then the search is exact."""
MOST_WORK, NARROWEST = 60_000, 64
"""Groups of tasks times states looked at for each length: with more groups fewer states are kept, but so many."""


@dataclass(frozen=True, eq=False)
class Tasks:
    """What is to be sewn: thread of each task, L* of each thread, and pairs (i, j), i before j."""

    thread: tuple[int, ...]
    lightness: tuple[float, ...]
    before: tuple[tuple[int, int], ...]

    @cached_property
    def waits(self) -> tuple[int, ...]:
        """For each task the tasks it waits for, as bits."""
        found = [0] * len(self.thread)
        for first, second in self.before:
            found[second] |= 1 << first
        return tuple(found)

    @cached_property
    def frees(self) -> dict[int, list[int]]:
        """For each task those that wait for it."""
        found: dict[int, list[int]] = defaultdict(list)
        for first, second in self.before:
            found[first].append(second)
        return found

    @cached_property
    def by_waiting(self) -> tuple[int, ...]:
        """All tasks, each after those it waits for. Errors: ValueError where tasks wait for each other in a ring."""
        waiting = [bits.bit_count() for bits in self.waits]
        order = [task for task, wait in enumerate(waiting) if wait == 0]
        for task in order:
            for freed in self.frees.get(task, ()):
                waiting[freed] -= 1
                if waiting[freed] == 0:
                    order.append(freed)
        if len(order) < len(self.thread):
            ring = sorted(set(range(len(self.thread))) - set(order))
            raise ValueError(f"tasks {ring} wait for each other")
        return tuple(order)

    @cached_property
    def depth(self) -> tuple[int, ...]:
        """For each task the length of the longest chain it waits for."""
        found = [0] * len(self.thread)
        for task in self.by_waiting:
            for freed in self.frees.get(task, ()):
                found[freed] = max(found[freed], found[task] + 1)
        return tuple(found)


@dataclass(frozen=True, slots=True)
class _State:
    done: int
    blocks: tuple[tuple[int, int], ...]
    """(thread, tasks as bits) of each block so far."""


def colour_blocks(tasks: Tasks, among: tuple[int, ...] | None = None) -> tuple[tuple[int, tuple[int, ...]], ...]:
    """(thread, its tasks) of each block, in order: as few blocks as a breadth-first search finds.

    among: only these tasks, the others counting as sewn before.

    A block takes all of its thread that may be sewn: sewing more of one thread never costs a change. Among equals the
    lighter thread goes first, so that darker ones can hide what travels. Exact while no more than WIDEST_SEARCH states
    are open; deterministic. Tasks that wait for the same and free the same are searched as one.
    """
    return _searched(tasks, among)[0]


def _searched(
    tasks: Tasks, among: tuple[int, ...] | None = None
) -> tuple[tuple[tuple[int, tuple[int, ...]], ...], bool]:
    """The blocks, and whether every order was looked at: then there are no fewer."""
    queues = _queues(tasks, among)
    groups = sum(len(queue) for _, queue in queues)
    exact, width = True, min(max(MOST_WORK // max(groups, 1), NARROWEST), WIDEST_SEARCH)
    everything = (1 << len(tasks.thread)) - 1
    begun = everything & ~sum(1 << task for task in among) if among is not None else 0
    states = [_State(begun, ())]
    while states and states[0].done != everything:
        found: dict[int, _State] = {}
        for state in states:
            for thread, queue in queues:
                taken = _run(queue, state.done)
                done = state.done | taken
                if taken and done not in found:
                    found[done] = _State(done, (*state.blocks, (thread, taken)))
        exact &= len(found) <= width
        states = sorted(found.values(), key=lambda state: -state.done.bit_count())[:width]
    return tuple((thread, _members(taken)) for thread, taken in states[0].blocks), exact


def fewest_blocks(tasks: Tasks) -> int:
    """No order has fewer colour blocks: counted where every order was looked at, else the longest chain's."""
    blocks, exact = _searched(tasks)
    return len(blocks) if exact else _forced(tasks)


def _forced(tasks: Tasks) -> int:
    """A lower bound: the most changes any chain of `before` forces, or the number of threads."""
    longest = [1] * len(tasks.thread)
    for task in tasks.by_waiting:
        for freed in tasks.frees.get(task, ()):
            longest[freed] = max(longest[freed], longest[task] + (tasks.thread[freed] != tasks.thread[task]))
    return max([len(set(tasks.thread)), *longest]) if longest else 0


Queue = list[tuple[int, int]]


def _queues(tasks: Tasks, among: tuple[int, ...] | None) -> list[tuple[int, Queue]]:
    """For each thread, lightest first: (tasks, what they wait for) as bits, each after those it waits for."""
    alike: dict[tuple[int, int, tuple[int, ...]], int] = {}
    asked = frozenset(range(len(tasks.thread)) if among is None else among)
    for task in filter(asked.__contains__, tasks.by_waiting):
        key = (tasks.thread[task], tasks.waits[task], tuple(tasks.frees.get(task, ())))
        alike[key] = alike.get(key, 0) | 1 << task
    queues: dict[int, Queue] = defaultdict(list)
    for (thread, waits, _), members in alike.items():
        queues[thread].append((members, waits))
    return sorted(queues.items(), key=lambda item: (-tasks.lightness[item[0]], item[0]))


def _run(queue: Queue, done: int) -> int:
    """All tasks of a thread that can follow each other from `done`, as bits."""
    taken = 0
    for members, waits in queue:
        if not members & done and waits & ~(done | taken) == 0:
            taken |= members
    return taken


def _members(bits: int) -> tuple[int, ...]:
    return tuple(task for task in range(bits.bit_length()) if bits >> task & 1)
