"""The sewing order: blocks of one thread, in each the tour with the fewest cuts and the shortest ways."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats
from plans.order.blocks import Tasks, colour_blocks
from plans.order.lines import Line, heights
from plans.order.ports import Ports
from plans.order.stops import Place, Stop
from plans.order.tours import Leg, Unit, tour

Ways = Callable[[Floats, NDArray[np.int64], NDArray[np.bool_]], Floats]
"""Seconds (N, N) of the ways between places (N, 2) of tasks (N,), while the tasks in the mask are still to be sewn."""
AT_ONCE = 200
"""So many units are toured at once; more are taken in pieces of the design, one after the other."""
PIECE_MM = 40.0


def sewing_order(
    tasks: Tasks,
    ports: tuple[Ports, ...],
    ways: Ways,
    lines: Sequence[Line] = (),
    stages: tuple[tuple[int, ...], ...] | None = None,
    raised_s: float = 0.0,
) -> tuple[Stop, ...]:
    """All tasks in order, `tasks.before` kept, with the places where each should begin and end.

    lines: tasks to be sewn letter by letter. stages: tasks to be finished with one after the other, whatever changes
    of thread that costs. raised_s: what each mm above the baseline counts as where letters are joined. Deterministic.
    Cost: linear in tasks, square within AT_ONCE of them.
    """
    stops: list[Stop] = []
    left = np.ones(len(tasks.thread), bool)
    blocks = [block for stage in stages for block in colour_blocks(tasks, stage)] if stages else colour_blocks(tasks)
    for thread, members in blocks:
        left[list(members)] = False
        for some in _at_once(tasks, members, ports):
            same = bool(stops) and tasks.thread[stops[-1].task] == thread
            needle = stops[-1].end if same else None
            stops += _Block(tasks, some, ports, lines, ways, left, raised_s).stops(needle)
    return tuple(stops)


class _Block:
    """Some tasks of one thread, with their ports in one table."""

    def __init__(
        self,
        tasks: Tasks,
        members: tuple[int, ...],
        ports: tuple[Ports, ...],
        lines: Sequence[Line],
        ways: Ways,
        left: NDArray[np.bool_],
        raised_s: float,
    ) -> None:
        self.members = members
        self.before = [(a, b) for a, b in tasks.before if a in set(members) and b in set(members)]
        self.through = {task: ports[task].through for task in members}
        counts = [len(ports[task].xy) for task in members]
        begin = np.cumsum([0, *counts])
        self.own = {task: np.arange(begin[i], begin[i + 1]) for i, task in enumerate(members)}
        self.xy = np.vstack([ports[task].xy for task in members])
        self.cost = ways(self.xy, np.repeat(members, counts), left)
        self.raised_s = raised_s
        self.lines = [line for line in (_within(line, members) for line in lines) if len(line) > 1]

    def stops(self, needle: Place | None) -> list[Stop]:
        """The tasks in order, from where the needle stands."""
        groups = _sorted_out(self.members, self.lines, self.before)
        units = [self._unit_of(group) for group in groups]
        number = {task: index for index, group in enumerate(groups) for letter in group for task in letter}
        before = {(number[a], number[b]) for a, b in self.before if number[a] != number[b]}
        begin = np.zeros(len(self.xy)) if needle is None else _off(self.xy, needle)
        found: list[Stop] = []
        for unit, entry, leave in tour(units, before, self.cost, begin):
            found += self._read(groups[unit], entry, leave) if len(groups[unit]) > 1 else [
                self._stop(groups[unit][0][0], entry, leave)
            ]  # fmt: skip
        return found

    def _unit_of(self, group: Line) -> Unit:
        if len(group) == 1:
            return self._unit(group[0][0], self.own[group[0][0]])
        first, last = (np.concatenate([self.own[task] for task in letter]) for letter in (group[0], group[-1]))
        return Unit(first, last, np.zeros((len(first), len(last))))

    def _unit(self, task: int, own: NDArray[np.int64]) -> Unit:
        through = self.through[task]
        if through is None:
            return Unit(own, own, np.zeros((len(own), len(own))))
        ends = np.eye(len(own))
        return Unit(own, own, np.where(ends[::-1] if through else ends, 0.0, np.inf))

    def _read(self, letters: Line, entry: int, leave: int) -> list[Stop]:
        """A line letter by letter, each letter's pieces from where the one before ended towards the one after."""
        found: list[Stop] = []
        own = [np.concatenate([self.own[task] for task in letter]) for letter in letters]
        raised = np.zeros(len(self.xy))
        for ports, up in zip(own, heights([self.xy[ports] for ports in own]), strict=True):
            raised[ports] = up * self.raised_s
        begin = _only(len(self.xy), entry)
        for number, letter in enumerate(letters):
            ahead = own[number + 1] if number + 1 < len(letters) else None
            end = _only(len(self.xy), leave) if ahead is None else self._to(ahead, raised)
            place = {task: at for at, task in enumerate(letter)}
            before = [(place[a], place[b]) for a, b in self.before if a in place and b in place]
            legs = self._toured(letter, before, begin, end)
            found += [self._stop(letter[unit], first, last) for unit, first, last in legs]
            begin = self.cost[legs[-1][2]] + raised
        return found

    def _toured(self, letter: tuple[int, ...], before: list[tuple[int, int]], begin: Floats, end: Floats) -> list[Leg]:
        """The pieces of a letter in order, in a table of their own ports alone."""
        own = np.sort(np.concatenate([self.own[task] for task in letter]))
        units = [self._unit(task, np.searchsorted(own, self.own[task])) for task in letter]
        legs = tour(units, before, self.cost[np.ix_(own, own)], begin[own], end[own])
        return [(unit, int(own[entry]), int(own[leave])) for unit, entry, leave in legs]

    def _to(self, ahead: NDArray[np.int64], raised: Floats) -> Floats:
        """What it costs to end a letter at each port, with the way to the next letter's ports `ahead`."""
        return np.asarray((self.cost[:, ahead] + raised[ahead]).min(axis=1) + raised)

    def _stop(self, task: int, entry: int, leave: int) -> Stop:
        return Stop(task, _place(self.xy[entry]), _place(self.xy[leave]))


