"""Which branches make the main run of a shape: the longest way through its axis, or its ring."""

from __future__ import annotations

from collections.abc import Sequence

from analyse.widths.centreline import Branch


def main_path(branches: Sequence[Branch]) -> tuple[list[Branch], bool]:
    """The longest run of branches, in order, and whether it closes on itself."""
    rings = [b for b in branches if b.ends[0] == b.ends[1]]
    if rings:
        return [max(rings, key=lambda b: b.length)], True
    core = _without_twigs(branches)
    if core:
        ring = _round(branches, core)
        if ring:
            return ring, True
    return _longest(branches), False


def _at(branches: Sequence[Branch], chosen: Sequence[int]) -> dict[int, list[int]]:
    at: dict[int, list[int]] = {}
    for i in chosen:
        for node in branches[i].ends:
            at.setdefault(node, []).append(i)
    return at


def _without_twigs(branches: Sequence[Branch]) -> list[int]:
    """Branches left when free ends are taken away again and again: the rings."""
    chosen = list(range(len(branches)))
    while True:
        at = _at(branches, chosen)
        kept = [i for i in chosen if all(len(at[node]) > 1 for node in branches[i].ends)]
        if len(kept) == len(chosen):
            return chosen
        chosen = kept


def _round(branches: Sequence[Branch], core: list[int]) -> list[Branch]:
    """The ring's branches in order, if they make one simple ring."""
    at = _at(branches, core)
    if any(len(own) != 2 for own in at.values()):
        return []
    here, ring, left = branches[core[0]].ends[0], [], set(core)
    while left:
        step = [i for i in at[here] if i in left]
        if not step:
            return []
        left.discard(step[0])
        branch = branches[step[0]]
        branch = branch if branch.ends[0] == here else branch.turned()
        ring.append(branch)
        here = branch.ends[1]
    return ring


def _longest(branches: Sequence[Branch]) -> list[Branch]:
    if len(branches) == 1:
        return list(branches)
    at = _at(branches, range(len(branches)))
    # where a cut leaves a bit of axis apart from the rest, the way goes through the rest
    start = max(_linked(branches, at), key=lambda node: (len(at[node]) == 1, -node))
    far, _ = _farthest(branches, at, start)
    _, steps = _farthest(branches, at, far)
    legs = [branches[i].turned() if backwards else branches[i] for i, backwards in steps]
    return legs or [max(branches, key=lambda b: b.length)]


def _linked(branches: Sequence[Branch], at: dict[int, list[int]]) -> set[int]:
    """The nodes that hang together with the longest branch."""
    found: set[int] = set()
    queue = [max(branches, key=lambda b: b.length).ends[0]]
    while queue:
        node = queue.pop()
        if node not in found:
            found.add(node)
            queue += [end for i in at[node] for end in branches[i].ends]
    return found


def _farthest(
    branches: Sequence[Branch], at: dict[int, list[int]], start: int
) -> tuple[int, tuple[tuple[int, bool], ...]]:
    """The node farthest along the branches from a node, and the way there (first found way in a ring).

    The way as branches, and whether each is gone backwards.
    """
    reach: dict[int, tuple[float, tuple[tuple[int, bool], ...]]] = {start: (0.0, ())}
    queue = [start]
    while queue:
        node = queue.pop()
        length, steps = reach[node]
        for i in at[node]:
            one, two = branches[i].ends
            beyond = two if one == node else one
            if beyond not in reach:
                reach[beyond] = length + branches[i].length, (*steps, (i, one != node))
                queue.append(beyond)
    best = max(reach, key=lambda node: (reach[node][0], -node))
    return best, reach[best][1]
