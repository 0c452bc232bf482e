"""`decisions.toml`: the practitioner's own word. For now its `[job]` is read back; the rest is kept as it stands."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analyse.errors import JobError, ScantlingError
from analyse.trade import DEFAULT_CLOTH, THREADS, Trade, nearest
from analyse.units import checked_mm, length_mm
from plans.cloth_colours import Rgb, read_colour
from plans.job import APPROACHES

if TYPE_CHECKING:
    from plans.values import Plan

JOB_KEYS = ("width", "height", "place", "cloth", "cloth_colour", "thread", "colours", "approach")
TABLES = ("job", "part", "proposal", "thread", "trade")
HEAD = """# Your own word on this plan. It is kept as it stands when the plan is made again;
# the command line goes before it.

[job]
"""
LARGEST_FILE = 1_000_000  # bytes: a job's decisions are a page or two


@dataclass(frozen=True, slots=True)
class Decisions:
    """What `[job]` decides; None where it says nothing. `content` is the file as it stands.

    kept: the tables that are kept and not yet acted on, as they are written: "[[part]]", "[trade]".
    """

    content: bytes = b""
    width_mm: float | None = None
    height_mm: float | None = None
    place: str | None = None
    cloth: str | None = None
    cloth_rgb: Rgb | None = None
    thread: str | None = None
    colours: int | None = None
    approach: str | None = None
    kept: tuple[str, ...] = ()


def read_decisions(path: Path, trade: Trade) -> Decisions:
    """Read a decisions file. Errors: JobError naming every fault at once, each with its line."""
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise JobError(
            f"the decisions cannot be read: {error.strerror}", str(path), "name a file with --decisions"
        ) from error
    return parse_decisions(content, str(path), trade)


def parse_decisions(content: bytes, where: str, trade: Trade) -> Decisions:
    """The decisions that the bytes of a file hold. Errors: JobError, all faults at once."""
    if len(content) > LARGEST_FILE:
        raise JobError(
            "the decisions file is too large to be one", where, "it holds [job] and a table for each decision"
        )
    try:
        text = content.decode("utf-8")
        tree = tomllib.loads(text)
    except ValueError as error:
        raise JobError(f"the decisions are no TOML: {error}", where, "mend that line") from error
    return _checked(tree, text, where, trade, content)


def _checked(tree: Mapping[str, Any], text: str, where: str, trade: Trade, content: bytes) -> Decisions:
    faults = [f"{_line(text, f'[{name}')}{_unknown('table', name, TABLES)}" for name in tree if name not in TABLES]
    job = tree.get("job", {})
    if not isinstance(job, Mapping):
        faults.append("job is a table: write [job] on a line of its own")
        job = {}
    found: dict[str, Any] = {}
    for key, value in job.items():
        try:
            found[_FIELDS.get(key, key)] = _reader(key)(value, trade)
        except ScantlingError as fault:
            faults.append(f"{_line(text, key)}{fault.what}{f' ({fault.do})' if fault.do else ''}")
    if faults:
        raise JobError(
            f"{len(faults)} wrong in the decisions" if len(faults) > 1 else "wrong decisions", where, "; ".join(faults)
        )
    kept = tuple(f"[[{name}]]" if isinstance(tree[name], list) else f"[{name}]" for name in tree if name != "job")
    return Decisions(content, **found, kept=kept)


_FIELDS = {"width": "width_mm", "height": "height_mm", "cloth_colour": "cloth_rgb"}
_MEANT = {"on": "place", "size": "width", "cloth_color": "cloth_colour", "color": "cloth_colour", "colors": "colours"}


def _reader(key: str) -> Callable[[Any, Trade], Any]:
    if key not in _READERS:
        meant = f"write {_MEANT[key]}; " if key in _MEANT else ""
        raise JobError(_unknown("key", key, JOB_KEYS).replace(": ", f": {meant}", 1))
    return _READERS[key]


def _length(value: Any, _trade: Trade) -> float:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise JobError("a size is a length", do='write width = "3in" or width = 76.2')
    return length_mm(value) if isinstance(value, str) else checked_mm(float(value), "")


def _place(value: Any, trade: Trade) -> str:
    return trade.place(_word(value)).name


def _cloth(value: Any, trade: Trade) -> str:
    return trade.cloth(_word(value)).name


def _cloth_rgb(value: Any, _trade: Trade) -> Rgb:
    return read_colour(_word(value))


def _one_of(kind: str, known: tuple[str, ...]) -> Callable[[Any, Trade], str]:
    def read(value: Any, _trade: Trade) -> str:
        word = str(value) if isinstance(value, int) else _word(value)
        if word not in known:
            raise JobError(f"no {kind} is called {word!r}", do=nearest(word, known))
        return word

    return read


def _count(value: Any, _trade: Trade) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise JobError(f"colours is a whole number of at least 1, not {value!r}")
    return value


def _word(value: Any) -> str:
    if not isinstance(value, str):
        raise JobError(f"a name stands in quotes, not {value!r}")
    return value


_READERS: dict[str, Callable[[Any, Trade], Any]] = {
    "width": _length,
    "height": _length,
    "place": _place,
    "cloth": _cloth,
    "cloth_colour": _cloth_rgb,
    "thread": _one_of("thread", THREADS),
    "colours": _count,
    "approach": _one_of("approach", APPROACHES),
}


def _unknown(what: str, name: str, known: tuple[str, ...]) -> str:
    return f"no {what} is called {name!r}: {nearest(name, known)}"


def _line(text: str, start: str) -> str:
    rows = text.splitlines()
    number = next((n for n, row in enumerate(rows, 1) if row.lstrip().replace(" ", "").startswith(start)), None)
    return f"line {number}: " if number else ""


def as_toml(plan: Plan) -> str:
    """A first `decisions.toml` for the plan: what was asked, ready to be changed."""
    sized, job = plan.sized, plan.job
    rows = _size_rows(plan)
    rows += [f'place = "{job.place}"'] if job.place else []
    rows += [_cloth_row(plan), _colour_row(sized.cloth_rgb), f'thread = "{sized.thread}"']
    rows += (
        [f"colours = {job.colours}"]
        if job.colours
        else [f"# colours = {len(sized.drawing.palette)}  # at most so many"]
    )
    rows += (
        [f'approach = "{job.approach}"'] if job.approach else [f'# approach = "{plan.laid.approach}"  # recommended']
    )
    return HEAD + "\n".join(rows) + "\n"


def _size_rows(plan: Plan) -> list[str]:
    """The size as it was asked, to be asked again."""
    asked = [("width", plan.job.width_mm), ("height", plan.job.height_mm)]
    given = [(side, value) for side, value in asked if value is not None] or [("width", plan.sized.size_mm[0])]
    first, *rest = [f"{side} = {value:.9g}" for side, value in given]
    return [f'{first}  # mm, or a length in quotes: "3in"', *rest]


def _cloth_row(plan: Plan) -> str:
    """The cloth; as a comment where another place would bring another."""
    trade, place = plan.sized.trade, plan.job.place
    usual = trade.place(place).cloth if place else DEFAULT_CLOTH
    row = f'cloth = "{plan.sized.cloth}"'
    return f"# {row}  # the usual one" if plan.sized.cloth == usual else row


def _colour_row(rgb: Rgb) -> str:
    """The cloth's colour; white, the usual one, as a comment."""
    row = f'cloth_colour = "#{rgb[0]:02x}{rgb[1]:02x}{rgb[2]:02x}"'
    return f"# {row}  # white unless told: navy, or sRGB" if min(rgb) == 255 else row
