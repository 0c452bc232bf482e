"""Trade values: every limit with its unit, source and row, and the shop's own in their place."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from analyse.errors import JobError

TABLE = Path(__file__).with_name("trade.toml")
DEFAULT_CLOTH = "twill"
THREADS = ("40", "60")
ZERO_FIELDS = {"cloth": ("pull_mm", "pull_narrow_mm", "push_mm", "drift_mm")}
"""Fields of a cloth that may be nought: it neither pulls, nor pushes, nor drifts."""


@dataclass(frozen=True, slots=True)
class Row:
    """One value of the trade as looked up: `key` is its row, `source` where it comes from."""

    key: str
    value: Any
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Cloth:
    """What one cloth asks for; lengths in mm, `avoid_deg` the angles its grain runs at."""

    name: str
    title: str
    pull_mm: float
    pull_narrow_mm: float
    push_mm: float
    shortest_mm: float
    spacing_factor: float
    gap_mm: float
    drift_mm: float
    hard_layers: float
    needle: str
    underlay: str
    backing: str
    topping: str
    avoid_deg: tuple[float, ...]
    ground: str
    frame: str
    source: str

    @property
    def holes_stay(self) -> bool:
        """Whether a needle's hole never closes, as in leather, so that nothing bulky is sewn on it."""
        return self.underlay == "edge only"

    @property
    def light(self) -> bool:
        """Whether it bears one underlay at most."""
        return self.holes_stay or self.underlay == "light"


@dataclass(frozen=True, slots=True)
class Place:
    """A place on a garment: its usual size in mm (None: not limited) and its usual cloth."""

    name: str
    title: str
    width_mm: float | None
    height_mm: float | None
    cloth: str
    source: str


@dataclass(frozen=True, slots=True)
class Trade:
    """The table in force. `own` holds the rows a shop or a job has replaced, by key."""

    rows: Mapping[str, Mapping[str, Any]]
    own: Mapping[str, Any]
    _plain: dict[str, Any] = field(default_factory=dict, init=False, repr=False, compare=False)
    """Values that need no looking up by anything, as they were found: they never change."""

    def __reduce__(self) -> tuple[Any, ...]:
        """What the table is made of, so that another process can have it."""
        return _frozen, (dict(self.rows), dict(self.own))

    def at(self, key: str, **by: str | float) -> Row:
        """The row `key`, looked up by thread, width_mm, wear, frame or passes where it asks for one.

        Errors: KeyError for a key that is not in the table (a bug, not a wrong job).
        """
        row = self.rows[key]
        value = self.own.get(key, row.get("value", row.get("bands")))
        if isinstance(value, Mapping):
            value = value[str(by[row["by"]])]
        elif "bands" in row:
            value = _in_band(value, float(by[row["by"]]))
        return Row(key, value, row["unit"], "the shop's own" if key in self.own else row["source"])

    def value(self, key: str, **by: str | float) -> Any:
        """The bare value of `at(key, ...)`."""
        if by:
            return self.at(key, **by).value
        if key not in self._plain:
            self._plain[key] = self.at(key).value
        return self._plain[key]

    def range(self, key: str) -> tuple[float, float]:
        """What passes without a warning about a row's value; a shop's own value takes it along, in proportion.

        Whole for counts. Errors: KeyError for a row without a range (a bug, not a wrong job).
        """
        row = self.rows[key]
        low, high = row["range"]
        if key not in self.own:
            return low, high
        share = self.own[key] / row["value"]
        whole = all(isinstance(each, int) for each in (low, high, self.own[key]))
        return (round(low * share), round(high * share)) if whole else (low * share, high * share)

    def may_be_zero(self, key: str) -> bool:
        """Whether a shop's nought is an answer: no waste, no pull, no charge; not where it would stop the work."""
        table, _, name = key.rpartition(".")
        return (
            bool(self.rows[key].get("zero")) if key in self.rows else name in ZERO_FIELDS.get(table.split(".")[0], ())
        )

    def cloth(self, name: str) -> Cloth:
        """The cloth of that name. Errors: JobError naming the nearest right one."""
        table = self._named("cloth", name)
        picked = {f.name: table[f.name] for f in fields(Cloth) if f.name != "name"}
        return Cloth(**{**picked, "name": name, "avoid_deg": tuple(table["avoid_deg"])})

    def place(self, name: str) -> Place:
        """The place of that name; spaces and dashes are alike. Errors: JobError naming the nearest."""
        key = name.strip().lower().replace(" ", "-")
        table = self._named("place", key)
        picked: dict[str, Any] = {f.name: table.get(f.name) for f in fields(Place) if f.name != "name"}
        return Place(**{**picked, "name": key})

    def names(self, kind: str) -> tuple[str, ...]:
        """All names of a kind of table: `cloth`, `place` or `caution`."""
        start = f"{kind}."
        return tuple(key[len(start) :] for key in self.rows if key.startswith(start))

    def _named(self, kind: str, name: str) -> dict[str, Any]:
        key = f"{kind}.{name}"
        if key not in self.rows:
            raise JobError(
                f"no {kind} is called {name!r}",
                f"--{'on' if kind == 'place' else kind}",
                nearest(name, self.names(kind)),
            )
        table = dict(self.rows[key])
        prefix = f"{key}."
        table.update({own[len(prefix) :]: value for own, value in self.own.items() if own.startswith(prefix)})
        return table


def nearest(name: str, known: tuple[str, ...]) -> str:
    """A sentence naming the right word nearest to `name`, and all of them."""
    close = difflib.get_close_matches(name.lower(), known, 1, 0.5)
    guess = f"did you mean {close[0]!r}? " if close else ""
    return f"{guess}known: {', '.join(known)}"


def _in_band(bands: Any, measure: float) -> Any:
    return next(band["value"] for band in bands if measure < band.get("under", float("inf")))


def _flattened(tree: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    return {f"{group}.{name}": row for group, rows in tree.items() for name, row in rows.items()}


@cache
def default_trade() -> Trade:
    """The table as shipped."""
    rows = _flattened(tomllib.loads(TABLE.read_text(encoding="utf-8")))
    return _frozen(rows, {})


def _frozen(rows: dict[str, Mapping[str, Any]], own: dict[str, Any]) -> Trade:
    return Trade(MappingProxyType(rows), MappingProxyType(own))


def with_own(trade: Trade, own: Mapping[str, Any], where: str) -> Trade:
    """`trade` with a shop's own rows in place, keyed `group.name` or `cloth.NAME.field`.

    Errors: JobError listing every unknown key at once, or a value of another type than the row's.
    """
    known = {key for key, row in trade.rows.items() if "unit" in row}
    known |= {
        f"{key}.{name}" for key, row in trade.rows.items() if "unit" not in row for name in row if name != "source"
    }
    wrong = [f"{key}: {_nearest_row(key, known)}" for key in own if key not in known]
    if wrong:
        raise JobError("these rows are not in the trade table", where, "; ".join(wrong))
    return Trade(trade.rows, MappingProxyType({**trade.own, **own}))


def _nearest_row(key: str, known: set[str]) -> str:
    """The rows of that very name in other tables, else the one spelt nearest."""
    same = sorted(row for row in known if row.rpartition(".")[2] == key.rpartition(".")[2] and "cloth." not in row)
    close = same or difflib.get_close_matches(key.lower(), sorted(known), 1, 0.4)
    return f"did you mean {' or '.join(map(repr, close))}?" if close else "see scantling trade for all rows"
