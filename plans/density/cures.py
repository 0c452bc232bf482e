"""What would make a hard patch soft again: the change that shows least first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analyse.values import SizedDrawing
from plans.density.causes import Share, crowded
from plans.values import Lay, Move, Step, Stitches

FILL = "the fill beneath to a loose base"
LEAST = 0.05
"""Layers a change must save in the patch to be worth saying; less than that is measuring error."""


@dataclass(frozen=True, slots=True)
class Cure:
    """A change: what to do, the layers it takes off the patch, and the stitches it saves in all.

    Two changes about the same thing exclude each other.
    """

    text: str
    layers: float
    saves: int
    about: str = ""


def cure_for(
    shares: tuple[Share, ...],
    stitches: Stitches,
    steps: tuple[Step, ...],
    sized: SizedDrawing,
    layers: float,
    limit: float,
) -> Cure:
    """The least change that brings a patch under its limit; where none does alone, as many as it takes."""
    known = [cure for cure in changes(shares, stitches, steps, sized) if cure.layers >= LEAST]
    alone = next((cure for cure in known if layers - cure.layers <= limit + LEAST), None)
    if alone:
        return alone
    if not known:
        return Cure("move one of them aside", 0.0, 0)
    taken: list[Cure] = []
    for cure in sorted(known, key=lambda cure: -cure.layers):
        if not any(cure.about and cure.about == one.about for one in taken):
            taken.append(cure)
        if layers - sum(one.layers for one in taken) <= limit + LEAST:
            break
    return Cure(", ".join(one.text for one in taken), sum(one.layers for one in taken), sum(one.saves for one in taken))


def changes(
    shares: tuple[Share, ...], stitches: Stitches, steps: tuple[Step, ...], sized: SizedDrawing
) -> tuple[Cure, ...]:
    """Every change there is for these shares, the one that shows least first."""
    lowest = min(share.step for share in shares)
    highest = max((share.step for share in shares if share.lay == Lay.TOP), default=lowest)
    loose = [share for share in shares if share.lay in (Lay.TIE, Lay.TRAVEL)]
    under = [share for share in shares if share.lay == Lay.UNDERLAY and share.step > lowest]
    top = [share for share in shares if share.lay == Lay.TOP]
    fills = [share for share in top if steps[share.step].sewing.kind == "fill" and share.step < highest]
    columns = [share for share in top if steps[share.step].sewing.kind == "column" and share.step > lowest]
    lines = [share for share in top if steps[share.step].sewing.kind == "running"]
    base, standard = float(sized.trade.value("fill.spacing_base")), float(sized.trade.value("fill.spacing"))
    open_ = float(sized.trade.value("column.spacing_open"))
    itself = crowded(shares)
    return (
        Cure("split what crowds on itself where it turns", itself.layers - 1.0 if itself else 0.0, 0),
        Cure("move ties and travel aside", sum(share.layers for share in loose), 0),
        Cure("leave out the upper underlay", sum(share.layers for share in under), laid(stitches, under)),
        opened(stitches, steps, fills, base, standard, FILL),
        opened(stitches, steps, columns, open_, standard, "the columns on top"),
        fewer_passes(stitches, steps, lines),
        Cure(
            "cut the fill out beneath", sum(share.layers for share in fills), sum(share.points for share in fills), FILL
        ),
    )


def laid(stitches: Stitches, shares: list[Share]) -> int:
    """Stitches of whole steps by the lay of each share."""
    sewn = (stitches.move == Move.SEW) | (stitches.move == Move.TRAVEL)
    return sum(int((sewn & (stitches.step == share.step) & (stitches.lay == share.lay)).sum()) for share in shares)


def opened(
    stitches: Stitches, steps: tuple[Step, ...], shares: list[Share], spacing_mm: float, standard_mm: float, name: str
) -> Cure:
    """What opening the spacing of these saves."""
    kept = [min(1.0, (steps[share.step].sewing.spacing_mm or standard_mm) / spacing_mm) for share in shares]
    layers = sum(share.layers * (1 - part) for share, part in zip(shares, kept, strict=True))
    saves = sum(laid(stitches, [share]) * (1 - part) for share, part in zip(shares, kept, strict=True))
    return Cure(f"open {name} ({spacing_mm:.2f} mm)", layers, round(saves), name)


def fewer_passes(stitches: Stitches, steps: tuple[Step, ...], shares: list[Share]) -> Cure:
    """What one pass less of each line saves."""
    often = [share for share in shares if steps[share.step].sewing.passes > 1]
    parts = np.array([1 / steps[share.step].sewing.passes for share in often])
    layers = float((parts * [share.layers for share in often]).sum()) if often else 0.0
    saves = float((parts * [laid(stitches, [share]) for share in often]).sum()) if often else 0.0
    return Cure("sew the lines once less", layers, round(saves))
