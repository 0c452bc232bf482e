"""Caps: each element is finished with its own border, from the centre out and from the bill up."""

from __future__ import annotations

import numpy as np

from analyse.values import Floats

COLUMN_MM = 12.0
"""Elements whose middles lie within this of each other across the cap are taken from the bill up."""


def cap_stages(boxes: Floats, before: tuple[tuple[int, int], ...], width_mm: float) -> tuple[tuple[int, ...], ...]:
    """Sewings in elements that hang together, in the order a cap wants. boxes: (N, 4) bounds of each, mm.

    Source: common practice. The bill lies below the design: y runs down.
    """
    root = list(range(len(boxes)))

    def find(task: int) -> int:
        while root[task] != task:
            root[task] = root[root[task]]
            task = root[task]
        return task

    for first, second in before:
        low, high = sorted((find(first), find(second)))
        root[high] = low
    elements: dict[int, list[int]] = {}
    for task in range(len(boxes)):
        elements.setdefault(find(task), []).append(task)

    def place(members: list[int]) -> tuple[float, float, int]:
        low, high = boxes[members, :2].min(axis=0), boxes[members, 2:].max(axis=0)
        out = abs(float(low[0] + high[0]) / 2 - width_mm / 2)
        return np.floor(out / COLUMN_MM), -float(high[1]), members[0]

    return tuple(tuple(members) for members in sorted(elements.values(), key=place))
