"""What a file from outside may cost: bytes, pixels, seconds, memory, depth."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import cache
from pathlib import Path

from analyse.errors import ArtworkError, JobError

TABLE = Path(__file__).with_name("limits.toml")


@dataclass(frozen=True, slots=True)
class Limits:
    """One field a row of `limits.toml`, in the unit given there."""

    bytes: int
    pixels: int
    side: int
    least_side: int
    decode_bytes: int
    scans: int
    pages: int
    svg_bytes: int
    depth: int
    elements: int
    seconds: int
    clock: int
    memory: int

    @property
    def clock_seconds(self) -> int:
        """Time on the clock after which a reader is ended whatever it does: it grows with `seconds`."""
        return self.seconds * self.clock


@cache
def rows() -> Mapping[str, Mapping[str, str | int]]:
    """The table as shipped: value, unit and reason by name."""
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


@cache
def default_limits() -> Limits:
    """The limits as shipped."""
    return Limits(**{name: int(row["value"]) for name, row in rows().items()})


def with_limits(limits: Limits, own: Mapping[str, str | float]) -> Limits:
    """`limits` with some raised or lowered, by name; values as numbers or as text (`2e8`).

    Errors: JobError for a name that is no limit, or a value that is no number above 0.
    """
    return replace(limits, **{_known(name): _amount(name, value) for name, value in own.items()})


def exceeded(
    limits: Limits, name: str, found: float | None, where: str, do: str = "send it smaller", how: str = "it has"
) -> ArtworkError:
    """The refusal of a file that asks for more than the limit `name`: names the limit and how to raise it.

    found: how much it asks for; None where that is not known.
    """
    unit, allowed = str(rows()[name]["unit"]), getattr(limits, name)
    asked = "" if found is None else f" {_shown(found, unit)},"
    raising = f"or raise the limit: --limit {name}={_room_for(4 * allowed if found is None else found)}"
    return ArtworkError(f"{how}{asked} more than the {_shown(allowed, unit)} allowed", where, f"{do}, {raising}")


def _shown(amount: float, unit: str) -> str:
    return f"{amount / 1e6:,.0f} MB" if unit == "bytes" and amount >= 1e7 else f"{amount:,.0f} {unit}"


def too_dear(limits: Limits, name: str, kind: str, where: str, *, by_clock: bool = False) -> ArtworkError:
    """The refusal of a file of that `kind` that met the limit `name`, of time or memory, while it was opened.

    by_clock: the time was that on the clock, not the processor's.
    """
    allowed = getattr(limits, name)
    shown, what = (f"{allowed // 2**20} MB", "more memory") if name == "memory" else (f"{allowed} seconds", "longer")
    if by_clock:
        shown = f"{limits.clock_seconds} seconds on the clock"
    text = f"the {kind.upper()} takes {what} to open than the {shown} allowed"
    do = f"ask for it as a PNG, 2,000 px wide, or for a simpler file, or raise the limit: --limit {name}={allowed * 4}"
    return ArtworkError(text, where, do)


def _room_for(found: float) -> int:
    return int(found) + 1 if found < 1000 else int(float(f"{found * 1.06:.1e}"))


def _known(name: str) -> str:
    known = [field.name for field in fields(Limits)]
    if name not in known:
        close = difflib.get_close_matches(name.lower(), known, 1, 0.4)
        guess = f"did you mean {close[0]!r}? " if close else ""
        raise JobError(f"no limit is called {name!r}", "--limit", f"{guess}known: {', '.join(known)}")
    return name


def _amount(name: str, value: str | float) -> int:
    try:
        amount = int(float(value))
    except (ValueError, OverflowError):
        amount = 0
    if amount < 1:
        raise JobError(f"{value!r} is no amount for the limit {name!r}", "--limit", f"write {name}=NUMBER, above 0")
    return amount
