"""`write_plan`: the plan folder, whole or not at all."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING

from analyse.errors import OutputError
from plans.exchange import put_back, put_in_place, staging, write_synced
from plans.suggesting import as_toml

if TYPE_CHECKING:
    from plans.values import Plan

A_PLAN = "scantling.plan/"  # what the schema of any plan of ours begins with
DECISIONS, SUGGESTIONS = "decisions.toml", "decisions.new.toml"
OURS = frozenset({
    "report.html", "sheet.pdf", "plan.json", "layers.svg", "to-draw-over.png", "stitches.csv", "sewout.png",
    DECISIONS, SUGGESTIONS, "customer.html", "customer.pdf", "redrawn.svg", "redrawn.png",
})  # fmt: skip


def write_plan(plan: Plan, folder: str | Path, *, decisions: bytes | None = None) -> Path:
    """Write the plan folder; one that holds a plan of ours is replaced whole.

    `decisions`: the practitioner's own file, kept byte for byte; one that lies in the folder already goes before it.
    Returns the folder. Errors: OutputError when it cannot be written or holds foreign files; nothing is left then.
    """
    target = resolved(folder)
    check_folder(target)
    return place_files(plan_files(plan), target, decisions, as_toml(plan).encode())


def plan_files(plan: Plan) -> dict[str, bytes]:
    """Every file of the folder but the decisions, by name. Pictures are coded, and words read, beside the rest."""
    from plans.document import as_csv, as_json  # what draws is loaded when there is a plan to draw
    from plans.pictures import draw_pictures
    from plans.pictures.coding import png
    from plans.pictures.layers import layers_svg
    from plans.pictures.over import to_draw_over
    from plans.report import lettering, render_report
    from plans.sheet import render_sheet

    with ThreadPoolExecutor(max_workers=1) as beside, ThreadPoolExecutor(max_workers=1) as reader:
        lines = reader.submit(lettering, plan)
        over = beside.submit(to_draw_over, plan)
        pictures = draw_pictures(plan)
        sewout = beside.submit(png, pictures.sewout, pictures.dpi)
        sheet = beside.submit(render_sheet, plan, pictures)
        texts = {
            "plan.json": as_json(plan),
            "stitches.csv": as_csv(plan.stitches),
            "layers.svg": layers_svg(plan),
            "report.html": render_report(plan, pictures, lines.result()),
        }
        files = {name: text.encode("utf-8", "backslashreplace") for name, text in texts.items()}
        return {**files, "to-draw-over.png": over.result(), "sewout.png": sewout.result(), "sheet.pdf": sheet.result()}


def place_files(files: Mapping[str, bytes], target: Path, given: bytes | None, suggested: bytes) -> Path:
    """Write `files` with the decisions as the new `target`. Errors: OutputError."""
    made = _missing_parents(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with staging(target) as staged:
            kept = _kept(target)
            content = {**files, **_decisions(kept if kept is not None else given, suggested)}
            for name, data in content.items():
                write_synced(staged / name, data)
            staged.chmod(_mode(target))
            displaced = put_in_place(staged, target)
            if displaced is not None:
                _settle(displaced, target, kept)
    except OutputError:
        raise
    except OSError as error:
        _remove_empty(made)
        raise OutputError(
            f"the plan cannot be written: {error.strerror or error}", str(target), _remedy(error)
        ) from error
    return target


def resolved(folder: str | Path) -> Path:
    """The folder itself, links followed. Errors: OutputError."""
    try:
        return Path(folder).expanduser().resolve()
    except (OSError, RuntimeError, ValueError) as error:
        raise OutputError("the output folder has no usable name", str(folder), "name another with --out") from error


def check_folder(folder: Path) -> None:
    """Refuse a folder that is no folder, cannot be written, or holds what is not ours. Errors: OutputError."""
    try:
        problem = _problem(folder)
    except OSError as error:
        raise OutputError(f"nothing can be written there: {error.strerror}", str(folder), _remedy(error)) from error
    if problem:
        raise OutputError(problem, str(folder), "name a new or an empty folder with --out; nothing was touched")


def _problem(folder: Path) -> str:
    if folder.exists() and not folder.is_dir():
        return "a file stands where the plan folder should be"
    foreign = _foreign(folder) if folder.exists() else []
    if foreign:
        more = f" and {len(foreign) - 3} more" if len(foreign) > 3 else ""
        return f"the output folder holds files that are not a plan of ours: {', '.join(foreign[:3])}{more}"
    nearest = next(parent for parent in folder.parents if parent.exists())
    Path(tempfile.mkdtemp(prefix=".scantling-", dir=nearest)).rmdir()
    return ""


def _foreign(folder: Path) -> list[str]:
    names = sorted(entry.name for entry in folder.iterdir())
    foreign = [
        name for name in names if name not in OURS or (folder / name).is_symlink() or not (folder / name).is_file()
    ]
    if foreign or set(names) <= {DECISIONS, SUGGESTIONS}:
        return foreign
    return [] if _is_plan(folder / "plan.json") else names


def _is_plan(path: Path) -> bool:
    try:
        return str(json.loads(path.read_bytes())["schema"]).startswith(A_PLAN)
    except (OSError, ValueError, KeyError, TypeError):
        return False


def _kept(target: Path) -> bytes | None:
    path = target / DECISIONS
    return path.read_bytes() if path.is_file() else None


def _decisions(kept: bytes | None, suggested: bytes) -> dict[str, bytes]:
    if kept is None:
        return {DECISIONS: suggested}
    return {DECISIONS: kept} if kept == suggested else {DECISIONS: kept, SUGGESTIONS: suggested}


def _settle(displaced: Path, target: Path, carried: bytes | None) -> None:
    """After the exchange: what came into the old folder while we wrote is not lost."""
    foreign = _foreign(displaced)
    if foreign:
        put_back(displaced, target)
        raise OutputError(
            f"files came into the output folder meanwhile: {', '.join(foreign[:3])}",
            str(target),
            "move them away and plan again; nothing was touched",
        )
    now = _kept(displaced)
    if now is not None and now != carried:
        write_synced(target / f".{DECISIONS}", now)
        (target / f".{DECISIONS}").replace(target / DECISIONS)
    shutil.rmtree(displaced, ignore_errors=True)


def _missing_parents(target: Path) -> list[Path]:
    return [parent for parent in target.parents if not parent.exists()]


def _remove_empty(folders: list[Path]) -> None:
    for folder in folders:
        try:
            folder.rmdir()
        except OSError:
            return


def _mode(target: Path) -> int:
    """The old folder's mode, or that of any new folder here."""
    if target.exists():
        return target.stat().st_mode & 0o7777
    mask = os.umask(0)
    os.umask(mask)
    return 0o777 & ~mask


def _remedy(error: OSError) -> str:
    known = {28: "make room on the disk, or name another with --out", 36: "give a shorter name with --out"}
    return known.get(error.errno or 0, "name a folder you may write to with --out")
