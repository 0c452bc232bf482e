"""What would make a hard patch soft again: the change that shows least first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.trade import Trade
from plans.density.causes import crowded
from plans.density.spots import Share, Spot
from plans.values import Lay, Move, Step, Stitches

FILL = "the fill beneath to a loose base"
LEAST, ERROR = 0.1, 0.05
"""What a change must take off the patch to be worth naming; and by how much a measure may miss its limit."""
ON_IT, HIDDEN = 0.8, 0.3
"""A step lies on another with this share of itself, and a third lies between with less than that one."""
JOIN_MM = 0.2
"""Shapes that lie so near each other cover as one."""
WHOLE = 0.95
"""Where less of a fill goes from a place, the row ends of the cut lie there instead and prick it as often."""


@dataclass(frozen=True, slots=True)
class Cure:
    """A change: what to do, what it takes off the patch (layers, or needle points per mm2), and the stitches it saves.

    Two changes about the same thing exclude each other. steps: those that are changed.
    """

    text: str
    takes: float
    saves: int
    about: str = ""
    steps: tuple[int, ...] = ()


NONE = Cure("", 0.0, 0)
"""No change that is known makes the place softer."""


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """A patch to be cured. counts: (steps, lays) stitches of the whole plan; unit: what is judged."""

    spot: Spot
    steps: tuple[Step, ...]
    counts: NDArray[np.int64]
    trade: Trade
    unit: str

    def part(self, shares: list[Share]) -> float:
        """What these bring to the patch, in its unit."""
        return sum(share.of(self.unit) for share in shares)

    def laid(self, shares: list[Share]) -> int:
        """Stitches of whole steps, by the lay of each share."""
        return int(sum(self.counts[share.step, share.lay] for share in shares))


def stitch_counts(stitches: Stitches, steps: tuple[Step, ...]) -> NDArray[np.int64]:
    """(steps, lays) sewn and travelled rows."""
    sewn = np.flatnonzero((stitches.move == Move.SEW) | (stitches.move == Move.TRAVEL))
    key = stitches.step[sewn].astype(np.int64) * len(Lay) + stitches.lay[sewn]
    return np.bincount(key, minlength=len(steps) * len(Lay)).reshape(-1, len(Lay))


def cure_for(case: Case, measure: float, limit: float) -> Cure:
    """What brings a patch under its limit, as one change."""
    taken = cures_for(case, measure, limit)
    takes = min(sum(one.takes for one in taken), measure)
    return Cure(", ".join(one.text for one in taken), takes, sum(one.saves for one in taken)) if taken else NONE


def cures_for(case: Case, measure: float, limit: float) -> list[Cure]:
    """The least change that brings a patch under its limit; where none does alone, as many as it takes."""
    known: list[Cure] = []
    for cure in changes(case):
        if cure.takes < LEAST:
            continue
        if measure - cure.takes <= limit + ERROR:
            return [cure]
        known.append(cure)
    if not known:
        last = last_resort(case)
        return [last] if last.takes >= LEAST else []
    taken: list[Cure] = []
    for cure in sorted(known, key=lambda cure: -cure.takes):
        if not any(cure.about and cure.about == one.about for one in taken):
            taken.append(cure)
        if measure - sum(one.takes for one in taken) <= limit + ERROR:
            break
    return taken


def last_resort(case: Case) -> Cure:
    """What helps where nothing else does: the only thing there more open, or the least of several aside."""
    top, value = case.spot.top(), case.trade.value
    if len({share.step for share in top}) > 1:
        least = min(top, key=lambda share: share.of(case.unit))
        return Cure("move one of them aside", case.part([least]), 0)
    filled = any(case.steps[share.step].sewing.kind == "fill" for share in top)
    spacing_mm = float(value("fill.spacing_base") if filled else value("column.spacing_open"))
    return opened(case, top, spacing_mm, "what lies here")


def changes(case: Case) -> Iterator[Cure]:
    """Every change there is for a patch, the one that shows least first; reckoned as they are asked for."""
    shares, steps, value = case.spot.shares, case.steps, case.trade.value
    top = case.spot.top()
    lowest = min(share.step for share in shares)
    highest = max((share.step for share in top), default=lowest)
    loose = [share for share in shares if share.lay in (Lay.TIE, Lay.TRAVEL)]
    under = [share for share in shares if share.lay == Lay.UNDERLAY and share.step > lowest]
    fills = [share for share in top if steps[share.step].sewing.kind == "fill" and share.step < highest]
    columns = [share for share in top if steps[share.step].sewing.kind == "column" and share.step > lowest]
    lines = [share for share in top if steps[share.step].sewing.kind == "running"]
    yield split_up(case)
    yield Cure("move ties and travel aside", case.part(loose), 0, steps=steps_of(loose))
    yield Cure("leave out the upper underlay", case.part(under), case.laid(under), steps=steps_of(under))
    yield own_colour(case)
    yield opened(case, fills, float(value("fill.spacing_base")), FILL)
    yield opened(case, columns, float(value("column.spacing_open")), "the columns on top")
    yield fewer_passes(case, lines)
    yield cut_out(case, fills)


def steps_of(shares: list[Share]) -> tuple[int, ...]:
    """The steps that bring these, in sewing order."""
    return tuple(sorted({share.step for share in shares}))


def split_up(case: Case) -> Cure:
    """What the step that crowds on itself loses when it lies there once."""
    itself = crowded(case.spot, case.trade)
    takes = itself.of(case.unit) * (1 - 1 / itself.layers) if itself else 0.0
    return Cure("split what crowds on itself where it turns", takes, 0)


def own_colour(case: Case) -> Cure:
    """What leaving out saves that lies on a fill of its own thread, with nothing between."""
    top = sorted(case.spot.lies)
    needless = [upper for upper in top if any(shows_as_well(case, lower, upper) for lower in top if lower < upper)]
    shares = [share for share in case.spot.shares if share.step in needless]
    return Cure("leave out what lies on its own colour", case.part(shares), case.laid(shares), steps=steps_of(shares))


def shows_as_well(case: Case, lower: int, upper: int) -> bool:
    """Whether the lower step, a fill, shows the upper one's colour in its place. Detail keeps its own direction."""
    below, above = case.steps[lower].sewing, case.steps[upper].sewing
    if below.kind != "fill" or below.thread != above.thread or above.role == "detail":
        return False
    between = [
        step for step in case.spot.lies if lower < step < upper and case.steps[step].sewing.thread != above.thread
    ]
    hidden = max((case.spot.beneath(step, upper) for step in between), default=0.0)
    return case.spot.beneath(lower, upper) >= ON_IT and hidden < HIDDEN


