"""The shop's own file: rows of the trade table in its own words, in the table's place."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from analyse.errors import JobError
from analyse.trade import Trade, with_own

LARGEST_FILE = 1_000_000  # bytes: the whole trade table has a tenth of that
FIELDS_OF = ("cloth", "place")  # tables of many fields, where every other table is one row


@dataclass(frozen=True, slots=True)
class Shop:
    """The trade values in force, and the SHA-256 of the file they came from."""

    trade: Trade
    sha256: str


def read_shop(path: Path, trade: Trade) -> Shop:
    """`trade` with the rows of a shop's file in place. Errors: JobError naming every fault at once."""
    import hashlib  # not needed to show the help

    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise JobError(
            f"the shop's file cannot be read: {error.strerror}", str(path), "name a file with --shop"
        ) from error
    if len(content) > LARGEST_FILE:
        raise JobError("the shop's file is too large to be one", str(path), "it holds rows of the trade table")
    try:
        tree = tomllib.loads(content.decode("utf-8"))
    except ValueError as error:
        raise JobError(f"the shop's file is no TOML: {error}", str(path), "mend that line") from error
    rows = own_rows(tree)
    made = with_own(trade, rows, str(path))
    faults = [fault for key, value in rows.items() if (fault := _fault(key, value, trade))]
    if faults:
        raise JobError("these rows of the shop's file cannot be used", str(path), "; ".join(faults))
    return Shop(made, hashlib.sha256(content).hexdigest())


def own_rows(tree: Mapping[str, Any]) -> dict[str, Any]:
    """The rows of a shop's file by key: `fill.spacing`, `cloth.twill.pull_mm`."""
    rows: dict[str, Any] = {}
    for group, table in tree.items():
        for name, value in table.items() if isinstance(table, Mapping) else (("", table),):
            key = f"{group}.{name}" if name else group
            deep = group in FIELDS_OF and isinstance(value, Mapping)
            rows.update({f"{key}.{field}": own for field, own in value.items()} if deep else {key: value})
    return rows


def _fault(key: str, value: Any, trade: Trade) -> str | None:
    expected = _shipped(key, trade)
    if isinstance(expected, Mapping):
        if not isinstance(value, Mapping) or set(value) != set(expected):
            return f"{key} wants one value each for {', '.join(expected)}"
        faults = [_scalar_fault(f"{key}, {name}", value[name], expected[name]) for name in expected]
        return next((fault for fault in faults if fault), None)
    if isinstance(expected, list) and expected and isinstance(expected[0], Mapping):
        return _bands_fault(key, value, expected[-1]["value"])
    return _scalar_fault(key, value, expected)


def _bands_fault(key: str, value: Any, expected: Any) -> str | None:
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
    return next((fault for band in value if (fault := _scalar_fault(key, band["value"], expected))), None)


def _shipped(key: str, trade: Trade) -> Any:
    if key in trade.rows:
        row = trade.rows[key]
        return row["value"] if "value" in row else row.get("bands", row)
    table, field = key.rsplit(".", 1)
    return trade.rows[table][field]


def _scalar_fault(key: str, value: Any, expected: Any) -> str | None:
    number = isinstance(expected, int | float) and not isinstance(expected, bool)
    if number and (isinstance(value, bool) or not isinstance(value, int | float)):
        return f"{key} is a number such as {expected:g}, not {value!r}"
    if number and not (math.isfinite(value) and value >= 0):
        return f"{key} cannot be {value}"
    if not number and type(value) is not type(expected):
        return f"{key} looks like {expected!r}, not {value!r}"
    return None
