"""`scantling plan`: artwork, size and garment in, the plan folder out."""

from __future__ import annotations

import shlex
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from analyse.errors import JobError
from analyse.trade import DEFAULT_CLOTH, THREADS, Trade
from plans.commands import parsing
from plans.commands.progress import Progress
from plans.commands.reading import open_artwork, read_from, sewn_on, trade_in_force
from plans.decisions import Decisions, read_decisions
from plans.job import APPROACHES, Job

if TYPE_CHECKING:
    from analyse.values import Artwork, Drawing, SizedDrawing, Turned
    from plans.values import Plan


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line says; None where it says nothing."""

    width: float | None
    height: float | None
    place: str | None
    cloth: str | None
    cloth_rgb: tuple[int, int, int] | None
    thread: str | None
    colours: int | None
    approach: str | None
    turned: tuple[Turned, ...]
    kept: tuple[str, ...]


@click.command(short_help="Artwork, size and cloth in, a sewing plan out.")
@click.argument("artwork", metavar="ART")
@click.option(
    "--width",
    metavar="LENGTH",
    callback=parsing.length,
    help="How wide it is sewn: 3in, 76mm, 7.6cm; a bare number is mm.",
)
@click.option(
    "--height", metavar="LENGTH", callback=parsing.length, help="How tall it is sewn; with --width it fits inside both."
)
@sewn_on
@click.option(
    "--approach",
    metavar="NAME",
    callback=parsing.one_of(APPROACHES, "approach"),
    help=f"{', '.join(APPROACHES)}; else the best is recommended.",
)
@click.option(
    "--decisions",
    "decisions_file",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Your own word on the job; else decisions.toml of the plan folder.",
)
@read_from
@click.option("--out", metavar="DIR", type=click.Path(path_type=Path), help="The plan folder; else NAME-plan here.")
@click.option("--json", "as_data", is_flag=True, help="Print plan.json instead of the summary.")
@click.option("--quiet", is_flag=True, help="Print nothing but errors.")
@click.option("--verbose", is_flag=True, help="Tell each step and how long it took.")
def plan(artwork: str, **given: Any) -> None:
    """Propose a plan for ART: what survives, what to sew how, what it costs."""
    from plans import words
    from plans.document import as_json
    from plans.folder import check_folder, resolved, write_plan
    from plans.summary import summary

    progress = Progress(quiet=given["quiet"], verbose=given["verbose"])
    target = resolved(given["out"] or default_out(artwork))
    check_folder(target)
    trade, shop_sha256 = trade_in_force(given["shop_file"], quiet=given["quiet"])
    decisions = _decisions(given["decisions_file"], target, trade)
    asked = _asked(given, decisions, trade)
    if (taken := _taken(decisions, given)) and not given["quiet"]:
        click.echo(
            f"decisions: {', '.join(taken)} as in {given['decisions_file'] or target / 'decisions.toml'}", err=True
        )
    if asked.kept and not given["quiet"]:
        click.echo(f"decisions: {words.not_acted_on(asked.kept)}", err=True)
    made = _make(artwork, asked, given, trade, shop_sha256, progress)
    with progress.step("writing the folder"):
        folder = write_plan(made, target, decisions=decisions.content or None)
    if given["as_data"]:
        click.echo(as_json(made), nl=False)
    elif not given["quiet"]:
        click.echo(summary(made, _as_seen_from_here(folder)), nl=False)


def default_out(artwork: str) -> Path:
    """`NAME-plan` beside the caller."""
    stem = "" if artwork == "-" else Path(artwork).stem
    return Path(f"{stem or 'artwork'}-plan")


def _as_seen_from_here(folder: Path) -> Path:
    here = Path.cwd()
    return folder.relative_to(here) if folder.is_relative_to(here) else folder


def _make(
    artwork: str, asked: Asked, given: dict[str, Any], trade: Trade, shop_sha256: str, progress: Progress
) -> Plan:
    from plans.abreast import SecondHand

    with SecondHand() as second:
        sized, asked = _measured(artwork, asked, given, trade, progress)
        with progress.step("laying stitches four ways"):
            from plans import make_plan

            job = Job(
                place=asked.place or "",
                approach=asked.approach or "",
                shop_sha256=shop_sha256,
                colours=asked.colours,
                width_mm=asked.width,
                height_mm=asked.height,
                kept=asked.kept,
            )
            made: Plan = make_plan(sized, job, second.lay_all)
            return made


def _measured(
    artwork: str, asked: Asked, given: dict[str, Any], trade: Trade, progress: Progress
) -> tuple[SizedDrawing, Asked]:
    """The artwork read, traced and measured at the size asked for, or the file's own."""
    with progress.step("loading"):
        from analyse import trace
    with progress.step("reading the artwork"):
        opened = open_artwork(artwork, given)
        _check_size(asked, opened, artwork)
    with progress.step("finding colours and regions"):
        drawing = trace(opened, max_colours=asked.colours, turned=asked.turned)
        asked = _at_true_size(asked, drawing, artwork, quiet=given["quiet"])
    with progress.step("measuring every part"):
        sized = drawing.at(
            width_mm=asked.width, height_mm=asked.height, thread=asked.thread or THREADS[0],
            cloth=asked.cloth or DEFAULT_CLOTH, cloth_rgb=asked.cloth_rgb, trade=trade,
        )  # fmt: skip
    return sized, asked


