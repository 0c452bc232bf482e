"""`scantling sizes`: what holds at each width."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from analyse.trade import DEFAULT_CLOTH, THREADS
from plans.commands import parsing
from plans.commands.progress import Progress
from plans.commands.reading import open_artwork, read_from, sewn_on, trade_in_force


@click.command(short_help="What holds at each width.")
@click.argument("artwork", metavar="ART")
@click.option("--width", metavar="LENGTH", callback=parsing.length, help="A width to list and mark, such as 3in.")
@sewn_on
@read_from
@click.option(
    "--pictures",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Also write a page (HTML) that shows it at several widths, true to size, with what is lost.",
)
@click.option("--json", "as_data", is_flag=True, help="Print the figures as JSON.")
@click.option("--quiet", is_flag=True, help="Show no progress.")
@click.option("--verbose", is_flag=True, help="Tell each step and how long it took.")
def sizes(artwork: str, **given: Any) -> None:
    """List what holds of ART from the smallest useful to the largest sensible width."""
    progress = Progress(quiet=given["quiet"], verbose=given["verbose"])
    trade, _ = trade_in_force(given["shop_file"])
    place = trade.place(given["place"]) if given["place"] else None
    cloth = trade.cloth(given["cloth"] or (place.cloth if place else DEFAULT_CLOTH))
    with progress.step("loading"):
        from analyse import trace
        from analyse.survival import survival
        from plans.sizes import shown_to, sizes_text, write_page

        if given["pictures"]:
            from plans.report.widths import widths_page
    with progress.step("reading the artwork"):
        opened = open_artwork(artwork, given)
    with progress.step("finding colours and regions"):
        drawing = trace(opened, max_colours=given["colours"])
    thread, width = given["thread"] or THREADS[0], given["width"]
    with progress.step("measuring every part"):
        found = survival(
            drawing, thread=thread, cloth=cloth.name, cloth_rgb=given["cloth_rgb"], trade=trade,
            widths_mm=[] if width is None else [width],
        )  # fmt: skip
    title = f"{opened.name} on {cloth.title}, {thread}-weight thread"
    if given["pictures"]:
        with progress.step("drawing it at several widths"):
            sized = drawing.at(
                width_mm=width or trade.value("survival.smallest"), thread=thread, cloth=cloth.name,
                cloth_rgb=given["cloth_rgb"], trade=trade,
            )  # fmt: skip
            write_page(widths_page(title, sized, found, width), given["pictures"])
    if given["as_data"]:
        click.echo(json.dumps(asdict(found), ensure_ascii=False, indent=1))
    else:
        told = given["cloth_rgb"] is not None
        click.echo(sizes_text(title, found, width, cloth_told=told, shown=shown_to(drawing)), nl=False)
