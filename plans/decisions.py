"""`decisions.toml`: the practitioner's own word. Its `[job]` and turned pieces are read back; the rest is kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analyse.errors import JobError, ScantlingError
from analyse.trade import THREADS, Trade, nearest
from analyse.units import checked_mm, length_mm
from plans.cloth_colours import Rgb, read_colour
from plans.job import APPROACHES
from plans.own_files import content_of, parsed

if TYPE_CHECKING:
    from analyse.values import Turned

JOB_KEYS = ("width", "height", "place", "cloth", "cloth_colour", "thread", "colours", "approach")
PART_KEYS = (
    "at", "colour", "kind", "keep", "angle", "spacing", "passes", "underlay", "border", "under", "over", "before",
    "after", "entry", "exit", "merge", "background", "approach",
)  # fmt: skip
ACTED_ON = ("at", "background")  # of a part; the others are kept
TABLES = ("job", "part", "proposal", "thread", "trade")
WHAT = "the decisions"


@dataclass(frozen=True, slots=True)
class Decisions:
    """What `[job]` decides; None where it says nothing. `content` is the file as it stands.

    turned: pieces that a `[[part]]` makes cloth, or has sewn. kept: what is kept and not yet acted on, as it is
    written: "[[part]] kind", "[trade]".
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
    turned: tuple[Turned, ...] = ()
    kept: tuple[str, ...] = ()


def read_decisions(path: Path, trade: Trade) -> Decisions:
    """Read a decisions file. Errors: JobError naming every fault at once, each with its line."""
    return parse_decisions(content_of(path, WHAT, "--decisions"), str(path), trade)


def parse_decisions(content: bytes, where: str, trade: Trade) -> Decisions:
    """The decisions that the bytes of a file hold. Errors: JobError, all faults at once."""
    text, tree = parsed(content, WHAT, where)
    return _checked(tree, text, where, trade, content)


def _checked(tree: Mapping[str, Any], text: str, where: str, trade: Trade, content: bytes) -> Decisions:
    faults = [f"{_line(text, f'[{name}')}{_unknown('table', name, TABLES)}" for name in tree if name not in TABLES]
    found = _read_job(tree.get("job", {}), text, trade, faults)
    turned = _read_parts(tree.get("part", []), faults)
    if faults:
        raise JobError(
            f"{len(faults)} wrong in the decisions" if len(faults) > 1 else "wrong decisions", where, "; ".join(faults)
        )
    return Decisions(content, **found, turned=turned, kept=_kept(tree))


def _read_job(job: Any, text: str, trade: Trade, faults: list[str]) -> dict[str, Any]:
    if not isinstance(job, Mapping):
        faults.append("job is a table: write [job] on a line of its own")
        return {}
    found: dict[str, Any] = {}
    for key, value in job.items():
        try:
            found[_FIELDS.get(key) or key] = _reader(key)(value, trade)
        except ScantlingError as fault:
            faults.append(f"{_line(text, key)}{fault.what}{f' ({fault.do})' if fault.do else ''}")
    return found


def _read_parts(parts: Any, faults: list[str]) -> tuple[Turned, ...]:
    """The pieces that are turned round, in the order they stand; what is wrong with any goes to `faults`."""
    from analyse.values import Turned  # not needed to show the help

    if not isinstance(parts, list) or not all(isinstance(part, Mapping) for part in parts):
        faults.append("part is a list of tables: write [[part]] above each")
        return ()
    turned = []
    for number, part in enumerate(parts, 1):
        wrong = [_unknown("key", key, PART_KEYS) for key in part if key not in PART_KEYS]
        at, background = part.get("at"), part.get("background")
        if not (isinstance(at, list) and len(at) == 2 and all(_is_share(value) for value in at)):
            wrong.append("at is a place from 0 to 1 of the design, such as at = [0.5, 0.25]")
        if not isinstance(background, bool | None):
            wrong.append("background is true (left to the cloth) or false (sewn)")
        faults += [f"[[part]] {number}: {fault}" for fault in wrong]
        if background is not None and not wrong:
            turned.append(Turned((float(part["at"][0]), float(part["at"][1])), background))
    return tuple(turned)


def _is_share(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= 1


def _kept(tree: Mapping[str, Any]) -> tuple[str, ...]:
    """What is not acted on: every table but the job, and of the parts each key that is not."""
    keys = dict.fromkeys(key for part in tree.get("part", []) for key in part if key not in ACTED_ON)
    others = [name for name in tree if name not in ("job", "part")]
    tables = [f"[[{name}]]" if isinstance(tree[name], list) else f"[{name}]" for name in others]
    return (*(f"[[part]] {key}" for key in keys), *tables)


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
