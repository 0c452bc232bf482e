"""`scantling trade`: the values in force, and where each comes from."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from analyse.errors import JobError
from analyse.trade import THREADS, Trade, default_trade, nearest
from plans.settings import read_shop

TABLES = ("cloth", "place", "caution")


@click.command()
@click.argument("words", nargs=-1, metavar="[WORD]...")
@click.option(
    "--shop", "shop_file", metavar="FILE", type=click.Path(path_type=Path), help="With the shop's own values in place."
)
def trade(words: tuple[str, ...], shop_file: Path | None) -> None:
    """List cloths, places, threads and every trade value with its unit and source; WORDs pick some."""
    table = read_shop(shop_file, default_trade()).trade if shop_file else default_trade()
    rows = [row for row in listed(table) if all(word.lower() in row.lower() for word in words)]
    if not rows:
        known = tuple(sorted({row.split()[0] for row in listed(table)}))
        raise JobError(
            f"nothing in the trade table matches {' '.join(words)!r}", "scantling trade", nearest(words[0], known)[:200]
        )
    click.echo("\n".join(rows))


def listed(table: Trade) -> list[str]:
    """A line for each cloth, place, thread and value: key, value, unit, source."""
    rows = [f"thread {weight}: {weight}-weight" for weight in THREADS]
    rows += [_named("cloth", name, table) for name in table.names("cloth")]
    rows += [_named("place", name, table) for name in table.names("place")]
    return rows + [_value(key, table) for key in table.rows if key.split(".")[0] not in TABLES]


def _named(kind: str, name: str, table: Trade) -> str:
    value = table.cloth(name) if kind == "cloth" else table.place(name)
    shown = {field: getattr(value, field) for field in value.__slots__ if field not in {"name", "title", "source"}}
    own = [field for field in shown if f"{kind}.{name}.{field}" in table.own]
    facts = ", ".join(f"{field} {_text(found)}" for field, found in shown.items() if found not in {None, ""})
    source = f"{value.source}; the shop's own: {', '.join(own)}" if own else value.source
    return f"{kind} {name}: {value.title}; {facts} [{source}]"


def _value(key: str, table: Trade) -> str:
    row: Mapping[str, Any] = table.rows[key]
    value = table.own.get(key, row.get("value", row.get("bands")))
    by = f" by {row['by']}" if "by" in row else ""
    span = f", {_text(row['range'][0])} to {_text(row['range'][1])}" if "range" in row and key not in table.own else ""
    source = "the shop's own" if key in table.own else row["source"]
    return f"{key}: {_text(value)}{span} {row['unit']}{by} [{source}]"


def _text(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{name}: {_text(part)}" for name, part in value.items())
    if isinstance(value, list | tuple) and value and isinstance(value[0], Mapping):
        return ", ".join(
            f"under {_text(band['under'])}: {_text(band['value'])}"
            if "under" in band
            else f"else {_text(band['value'])}"
            for band in value
        )
    if isinstance(value, list | tuple):
        return " and ".join(_text(part) for part in value) or "none"
    return f"{value:g}" if isinstance(value, float) else str(value)
