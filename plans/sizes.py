"""What holds at each width, in words and rows: the same for the terminal and the report."""

from __future__ import annotations

import contextlib
import textwrap
from collections.abc import Sequence
from pathlib import Path

from analyse.errors import OutputError
from analyse.scans import judge_source
from analyse.survival import Gain, Holding, PlaceFit, Survival
from analyse.units import LARGEST_MM
from analyse.values import Drawing
from plans import words

BAR = 30  # characters of a full bar
GAINS = 8  # gains named, the heaviest
COLUMNS = 80  # of a terminal
KEPT = "\N{NO-BREAK SPACE}"  # stands where no row may end
ALL_LARGE = "every detail is drawn large enough to sew at every width"


def all_holds(found: Survival) -> str:
    """From which width on all holds that a width can help, with either thread."""
    plain, fine = _from(found.all_hold_mm), _from(found.fine_mm)
    finer = "" if fine == plain else f"; with 60-weight thread {fine}"
    nearly = (
        f"; all but what is hardly seen {_from(found.nearly_mm)}" if 0 < found.nearly_mm < found.all_hold_mm else ""
    )
    return f"all that a width can help holds {plain}{finer}{nearly}"


def places(found: Survival) -> list[str]:
    """The usual places, and whether all holds there."""
    return [_place(fit) for fit in found.places]


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


def shown_to(drawing: Drawing) -> str:
    """Up to which width the picture shows enough to be judged; "" where that is all that is sewn."""
    left, _, right, _ = drawing.extent_px
    width_mm = judge_source(drawing.artwork).shows_to_mm(right - left)
    if width_mm >= LARGEST_MM:
        return ""
    return (
        f"the picture's own pixels show enough up to {width_mm:.0f} mm wide; beyond that the figures are a guess: "
        "ask for the original drawing (SVG or PDF)"
    )


def sizes_text(title: str, found: Survival, asked_mm: float | None, *, cloth_told: bool = True, shown: str = "") -> str:
    """The table with its curve as bars, the gains, the least widths and the places, for a terminal of 80 columns.

    cloth_told: whether the cloth's colour was named, or white taken. shown: what `shown_to` says.
    """
    if not found.details:
        rows = [*_wrapped(title), "", *_wrapped(_sentence(ALL_LARGE))]
        return _printed([*rows, *(_wrapped(_sentence(shown)) if shown else []), "", *_indented(places(found))])
    rows = [*_wrapped(title), "", f"  {'width':>8}  {'height':>8}  {'details hold':>12}  of the look"]
    for holding in found.holdings:
        width, height, details, share = holding_row(holding, found)
        mark = ">" if asked_mm is not None and abs(holding.width_mm - asked_mm) < 1e-6 else " "
        bar = "#" * round(BAR * holding.share)
        rows.append(f"{mark} {width:>8}  {height:>8}  {details:>12}  {share:>11}  {bar}".rstrip())
    rows += ["", *_wrapped(_sentence(all_holds(found)))]
    rows += _wrapped(_sentence(shown)) if shown else []
    gains = heaviest_gains(found)
    rows += ["", "What is gained, with its share of the look:"] if gains else []
    rows += _indented([gained(gain) for gain in gains])
    rows += ["", *_wrapped(f"No width helps: {words.listed(found.never)}.")] if found.never else []
    if not cloth_told and any("cloth" in text for text in found.never):
        rows += _wrapped("White was taken for the cloth: name its colour with --cloth-colour.")
    return _printed([*rows, "", *_indented(places(found))])


def write_page(page: str, file: Path) -> None:
    """Write a page of pictures, whole or not at all. Errors: OutputError."""
    staged = file.with_name(f".{file.name}.new")
    try:
        staged.write_text(page, encoding="utf-8")
        staged.replace(file)
    except OSError as error:
        with contextlib.suppress(OSError):
            staged.unlink()
        what = f"the pictures cannot be written: {error.strerror}"
        raise OutputError(what, str(file), "name another file with --pictures") from error


def _place(fit: PlaceFit) -> str:
    """`fits a cuff (up to 62 mm wide)`; where not all holds, how much of the look does."""
    share = "" if fit.fits else f": {words.share(fit.share)} of the look holds"
    return f"{fit.text} (up to {fit.widest_mm:.0f} mm wide{share})"


def _from(width_mm: float) -> str:
    if width_mm <= 0:
        return "at every width"
    return f"from {width_mm:.1f} mm" if width_mm <= LARGEST_MM else f"at no width up to {LARGEST_MM:,.0f} mm"


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _printed(rows: Sequence[str]) -> str:
    return "\n".join(words.printable(row) for row in rows) + "\n"


def _indented(texts: Sequence[str]) -> list[str]:
    return [row for text in texts for row in _wrapped(text, "  ")]


def _wrapped(text: str, indent: str = "") -> list[str]:
    """Rows of a terminal; a figure keeps its unit beside it."""
    whole = text.replace(" %", f"{KEPT}%").replace(" mm", f"{KEPT}mm")
    deeper = f"{indent}  "
    rows = textwrap.wrap(whole, COLUMNS, initial_indent=indent, subsequent_indent=deeper, break_on_hyphens=False)
    return [row.replace(KEPT, " ") for row in rows]
