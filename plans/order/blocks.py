"""The sewing order: colours kept together as far as what lies under what allows, short ways between."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """One sewing as the order sees it: its thread, its group, and the points it may begin and end at, (N, 2) mm."""

    thread: int
    group: int
    ends: Floats


def sewing_order(tasks: tuple[Task, ...], before: tuple[tuple[int, int], ...]) -> tuple[int, ...]:
    """An order that keeps every pair of `before`.

    Takes whole runs of one thread: at each change the thread that lets most be sewn, then the nearest ready one.
    Deterministic. Cost: tasks times those ready.
    """
    waits, frees = _links(len(tasks), before)
    order: list[int] = []
    ready = {index for index in range(len(tasks)) if waits[index] == 0}
    needle = np.zeros(2)
    thread = -1
    while ready:
        own = sorted(index for index in ready if tasks[index].thread == thread)
        if not own:
            thread = _next_thread(tasks, waits, frees, ready)
            continue
        chosen = min(own, key=lambda index: (_reach(tasks[index].ends, needle), index))
        order.append(chosen)
        needle = _far_end(tasks[chosen].ends, needle)
        ready.remove(chosen)
        for freed in frees[chosen]:
            waits[freed] -= 1
            if waits[freed] == 0:
                ready.add(freed)
    return tuple(order)


def fewest_blocks(tasks: tuple[Task, ...], before: tuple[tuple[int, int], ...]) -> int:
    """A lower bound on colour blocks: the longest chain of changes that `before` forces, or the number of threads."""
    waits, frees = _links(len(tasks), before)
    longest = [1] * len(tasks)
    ready = [index for index, wait in enumerate(waits) if wait == 0]
    while ready:
        done = ready.pop()
        for freed in frees[done]:
            change = tasks[freed].thread != tasks[done].thread
            longest[freed] = max(longest[freed], longest[done] + change)
            waits[freed] -= 1
            if waits[freed] == 0:
                ready.append(freed)
    return max([len({task.thread for task in tasks}), *longest]) if tasks else 0


def _links(count: int, before: tuple[tuple[int, int], ...]) -> tuple[list[int], dict[int, list[int]]]:
    waits, frees = [0] * count, defaultdict(list)
    for first, second in before:
        frees[first].append(second)
        waits[second] += 1
    return waits, frees


def _next_thread(tasks: tuple[Task, ...], waits: list[int], frees: dict[int, list[int]], ready: set[int]) -> int:
    """The thread of which most can be sewn without a change; ties by number."""
    threads = sorted({tasks[index].thread for index in ready})
    return max(threads, key=lambda thread: (_run(tasks, waits, frees, ready, thread), -thread))


def _run(tasks: tuple[Task, ...], waits: list[int], frees: dict[int, list[int]], ready: set[int], thread: int) -> int:
    still = list(waits)
    stack = [index for index in ready if tasks[index].thread == thread]
    left = sum(task.thread == thread for task in tasks)
    done = 0
    while stack:
        index = stack.pop()
        done += 1
        for freed in frees[index]:
            still[freed] -= 1
            if still[freed] == 0 and tasks[freed].thread == thread:
                stack.append(freed)
    return done * 1000 // max(left, 1)


def _reach(ends: Floats, needle: NDArray[np.float64]) -> float:
    return float(np.hypot(*(ends - needle).T).min())


def _far_end(ends: Floats, needle: NDArray[np.float64]) -> NDArray[np.float64]:
    far: NDArray[np.float64] = ends[int(np.argmax(np.hypot(*(ends - needle).T)))]
    return far
