"""A trade row in a line: key, value, unit and source, with the shop's own marked as such."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from analyse.trade import THREADS, Trade

TABLES = ("cloth", "place", "caution")
OWN = "the shop's own"


def listed(table: Trade) -> list[str]:
    """A line for each thread, cloth, place and value of the table in force."""
    rows = [f"thread {weight}: {weight}-weight" for weight in THREADS]
    rows += [_named("cloth", name, table) for name in table.names("cloth")]
    rows += [_named("place", name, table) for name in table.names("place")]
    return rows + [line(key, table) for key in table.rows if key.split(".")[0] not in TABLES]


def line(key: str, table: Trade) -> str:
    """`fill.spacing: 0.40 mm across two lines, full cover [source]`."""
    name, value, unit, source = told(key, table)
    return f"{name}: {' '.join(filter(None, [value, unit]))} [{source}]"


def told(key: str, table: Trade) -> tuple[str, str, str, str]:
    """Key, value, unit and source of a row, or of one field of a cloth or place. Errors: KeyError for no such row."""
    if key not in table.rows:
        group, field = key.rsplit(".", 1)
        value = table.own.get(key, table.rows[group][field])
        unit = "mm" if field.endswith("_mm") else ""
        return key, shown(value), unit, OWN if key in table.own else table.rows[group]["source"]
    row: Mapping[str, Any] = table.rows[key]
    own = key in table.own
    value = shown(table.own[key] if own else row.get("value", row.get("bands")))
    span = f", {shown(row['range'][0])} to {shown(row['range'][1])}" if "range" in row and not own else ""
    by = f" by {row['by']}" if "by" in row else ""
    return key, value + span, row["unit"] + by, OWN if own else row["source"]


def shown(value: Any) -> str:
    """A value as a person reads it: bands as limits, tables as names and values."""
    if isinstance(value, Mapping):
        return ", ".join(f"{name}: {shown(part)}" for name, part in value.items())
    if isinstance(value, list | tuple) and value and isinstance(value[0], Mapping):
        return ", ".join(_band(band) for band in value)
    if isinstance(value, list | tuple):
        return " and ".join(shown(part) for part in value) or "none"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _band(band: Mapping[str, Any]) -> str:
    limit = f"under {shown(band['under'])}" if "under" in band else "else"
    return f"{limit}: {shown(band['value'])}"


def _named(kind: str, name: str, table: Trade) -> str:
    value = table.cloth(name) if kind == "cloth" else table.place(name)
    fields = {field: getattr(value, field) for field in value.__slots__ if field not in {"name", "title", "source"}}
    own = [field for field in fields if f"{kind}.{name}.{field}" in table.own]
    facts = ", ".join(f"{field} {shown(found)}" for field, found in fields.items() if found not in {None, ""})
    source = f"{value.source}; {OWN}: {', '.join(own)}" if own else value.source
    return f"{kind} {name}: {value.title}; {facts} [{source}]"
