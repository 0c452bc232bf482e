"""What holds at which width: exact, because lengths grow with the design and each detail has one width to hold from."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from analyse.detail.candidates import Candidate, holds_from_mm
from analyse.detail.features import smallest_all_hold_mm
from analyse.sizing import WHITE, details_of, setting_of
from analyse.trade import DEFAULT_CLOTH, Trade, default_trade
from analyse.units import LARGEST_MM
from analyse.values import Drawing

ONE_GAIN = 1.02  # details gained within 2 % of a width are one gain
NAMED = 3  # so many kinds of detail of a gain are named


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
    """A usual place: the widest the design can be there, the share of the look that holds then, and whether all does.

    text: "fits a left chest", also where what is lost there is hardly seen, or why not; "all" is all that a width can
    help.
    """

    place: str
    title: str
    widest_mm: float
    share: float
    fits: bool
    text: str


@dataclass(frozen=True, slots=True)
class Survival:
    """From the smallest useful to the largest sensible width.

    useful_mm: the smallest useful width. all_hold_mm: the least width at which all holds that a width can help;
    fine_mm: the same with 60-weight thread. nearly_mm: the least width at which so little does not that it is hardly
    seen.
    never: details no width helps (colour steps, shading), as texts.
    """

    details: int
    holdings: tuple[Holding, ...]
    gains: tuple[Gain, ...]
    all_hold_mm: float
    fine_mm: float
    places: tuple[PlaceFit, ...]
    never: tuple[str, ...]
    useful_mm: float
    nearly_mm: float


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
    useful = _useful_mm(candidates, extent, trade)
    nearly = _nearly_mm(candidates, extent, trade)
    widths = sorted({*_steps(useful, least, trade), *widths_mm, *([nearly] if nearly > useful else [])})
    every = [_holding(candidates, extent, width, aspect, trade) for width in widths]
    return Survival(
        details=len(candidates),
        holdings=_telling(every, {*widths_mm, least, nearly}),
        gains=gains,
        all_hold_mm=least,
        fine_mm=smallest_all_hold_mm(finer, extent),
        places=tuple(_fit(trade, name, (nearly, least), aspect, candidates, extent) for name in trade.names("place")),
        never=tuple(c.text for c in candidates if not _helped(c, extent) and not _holds(c, extent, 1.0, trade)),
        useful_mm=useful,
        nearly_mm=nearly,
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
    """In words, heaviest first: "3 strokes of deep blue, a gap between deep blue and white"."""
    alike: dict[str, list[Candidate]] = {}
    for _, candidate in sorted(group, key=lambda each: -each[1].look):
        alike.setdefault(candidate.many or candidate.text, []).append(candidate)
    said = [_counted(members) for members in list(alike.values())[:NAMED]]
    rest = sum(c.count for members in list(alike.values())[NAMED:] for c in members)
    return ", ".join(said) + (f" and {rest} more" if rest else "")


def _counted(members: Sequence[Candidate]) -> str:
    count = sum(candidate.count for candidate in members)
    if len(members) == 1 or not members[0].many:
        return ", ".join(candidate.text for candidate in members)
    return f"{count} {members[0].many}"


def _useful_mm(candidates: Sequence[Candidate], extent_px: float, trade: Trade) -> float:
    """The smallest width at which enough of the look holds to be of use."""
    smallest, largest = float(trade.value("survival.smallest")), float(trade.value("survival.largest"))
    held = sorted((width, c.look) for c in candidates if (width := holds_from_mm(c, extent_px)) is not None)
    enough = float(trade.value("survival.useful")) * sum(look for _, look in held)
    reached = 0.0
    for width, look in held:
        reached += look
        if reached >= enough:
            return min(max(width, smallest), largest)
    return smallest


def _nearly_mm(candidates: Sequence[Candidate], extent_px: float, trade: Trade) -> float:
    """The least width at which hardly any of the look is lost of what a width can help."""
    held = sorted(
        ((width, c.look) for c in candidates if (width := holds_from_mm(c, extent_px)) is not None), reverse=True
    )
    lost, hardly = 0.0, float(trade.value("verdict.hardly_lost"))
    for width, look in held:
        lost += look
        if lost > hardly:
            return width
    return 0.0


def _steps(useful_mm: float, least_mm: float, trade: Trade) -> list[float]:
    """Widths for the table: the smallest useful one, a ladder of sensible sizes, and the width from which all holds."""
    smallest, largest = float(trade.value("survival.smallest")), float(trade.value("survival.largest"))
    ladder = [smallest]
    while ladder[-1] < largest:
        step = 5.0 if ladder[-1] < 60 else 10.0 if ladder[-1] < 150 else 25.0
        ladder.append(min(ladder[-1] + step, largest))
    return [useful_mm, *(w for w in ladder if w > useful_mm)] + (
        [least_mm] if smallest < least_mm <= LARGEST_MM else []
    )


def _holding(
    candidates: Sequence[Candidate], extent_px: float, width_mm: float, aspect: float, trade: Trade
) -> Holding:
    held = [c for c in candidates if _holds(c, extent_px, width_mm, trade)]
    missing = sum(c.look for c in candidates) - sum(c.look for c in held)
    return Holding(width_mm, width_mm * aspect, len(held), max(1.0 - missing, 0.0))


def _telling(every: Sequence[Holding], wanted: Collection[float]) -> tuple[Holding, ...]:
    """The first and the last, the wanted, and each that holds more than the one before."""
    told = [
        holding
        for i, holding in enumerate(every)
        if i in (0, len(every) - 1) or holding.width_mm in wanted or holding.details > every[i - 1].details
    ]
    return tuple(told)


def _fit(
    trade: Trade,
    name: str,
    from_mm: tuple[float, float],
    aspect: float,
    candidates: Sequence[Candidate],
    extent_px: float,
) -> PlaceFit:
    """from_mm: the widths from which nearly all holds, and all."""
    place = trade.place(name)
    by_width = place.width_mm if place.width_mm is not None else float("inf")
    by_height = place.height_mm / aspect if place.height_mm is not None else float("inf")
    widest, (nearly_mm, least_mm) = min(by_width, by_height), from_mm
    share = _holding(candidates, extent_px, widest, aspect, trade).share
    way = "tall" if by_height < by_width else "wide"
    text = f"fits a {place.title}" if widest >= nearly_mm else f"too {way} for a {place.title} by the time all holds"
    return PlaceFit(name, place.title, widest, share, widest >= least_mm, text)
