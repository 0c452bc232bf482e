"""Options that both `plan` and `sizes` take, and the reading they share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from analyse.trade import THREADS, Trade, default_trade
from plans.commands import parsing
from plans.settings import read_shop

if TYPE_CHECKING:
    from analyse.values import Artwork

CLOTH = "What it is sewn on (see scantling trade cloth); else the place's usual cloth, else twill."
Option = Callable[[Any], Any]
_ON = (
    click.option(
        "--on", "place", metavar="PLACE", help="Where it goes, such as 'left chest' (see scantling trade place)."
    ),
    click.option("--cloth", metavar="NAME", help=CLOTH),
    click.option(
        "--cloth-colour",
        "cloth_rgb",
        metavar="COLOUR",
        callback=parsing.colour,
        help="Colour of the cloth: navy, #1b2a4a or 27,42,74; else white.",
    ),
    click.option(
        "--thread", metavar="40|60", callback=parsing.one_of(THREADS, "thread"), help="Thread weight; else 40."
    ),
    click.option(
        "--colours",
        metavar="N",
        type=click.IntRange(min=1),
        help="At most N sewn colours; else as many as are found.",
    ),
)
_FILE = (
    click.option(
        "--shop",
        "shop_file",
        metavar="FILE",
        type=click.Path(path_type=Path),
        help="The shop's own values in place of the trade's (see scantling trade).",
    ),
    click.option("--page", metavar="N", type=click.IntRange(min=1), default=1, help="Page of a PDF or TIFF."),
    click.option(
        "--corners",
        metavar="'X,Y X,Y X,Y X,Y'",
        callback=parsing.corners,
        help="Corners of the sheet in a photo, in px of the picture.",
    ),
    click.option(
        "--sheet-size", metavar="SIZE", help="True size of the sheet in a photo or scan: a4, letter, 210x297mm."
    ),
    click.option(
        "--limit",
        "own_limits",
        metavar="NAME=VALUE",
        multiple=True,
        callback=parsing.limits,
        help="Raise or lower what a file may cost, such as pixels=2e8.",
    ),
)


def sewn_on(command: Option) -> Option:
    """--on, --cloth, --cloth-colour, --thread, --colours."""
    return _with(command, _ON)


def read_from(command: Option) -> Option:
    """--shop, --page, --corners, --sheet-size, --limit."""
    return _with(command, _FILE)


def open_artwork(artwork: str, given: dict[str, Any]) -> Artwork:
    """The artwork as the options ask for it. Errors: ArtworkError, JobError."""
    from analyse import read_artwork
    from analyse.limits import default_limits, with_limits

    limits = with_limits(default_limits(), given["own_limits"])
    opened: Artwork = read_artwork(
        artwork, page=given["page"], corners=given["corners"], sheet_size=given["sheet_size"], limits=limits
    )
    return opened


def trade_in_force(shop_file: Path | None, *, quiet: bool = False) -> tuple[Trade, str]:
    """The trade values with the shop's own, and the SHA-256 of its file ("" without one); doubts are told.

    Errors: JobError.
    """
    if shop_file is None:
        return default_trade(), ""
    shop = read_shop(shop_file, default_trade())
    for doubt in () if quiet else shop.doubts:
        click.echo(f"shop: {doubt}", err=True)
    return shop.trade, shop.sha256


def _with(command: Option, options: tuple[Option, ...]) -> Option:
    for option in reversed(options):
        command = option(command)
    return command
