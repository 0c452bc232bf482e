"""What holds at each width, in words and rows: the same for the terminal and the report."""

from __future__ import annotations

from analyse.survival import Gain, Holding, Survival
from analyse.units import LARGEST_MM
from plans import words

BAR = 30  # characters of a full bar
GAINS = 8  # gains named, the heaviest


def all_holds(found: Survival) -> str:
    """From which width on all holds that a width can help, with either thread."""
    plain, fine = _from(found.all_hold_mm), _from(found.fine_mm)
    finer = "" if fine == plain else f"; with 60-weight thread {fine}"
    return f"all that a width can help holds {plain}{finer}"


def places(found: Survival) -> list[str]:
    """The usual places, and whether all holds there."""
    return [f"{fit.text} (up to {fit.widest_mm:.0f} mm wide)" for fit in found.places]


def heaviest_gains(found: Survival, beyond_mm: float = 0.0) -> list[Gain]:
    """The gains beyond a width that count most in the look, in order of width."""
    later = [gain for gain in found.gains if beyond_mm < gain.width_mm <= LARGEST_MM]
    kept = sorted(later, key=lambda gain: (-gain.share, gain.width_mm))[:GAINS]
    return sorted(kept, key=lambda gain: gain.width_mm)


def gained(gain: Gain) -> str:
    """`at 82.0 mm: 3 strokes of white (4 %)`."""
    return f"at {gain.width_mm:.1f} mm: {gain.text} ({words.share(gain.share)})"


def holding_row(holding: Holding, found: Survival) -> tuple[str, str, str, str]:
    """Width, height, details that hold, their share of the look."""
    return (
        words.mm(holding.width_mm), words.mm(holding.height_mm), f"{holding.details} of {found.details}",
        words.share(holding.share),
    )  # fmt: skip


def sizes_text(title: str, found: Survival, asked_mm: float | None) -> str:
    """The table with its curve as bars, the gains, the least widths and the places, for a terminal."""
    rows = [title, "", f"  {'width':>8}  {'height':>8}  {'details hold':>12}  of the look"]
    for holding in found.holdings:
        width, height, details, share = holding_row(holding, found)
        mark = ">" if asked_mm is not None and abs(holding.width_mm - asked_mm) < 1e-6 else " "
        rows.append(f"{mark} {width:>8}  {height:>8}  {details:>12}  {share:>9}  {'#' * round(BAR * holding.share)}")
    rows += ["", all_holds(found), *(f"  {gained(gain)}" for gain in heaviest_gains(found))]
    rows += [f"no width helps: {words.listed(found.never)}"] if found.never else []
    rows += ["", *(f"  {place}" for place in places(found))]
    return "\n".join(words.printable(row) for row in rows) + "\n"


def _from(width_mm: float) -> str:
    if width_mm <= 0:
        return "at every width"
    return f"from {width_mm:.1f} mm" if width_mm <= LARGEST_MM else f"at no width up to {LARGEST_MM:,.0f} mm"
