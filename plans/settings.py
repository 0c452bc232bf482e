"""The shop's own file: rows of the trade table in its own words, in the table's place."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from analyse.errors import JobError
from analyse.trade import Trade, nearest, with_own
from plans.own_files import content_of, parsed

WHAT = "the shop's file"
FIELDS_OF = ("cloth", "place")  # tables of many fields, where every other table is one row
CLOSED_FIELDS = ("frame", "ground", "underlay")  # of a cloth: words that the plan acts on
KIND_OF_UNDERLAY = "kind of underlay"  # what the unit of the rows that name one begins with


@dataclass(frozen=True, slots=True)
class Shop:
    """The trade values in force, the SHA-256 of the file they came from, and what to ask about them."""

    trade: Trade
    sha256: str
    doubts: tuple[str, ...] = ()


def read_shop(path: Path, trade: Trade) -> Shop:
    """`trade` with the rows of a shop's file in place. Errors: JobError naming every fault at once."""
    import hashlib  # not needed to show the help

    content = content_of(path, WHAT, "--shop")
    _, tree = parsed(content, WHAT, str(path))
    rows = own_rows(tree)
    made = with_own(trade, rows, str(path))
    faults = [fault for key, value in rows.items() if (fault := _fault(key, value, trade))]
    if faults:
        raise JobError("these rows of the shop's file cannot be used", str(path), "; ".join(faults))
    return Shop(made, hashlib.sha256(content).hexdigest(), _doubts(rows, trade))


def own_rows(tree: Mapping[str, Any]) -> dict[str, Any]:
    """The rows of a shop's file by key: `fill.spacing`, `cloth.twill.pull_mm`."""
    rows: dict[str, Any] = {}
    for group, table in tree.items():
        for name, value in table.items() if isinstance(table, Mapping) else (("", table),):
            key = f"{group}.{name}" if name else group
            deep = group in FIELDS_OF and isinstance(value, Mapping)
            rows.update({f"{key}.{field}": own for field, own in value.items()} if deep else {key: value})
    return rows


def _doubts(rows: Mapping[str, Any], trade: Trade) -> tuple[str, ...]:
    """Lengths so far from the trade's that another unit, or lines counted one by one, may be meant."""
    far = trade.value("shop.far_off")
    doubts = []
    for key in rows:
        for name, own, usual in _lengths(key, rows[key], trade):
            if own and usual and not 1 / far < own / usual < far:
                doubts.append(f"{name} is {own:g} mm where the trade has {usual:g} mm: is that meant?")
    return tuple(doubts)


def _lengths(key: str, value: Any, trade: Trade) -> list[tuple[str, float, float]]:
    """The lengths in mm of a row, each by name with the shipped one; bands are judged as they lie."""
    shipped = _shipped(key, trade)
    if not (trade.rows[key]["unit"].split()[0].rstrip(",:") == "mm" if key in trade.rows else key.endswith("_mm")):
        return []
    if isinstance(shipped, Mapping):
        return [(f"{key}, {name}", value[name], shipped[name]) for name in shipped]
    if isinstance(shipped, list):
        pairs = enumerate(zip(value, shipped, strict=False), 1)
        return [(f"{key}, band {n}", own["value"], usual["value"]) for n, (own, usual) in pairs]
    return [(key, value, shipped)]


def _fault(key: str, value: Any, trade: Trade) -> str | None:
    expected, zero = _shipped(key, trade), trade.may_be_zero(key)
    if isinstance(expected, Mapping):
        if not isinstance(value, Mapping) or set(value) != set(expected):
            return f"{key} wants one value each for {', '.join(expected)}"
        faults = [_scalar_fault(f"{key}, {name}", value[name], expected[name], zero=zero) for name in expected]
        return next((fault for fault in faults if fault), None)
    if isinstance(expected, list) and expected and isinstance(expected[0], Mapping):
        return _bands_fault(key, value, expected[-1]["value"], _words(key, trade))
    if isinstance(expected, list):
        return _angles_fault(key, value)
    return _scalar_fault(key, value, expected, _words(key, trade), whole=_whole(key, trade), zero=zero)


def _bands_fault(key: str, value: Any, expected: Any, words: tuple[str, ...]) -> str | None:
    """Bands run upwards, each but the last under a limit."""
    if (
        not isinstance(value, list)
        or not value
        or not all(isinstance(band, Mapping) and "value" in band for band in value)
    ):
        return f"{key} is a list of bands such as [{{ under = 2.0, value = {expected!r} }}, {{ value = {expected!r} }}]"
    limits = [band.get("under") for band in value]
    numbers = [limit for limit in limits[:-1] if isinstance(limit, int | float)]
    if limits[-1] is not None or len(numbers) < len(limits) - 1 or numbers != sorted(numbers):
        return f"{key}: the bands run upwards, each with its `under` but the last"
    return next((fault for band in value if (fault := _scalar_fault(key, band["value"], expected, words))), None)


def _shipped(key: str, trade: Trade) -> Any:
    if key in trade.rows:
        row = trade.rows[key]
        return row["value"] if "value" in row else row.get("bands", row)
    table, field = key.rsplit(".", 1)
    return trade.rows[table][field]


def _scalar_fault(
    key: str, value: Any, expected: Any, words: tuple[str, ...] = (), *, whole: bool = False, zero: bool = False
) -> str | None:
    if isinstance(expected, int | float) and not isinstance(expected, bool):
        return _number_fault(key, value, expected, whole=whole, zero=zero)
    if type(value) is not type(expected):
        return f"{key} looks like {expected!r}, not {value!r}"
    if words and value not in words:
        return f"{key}: no such word as {value!r}: {nearest(value, words)}"
    return None


def _number_fault(key: str, value: Any, expected: float, *, whole: bool, zero: bool) -> str | None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return f"{key} is a number such as {expected:g}, not {value!r}"
    if not math.isfinite(value) or value < 0 or (value == 0 and not zero):
        return f"{key} cannot be {value}"
    return f"{key} is a whole number such as {expected}, not {value}" if whole and not isinstance(value, int) else None


def _angles_fault(key: str, value: Any) -> str | None:
    def finite(angle: Any) -> bool:
        return isinstance(angle, int | float) and not isinstance(angle, bool) and math.isfinite(angle)

    if isinstance(value, list) and all(finite(angle) for angle in value):
        return None
    return f"{key} is a list of angles such as [60], not {value!r}"


def _words(key: str, trade: Trade) -> tuple[str, ...]:
    """The words the plan acts on there; none where any will do, as it is only printed."""
    table, _, field = key.rpartition(".")
    if trade.rows.get(key, {}).get("unit", "").startswith(KIND_OF_UNDERLAY):
        rows = [row for row in trade.rows.values() if row.get("unit", "").startswith(KIND_OF_UNDERLAY)]
        shipped = [row.get("value") for row in rows] + [band["value"] for row in rows for band in row.get("bands", ())]
        return tuple(sorted({word for word in shipped if word}))
    kind = table.partition(".")[0]
    if kind == "cloth" and field in CLOSED_FIELDS:
        return tuple(sorted({trade.rows[f"cloth.{name}"][field] for name in trade.names("cloth")}))
    return trade.names("cloth") if kind == "place" and field == "cloth" else ()


def _whole(key: str, trade: Trade) -> bool:
    """Counts are whole; times are not, though some are shipped so."""
    row = trade.rows.get(key, {})
    return isinstance(row.get("value"), int) and row["unit"] != "s"