def opened(case: Case, shares: list[Share], spacing_mm: float, name: str) -> Cure:
    """What opening the spacing of these saves."""
    standard = float(case.trade.value("fill.spacing"))
    less = [1 - min(1.0, (case.steps[share.step].sewing.spacing_mm or standard) / spacing_mm) for share in shares]
    takes = sum(share.of(case.unit) * part for share, part in zip(shares, less, strict=True))
    saves = sum(case.laid([share]) * part for share, part in zip(shares, less, strict=True))
    return Cure(f"open {name} ({spacing_mm:.2f} mm)", takes, round(saves), name, steps_of(shares))


def cut_out(case: Case, fills: list[Share]) -> Cure:
    """What a fill loses that ends a little way under what covers it; its needle points only go where it goes whole."""
    deep = [(share, hidden(case, share.step)) for share in fills]
    if case.unit == "points":
        deep = [(share, 1.0) for share, part in deep if part >= WHOLE]
    takes = sum(share.of(case.unit) * part for share, part in deep)
    saves = sum(share.points * part for share, part in deep) * float(case.trade.value("density.window")) ** 2
    return Cure("cut the fill out beneath", takes, round(saves), FILL, steps_of([share for share, _ in deep]))


def hidden(case: Case, step: int) -> float:
    """Share of a fill about a patch that lies deep enough under later steps to be cut out."""
    half, run_under = (float(case.trade.value(row)) for row in ("density.window", "border.run_under"))
    (x, y), reach = case.spot.at_mm, half / 2 + run_under
    about = shapely.box(x - reach, y - reach, x + reach, y + reach)
    near = [
        case.steps[over].sewing.shape.intersection(about)
        for over in case.spot.lies
        if over > step and case.steps[over].sewing.kind != "running"
    ]
    window = shapely.box(x - half / 2, y - half / 2, x + half / 2, y + half / 2)
    own = case.steps[step].sewing.shape.intersection(window)
    cover = shapely.union_all(near).buffer(JOIN_MM).buffer(-JOIN_MM - run_under)
    return own.intersection(cover).area / own.area if own.area else 0.0


def fewer_passes(case: Case, shares: list[Share]) -> Cure:
    """What one pass less of each line saves."""
    often = [(share, case.steps[share.step].sewing.passes) for share in shares]
    often = [(share, passes) for share, passes in often if passes > 1]
    takes = sum(share.of(case.unit) / passes for share, passes in often)
    saves = sum(case.laid([share]) / passes for share, passes in often)
    return Cure("sew the lines once less", takes, round(saves), steps=steps_of([share for share, _ in often]))