def _at_once(tasks: Tasks, members: tuple[int, ...], ports: tuple[Ports, ...]) -> list[tuple[int, ...]]:
    """The tasks of a block in pieces small enough to be toured at once, each after those it waits for."""
    if len(members) <= AT_ONCE:
        return [members]
    depth = tasks.depth
    middle = {task: ports[task].xy.mean(axis=0) // PIECE_MM for task in members}
    strip = {task: (depth[task], middle[task][1], middle[task][0] * (-1) ** int(middle[task][1])) for task in members}
    ranked = sorted(members, key=lambda task: (*strip[task], task))
    return [tuple(ranked[at : at + AT_ONCE]) for at in range(0, len(ranked), AT_ONCE)]


def _within(line: Line, members: tuple[int, ...]) -> Line:
    among = set(members)
    letters = (tuple(task for task in letter if task in among) for letter in line)
    return tuple(letter for letter in letters if letter)


def _sorted_out(members: tuple[int, ...], lines: list[Line], before: list[tuple[int, int]]) -> list[Line]:
    """Lines that nothing has to come between, and every other task by itself."""
    kept: list[Line] = []
    for line in lines:
        inside = {task for letter in line for task in letter}
        if not _comes_between(inside, before):
            kept.append(line)
    taken = {task for line in kept for letter in line for task in letter}
    return [*kept, *(((task,),) for task in members if task not in taken)]


def _comes_between(inside: set[int], before: list[tuple[int, int]]) -> bool:
    """Whether a task outside waits for one inside while another inside waits for it, straight or by others."""
    reached, stack = set(), [b for a, b in before if a in inside and b not in inside]
    follows: dict[int, list[int]] = {}
    for a, b in before:
        follows.setdefault(a, []).append(b)
    while stack:
        task = stack.pop()
        if task in inside:
            return True
        if task not in reached:
            reached.add(task)
            stack += follows.get(task, [])
    return False


def _only(count: int, port: int) -> Floats:
    begin = np.full(count, 1e6)
    begin[port] = 0.0
    return begin


def _off(xy: Floats, needle: Place) -> Floats:
    return np.asarray(np.hypot(*(xy - needle).T))


def _place(xy: Floats) -> Place:
    return float(xy[0]), float(xy[1])
