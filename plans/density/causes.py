"""What lies in a hard patch: every step's share of it, and the sentence a practitioner would say."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from plans.density.deposit import Pieces
from plans.values import Lay, Step, Stitches

WORTH_NAMING = 0.15
"""Layers of cover a step must bring to a patch to be named."""
CROWDED = 1.6
"""A step that brings more layers than this to a patch by its top stitching alone runs together with itself."""
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


@dataclass(frozen=True, slots=True)
class Share:
    """What one step brings to a patch by one lay: full layers over the window, and its needle points there."""

    step: int
    lay: Lay
    layers: float
    points: int


def shares_of(
    pieces: Pieces, stitches: Stitches, at_mm: tuple[float, float], window_mm: float, full_mm: float
) -> tuple[Share, ...]:
    """Every step's share, in sewing order; pieces: sorted by height."""
    near = pieces.near(at_mm, window_mm / 2)
    rows, length = near.row, near.length
    key = stitches.step[rows].astype(np.int64) * len(Lay) + stitches.lay[rows]
    layers = np.bincount(key, length) / (window_mm**2 * full_mm)
    present = np.flatnonzero(layers)
    points = [len(np.unique(rows[key == one])) for one in present]
    return tuple(
        Share(int(one) // len(Lay), Lay(int(one) % len(Lay)), float(layers[one]), count)
        for one, count in zip(present, points, strict=True)
    )


def worth_naming(shares: tuple[Share, ...]) -> list[Share]:
    """The top stitching that makes the patch, in sewing order; the largest share if nothing else does."""
    top = [share for share in shares if share.lay == Lay.TOP and share.layers >= WORTH_NAMING]
    return top or sorted(shares, key=lambda share: -share.layers)[:1]


def what(step: Step) -> str:
    """A step in one word or two."""
    sewing = step.sewing
    if sewing.kind == "fill":
        return "loose base" if sewing.role == "base" else "full fill"
    return {"column": "column", "running": "running line"}[sewing.kind]


def counted(names: list[str]) -> str:
    """`three columns and a running line`."""
    parts = []
    for name, times in Counter(names).items():
        number = "a" if times == 1 else NUMBERS[times] if times < len(NUMBERS) else str(times)
        parts.append(f"{number} {name}{'s' if times > 1 else ''}")
    return " and ".join(parts)


def crowded(shares: tuple[Share, ...]) -> Share | None:
    """The step that runs together with itself, if one does."""
    most = max((share for share in shares if share.lay == Lay.TOP), key=lambda share: share.layers, default=None)
    return most if most and most.layers > CROWDED else None


def said(shares: tuple[Share, ...], steps: tuple[Step, ...]) -> str:
    """Why the patch is hard: what crosses over what, and what underlay, ties and travel add."""
    itself = crowded(shares)
    if itself:
        return f"a {what(steps[itself.step])} crowds on itself with {itself.layers:.1f} layers{added(shares)}"
    names = [what(steps[share.step]) for share in worth_naming(shares)]
    under = [name for name in names if name in ("full fill", "loose base")]
    over = [name for name in names if name not in under]
    if over and under:
        verb = "cross" if len(over) > 1 else "lies"
        text = f"{counted(over)} {verb} over {counted(under)}"
    elif len(names) > 1:
        text = f"{counted(names)} {'cross' if over else 'lie on each other'}"
    else:
        text = f"a {names[0]} crowds on itself"
    return text + added(shares)


def added(shares: tuple[Share, ...]) -> str:
    """`, with 0.4 layers of underlay and 0.2 of ties and travel`, where they matter."""
    under = sum(share.layers for share in shares if share.lay == Lay.UNDERLAY)
    rest = sum(share.layers for share in shares if share.lay in (Lay.TIE, Lay.TRAVEL))
    parts = [
        f"{layers:.1f} layers of {name}"
        for layers, name in ((under, "underlay"), (rest, "ties and travel"))
        if layers >= WORTH_NAMING
    ]
    return f", with {' and '.join(parts)}" if parts else ""
