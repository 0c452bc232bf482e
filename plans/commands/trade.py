"""`scantling trade`: the values in force, and where each comes from."""

from __future__ import annotations

from pathlib import Path

import click

from analyse.errors import JobError
from analyse.trade import nearest
from plans.commands.reading import trade_in_force
from plans.rows import listed


@click.command(short_help="The values in force, and where each comes from.")
@click.argument("words", nargs=-1, metavar="[WORD]...")
@click.option(
    "--shop", "shop_file", metavar="FILE", type=click.Path(path_type=Path), help="With the shop's own values in place."
)
def trade(words: tuple[str, ...], shop_file: Path | None) -> None:
    """List cloths, places, threads and every trade value with its unit and source; WORDs pick some."""
    table, _ = trade_in_force(shop_file)
    rows = [row for row in listed(table) if all(word.lower() in row.lower() for word in words)]
    if not rows:
        known = {row.split(":")[0] for row in listed(table)}
        names = tuple(sorted(known | {part for key in known for part in key.replace(" ", ".").split(".")}))
        guess = nearest(words[0], names).split("known:")[0]
        raise JobError(
            f"nothing in the trade table matches {' '.join(words)!r}",
            "scantling trade",
            f"{guess}scantling trade alone lists every value",
        )
    click.echo("\n".join(rows))