def _decisions(given: Path | None, target: Path, trade: Trade) -> Decisions:
    kept = target / "decisions.toml"
    if given is not None:
        return read_decisions(given, trade)
    return read_decisions(kept, trade) if kept.is_file() else Decisions()


def _asked(given: dict[str, Any], decided: Decisions, trade: Trade) -> Asked:
    """The command line goes before the decisions; a size on it replaces theirs whole."""
    own_size = given["width"] is not None or given["height"] is not None
    width, height = (given["width"], given["height"]) if own_size else (decided.width_mm, decided.height_mm)
    place = trade.place(given["place"]) if given["place"] else trade.place(decided.place) if decided.place else None
    named_cloth = given["cloth"] or decided.cloth or (place.cloth if place else None)
    cloth = trade.cloth(named_cloth).name if named_cloth else None
    return Asked(
        width, height, place.name if place else None, cloth, given["cloth_rgb"] or decided.cloth_rgb,
        given["thread"] or decided.thread, given["colours"] or decided.colours,
        given["approach"] or decided.approach, decided.turned, decided.kept,
    )  # fmt: skip


_WRITTEN = {"width_mm": "width", "height_mm": "height", "cloth_rgb": "cloth colour"}


def _taken(decided: Decisions, given: dict[str, Any]) -> list[str]:
    """What the decisions say that the command line does not."""
    size = [] if given["width"] is not None or given["height"] is not None else ["width_mm", "height_mm"]
    others = [name for name in ("place", "cloth", "cloth_rgb", "thread", "colours", "approach") if not given[name]]
    found = [_WRITTEN.get(name, name) for name in (*size, *others) if getattr(decided, name)]
    pieces = len(decided.turned)
    return [*found, "1 piece turned round" if pieces == 1 else f"{pieces} pieces turned round"] if pieces else found


def _check_size(asked: Asked, opened: Artwork, given: str) -> None:
    if asked.width is None and asked.height is None and opened.px_per_mm is None and opened.sheet_mm is None:
        raise _no_size(given)


def _at_true_size(asked: Asked, drawing: Drawing, given: str, *, quiet: bool) -> Asked:
    if asked.width is not None or asked.height is not None:
        return asked
    if drawing.px_per_mm is None:
        raise _no_size(given)
    left, _, right, _ = drawing.extent_px
    width = (right - left) / drawing.px_per_mm
    if not quiet:
        click.echo(f"size: the file's own, {width:.1f} mm wide", err=True)
    return replace(asked, width=width)


def _no_size(given: str) -> JobError:
    return JobError(
        "no size is asked for, and the file states none to be believed",
        given,
        f"say how wide it is sewn: scantling plan {shlex.quote(given)} --width 3in",
    )
