"""In which order are a fill's pieces sewn? The cheapest walk whose travel stays under rows still to come.

Any piece whose loss leaves the unsewn ones connected may come next, sewn towards one of them: such a piece always
exists, so no walk ever needs a jump or a visible travel inside a connected shape.
"""

from __future__ import annotations

import heapq
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass

from plans.stitching.pieces import BOTTOM, TOP, Pieces

Node = tuple[int, int]
EVEN_DIGITS = 6  # ways that differ by less are even
NOWHERE: Node = (-1, -1)


@dataclass(frozen=True, slots=True)
class Leg:
    """Sew `piece` from its `entry` end to the other, after travelling over `way` (piece, end) nodes to it."""

    piece: int
    entry: int
    way: tuple[Node, ...]


def walk(
    pieces: Pieces, inside: set[int], start: int, share: float, last: int | None = None, leave: Node | None = None
) -> tuple[Leg, ...]:
    """The legs that sew the connected pieces `inside`, beginning in piece `start`.

    share: how far down `start` the needle stands, 0 top to 1 bottom. last: the piece to end in, if it can be. leave:
    the same with the end to finish it at.
    """
    last = leave[0] if leave is not None else last
    height = pieces.height(start)
    seeds: list[tuple[float, Node]] = [(height * share, (start, TOP)), (height * (1 - share), (start, BOTTOM))]
    unsewn, legs = set(inside), []
    while unsewn:
        ends = leave is not None and len(unsewn) == 1 and leave[0] in unsewn
        leg = _next_leg(pieces, unsewn, seeds, last if len(unsewn) > 1 else None, leave if ends else None)
        legs.append(leg)
        unsewn.discard(leg.piece)
        seeds = [(0.0, node) for node in pieces.links[leg.piece][1 - leg.entry] if node[0] in unsewn]
        seeds = seeds or [(0.0, node) for node in pieces.links[leg.piece][leg.entry] if node[0] in unsewn]
    return tuple(legs)


def _next_leg(
    pieces: Pieces, unsewn: set[int], seeds: list[tuple[float, Node]], last: int | None, leave: Node | None
) -> Leg:
    came: dict[Node, Node | None] = {}
    for node in _reached(pieces, unsewn, seeds, came):
        piece, end = node
        if leave == node and pieces.height(piece):
            continue
        if piece != last and _may_go(pieces, unsewn, piece, 1 - end):
            return Leg(piece, end, _way_to(node, came))
    node = min(came)
    return Leg(node[0], node[1], _way_to(node, came))


def _reached(
    pieces: Pieces, unsewn: set[int], seeds: list[tuple[float, Node]], came: dict[Node, Node | None]
) -> Iterator[Node]:
    """Nodes of unsewn pieces by their way from the seeds, nearest first; fills `came` with each one's forerunner."""
    queue: list[tuple[float, Node, Node]] = [(round(cost, EVEN_DIGITS), node, NOWHERE) for cost, node in seeds]
    heapq.heapify(queue)
    while queue:
        cost, node, before = heapq.heappop(queue)
        if node in came:
            continue
        came[node] = None if before == NOWHERE else before
        yield node
        piece, end = node
        heapq.heappush(queue, (round(cost + pieces.height(piece), EVEN_DIGITS), (piece, 1 - end), node))
        for other in pieces.links[piece][end]:
            if other[0] in unsewn and other not in came:
                heapq.heappush(queue, (round(cost + pieces.rows.pitch, EVEN_DIGITS), other, node))


def _may_go(pieces: Pieces, unsewn: set[int], piece: int, leaving: int) -> bool:
    """Whether sewing `piece` out at `leaving` stands beside an unsewn piece and leaves those in one."""
    if len(unsewn) == 1:
        return True
    if not any(other in unsewn for other, _ in pieces.links[piece][leaving]):
        return False
    beside = {other for side in pieces.links[piece] for other, _ in side if other in unsewn}
    return len(beside) == 1 or _linked(pieces, unsewn, piece, beside)


def _linked(pieces: Pieces, unsewn: set[int], without: int, wanted: set[int]) -> bool:
    """Whether the `wanted` pieces hang together over unsewn ones, `without` one of them.

    All are searched from at once, in turns: a short way round ends it soon, and so does the smaller side of a cut.
    """
    owner = {piece: piece for piece in sorted(wanted)}
    root = dict(owner)
    queues = {piece: deque([piece]) for piece in owner}
    while len(queues) > 1:
        for own in list(queues):
            if own not in queues:
                continue
            if not queues[own]:
                return False
            for side in pieces.links[queues[own].popleft()]:
                for other, _ in side:
                    if other == without or other not in unsewn:
                        continue
                    if other not in owner:
                        owner[other] = own
                        queues[own].append(other)
                        continue
                    met = _root(root, owner[other])
                    if met != own:
                        root[met] = own
                        queues[own].extend(queues.pop(met))
    return True


def _root(root: dict[int, int], piece: int) -> int:
    while root[piece] != piece:
        piece = root[piece]
    return piece


def connected(pieces: Pieces) -> tuple[set[int], ...]:
    """The pieces in groups that touch, by their first piece."""
    left, groups = set(range(len(pieces.members))), []
    while left:
        first = min(left)
        seen, stack = {first}, [first]
        while stack:
            for side in pieces.links[stack.pop()]:
                new = {other for other, _ in side} - seen
                seen |= new
                stack.extend(sorted(new))
        groups.append(seen)
        left -= seen
    return tuple(groups)


def _way_to(node: Node, came: dict[Node, Node | None]) -> tuple[Node, ...]:
    way: list[Node] = []
    at: Node | None = node
    while at is not None:
        way.append(at)
        at = came[at]
    return tuple(reversed(way))
