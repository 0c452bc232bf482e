"""What holds at which width: exact, because lengths grow with the design and each detail has one width to hold from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from analyse.detail.candidates import Candidate, holds_from_mm
from analyse.detail.features import smallest_all_hold_mm
from analyse.sizing import WHITE, details_of, setting_of
from analyse.trade import DEFAULT_CLOTH, Trade, default_trade
from analyse.units import LARGEST_MM
from analyse.values import Drawing

USEFUL_SHARE = 0.1  # the smallest useful width: from there this much of the look holds
SMALLEST_MM = 20.0  # and no design is sewn smaller than this
LARGEST_SENSIBLE_MM = 300.0  # the widest usual place, a full back
ONE_GAIN = 1.02  # details gained within 2 % of a width are one gain


@dataclass(frozen=True, slots=True)
class Gain:
    """A width where details begin to hold: which, by kind, and how much of the look they are."""

    width_mm: float
    share: float
    text: str


@dataclass(frozen=True, slots=True)
class Holding:
    """What holds at one width: how many details, and their share of the look (of all, those no width helps too)."""

    width_mm: float
    height_mm: float
    details: int
    share: float


@dataclass(frozen=True, slots=True)
class PlaceFit:
    """A usual place: the widest the design can be there, and whether all holds at that width ("fits"), or why not."""

    place: str
    title: str
    widest_mm: float
    fits: bool
    text: str


@dataclass(frozen=True, slots=True)
class Survival:
    """From the smallest useful to the largest sensible width.

    all_hold_mm: the least width at which all holds that a width can help; fine_mm: the same with 60-weight thread.
    never: details no width helps (colour steps, shading), as texts.
    """

    details: int
    holdings: tuple[Holding, ...]
    gains: tuple[Gain, ...]
    all_hold_mm: float
    fine_mm: float
    places: tuple[PlaceFit, ...]
    never: tuple[str, ...]


def survival(
    drawing: Drawing,
    *,
    thread: str = "40",
    cloth: str = DEFAULT_CLOTH,
    cloth_rgb: tuple[int, int, int] | None = None,
    trade: Trade | None = None,
    widths_mm: Sequence[float] = (),
) -> Survival:
    """What holds at each width, for the table, the curve and the places. Errors: JobError.

    widths_mm: to be listed as well, such as the width asked for.
    """
    trade = trade or default_trade()
    candidates = _candidates(drawing, thread, cloth, cloth_rgb or WHITE, trade)
    finer = _candidates(drawing, "60", cloth, cloth_rgb or WHITE, trade)
    left, top, right, bottom = drawing.extent_px
    extent, aspect = right - left, (bottom - top) / (right - left)
    gains = _gains(candidates, extent)
    least = smallest_all_hold_mm(candidates, extent)
    widths = sorted({*_steps(gains, least), *widths_mm})
    return Survival(
        details=len(candidates),
        holdings=tuple(_holding(candidates, extent, width, aspect, trade) for width in widths),
        gains=gains,
        all_hold_mm=least,
        fine_mm=smallest_all_hold_mm(finer, extent),
        places=tuple(_fit(trade, name, least, aspect) for name in trade.names("place")),
        never=tuple(c.text for c in candidates if not _helped(c, extent) and not _holds(c, extent, 1.0, trade)),
    )


def _candidates(
    drawing: Drawing, thread: str, cloth: str, cloth_rgb: tuple[int, int, int], trade: Trade
) -> list[Candidate]:
    return details_of(drawing, setting_of(drawing, 1.0, thread, cloth, trade), cloth_rgb)


def _helped(candidate: Candidate, extent_px: float) -> bool:
    return holds_from_mm(candidate, extent_px) is not None


def _holds(candidate: Candidate, extent_px: float, width_mm: float, trade: Trade) -> bool:
    width = holds_from_mm(candidate, extent_px)
    if width is not None:
        return width_mm >= width
    if candidate.kind == "shading":
        return candidate.measure <= float(trade.value("shading.most"))
    return candidate.measure >= candidate.needs


def _gains(candidates: Sequence[Candidate], extent_px: float) -> tuple[Gain, ...]:
    """Widths where something is gained, near ones as one."""
    held = sorted(
        ((width, c) for c in candidates if (width := holds_from_mm(c, extent_px)) is not None),
        key=lambda each: (each[0], each[1].at_px),
    )
    groups: list[list[tuple[float, Candidate]]] = []
    for width, candidate in held:
        if groups and width <= groups[-1][0][0] * ONE_GAIN:
            groups[-1].append((width, candidate))
        else:
            groups.append([(width, candidate)])
    return tuple(Gain(group[-1][0], sum(c.look for _, c in group), _named(group)) for group in groups)


def _named(group: Sequence[tuple[float, Candidate]]) -> str:
    """In words, heaviest first: "3 x stroke of deep blue, a gap between shapes"."""
    counts: dict[str, int] = {}
    for _, candidate in sorted(group, key=lambda each: -each[1].look):
        counts[candidate.text] = counts.get(candidate.text, 0) + 1
    said = [text if n == 1 else f"{n} x {text.split(' ', 1)[1]}" for text, n in list(counts.items())[:3]]
    rest = len(group) - sum(list(counts.values())[:3])
    return ", ".join(said) + (f" and {rest} more" if rest else "")


def _steps(gains: Sequence[Gain], least_mm: float) -> list[float]:
    """Widths for the table: a ladder of sensible sizes, and the width from which all holds."""
    ladder = [SMALLEST_MM]
    while ladder[-1] < LARGEST_SENSIBLE_MM:
        step = 5.0 if ladder[-1] < 60 else 10.0 if ladder[-1] < 150 else 25.0
        ladder.append(min(ladder[-1] + step, LARGEST_SENSIBLE_MM))
    total = sum(gain.share for gain in gains)
    useful = SMALLEST_MM
    held = 0.0
    for gain in gains:
        held += gain.share
        if held >= USEFUL_SHARE * total:
            useful = max(min(gain.width_mm, LARGEST_SENSIBLE_MM), SMALLEST_MM)
            break
    return [w for w in ladder if w >= useful * 0.9] + ([least_mm] if SMALLEST_MM < least_mm <= LARGEST_MM else [])


def _holding(
    candidates: Sequence[Candidate], extent_px: float, width_mm: float, aspect: float, trade: Trade
) -> Holding:
    held = [c for c in candidates if _holds(c, extent_px, width_mm, trade)]
    share = sum(c.look for c in held) if candidates else 1.0
    return Holding(width_mm, width_mm * aspect, len(held), min(share, 1.0))


def _fit(trade: Trade, name: str, least_mm: float, aspect: float) -> PlaceFit:
    place = trade.place(name)
    by_width = place.width_mm if place.width_mm is not None else float("inf")
    by_height = place.height_mm / aspect if place.height_mm is not None else float("inf")
    widest = min(by_width, by_height)
    fits = widest >= least_mm
    if fits:
        text = f"fits a {place.title}"
    else:
        text = f"too {'tall' if by_height < by_width else 'wide'} for a {place.title} by the time all holds"
    return PlaceFit(name, place.title, widest, fits, text)
