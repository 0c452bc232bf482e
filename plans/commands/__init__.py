"""The command line: one file a command, each parses, calls the library, and prints."""

from __future__ import annotations

import difflib
from importlib import import_module
from pathlib import Path

import click

COMMANDS = ("plan", "sizes", "trade", "schema")
OWN_OPTIONS = ("--help", "-h", "--version")


class Commands(click.Group):
    """The commands, each loaded when it is wanted; a bare artwork means `plan`."""

    def list_commands(self, _ctx: click.Context) -> list[str]:
        """Their names, in the order of use."""
        return list(COMMANDS)

    def get_command(self, _ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or None."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = getattr(import_module(f"plans.commands.{cmd_name}"), cmd_name)
        return command

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read `scantling ART ...` as `scantling plan ART ...`."""
        if args and args[0] not in COMMANDS and args[0] not in OWN_OPTIONS:
            self._refuse_misspelt(ctx, args[0])
            args = ["plan", *args]
        return super().parse_args(ctx, args)

    def _refuse_misspelt(self, ctx: click.Context, word: str) -> None:
        close = difflib.get_close_matches(word, COMMANDS, 1, 0.7)
        if close and not Path(word).exists():
            raise click.UsageError(f"No such command {word!r}. Did you mean {close[0]!r}?", ctx)


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Start with:  scantling plan crest.png --width 3in --on 'left chest'",
)
@click.option("--version", is_flag=True, help="Show the version and leave.")
def commands(version: bool) -> None:
    """Judge a customer's artwork for machine embroidery and propose the sewing plan."""
    del version  # answered before anything is loaded
