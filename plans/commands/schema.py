"""`scantling schema`: the JSON Schema of plan.json."""

from __future__ import annotations

import click


@click.command(short_help="The JSON Schema of plan.json.")
def schema() -> None:
    """Print the JSON Schema that plan.json keeps to."""
    from plans.document import schema_text

    click.echo(schema_text(), nl=False)
