"""A contact sheet for one's own eyes: outlines drawn over the picture, enlarged, their points as dots.

    python tests/contact/outlines.py ART... --wide 300 --out /tmp/outlines

Four pictures to a sheet, each the window of it with most points. ART is a picture, or an SVG drawn `--wide` px wide on
white; `--quality` passes it through a JPEG first.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import click
import cv2
import numpy as np
import resvg_py
import shapely
from numpy.typing import NDArray
from PIL import Image

from analyse import read_artwork, trace
from analyse.errors import ScantlingError
from analyse.values import Drawing

Picture = NDArray[np.uint8]
CELL, SHIFT, A_SHEET = 720, 4, 4


def as_file(path: Path, wide: int, quality: int | None) -> bytes:
    """The picture as a file: an SVG rendered, others as they are."""
    if path.suffix != ".svg":
        return path.read_bytes()
    png = bytes(resvg_py.svg_to_bytes(svg_path=str(path), width=wide, background="white"))
    if quality is None:
        return png
    kept = BytesIO()
    Image.open(BytesIO(png)).convert("RGB").save(kept, "JPEG", quality=quality, subsampling=2)
    return kept.getvalue()


def busiest(drawing: Drawing, side: int) -> tuple[int, int]:
    """Left and top of the window with most points, that is not at the picture's rim."""
    high, wide = drawing.labels.shape
    points = shapely.get_coordinates([region.outline for region in drawing.regions])
    counts = np.zeros((high, wide), np.float32)
    np.add.at(counts, tuple(np.clip(points[:, ::-1].astype(int), 0, [high - 1, wide - 1]).T), 1)
    sums = cv2.boxFilter(counts, -1, (side, side), normalize=False, borderType=cv2.BORDER_CONSTANT)
    y, x = np.unravel_index(int(sums.argmax()), sums.shape)
    return int(np.clip(x - side // 2, 0, max(0, wide - side))), int(np.clip(y - side // 2, 0, max(0, high - side)))


def over(drawing: Drawing, corner: tuple[int, int], side: int, zoom: int) -> Picture:
    """The window, enlarged pixel by pixel and paled, with the outlines over it."""
    x, y = corner
    window = drawing.artwork.rgba[y : y + side, x : x + side, :3]
    picture = np.full((CELL, CELL, 3), 230, np.uint8)
    large = cv2.resize(window, None, fx=zoom, fy=zoom, interpolation=cv2.INTER_NEAREST)[:CELL, :CELL]
    picture[: large.shape[0], : large.shape[1]] = 255 - (255 - large.astype(np.uint16)) * 55 // 100
    for region in drawing.regions:
        for ring in (region.outline.exterior, *region.outline.interiors):
            points = (np.asarray(ring.coords) - corner) * zoom - 0.5
            fixed = np.rint(points * (1 << SHIFT)).astype(np.int32)
            cv2.polylines(picture, [fixed], isClosed=True, color=(220, 0, 160), lineType=cv2.LINE_AA, shift=SHIFT)
            for dot in fixed:
                if (dot >= 0).all() and (dot < CELL << SHIFT).all():
                    cv2.circle(picture, tuple(dot.tolist()), 24, (0, 90, 0), -1, cv2.LINE_AA, SHIFT)
    return picture


def cell(path: Path, wide: int, quality: int | None, zoom: int, at: str | None) -> Picture:
    """One picture's window."""
    try:
        drawing = trace(read_artwork(as_file(path, wide, quality)))
    except ScantlingError as error:
        click.echo(f"{path.name}: {error}")
        return np.full((CELL, CELL, 3), 200, np.uint8)
    side = CELL // zoom
    corner = busiest(drawing, side) if at is None else (int(at.split(",")[0]), int(at.split(",")[1]))
    click.echo(f"{path.name}: {len(drawing.palette)} colours, {len(drawing.regions)} regions, window at {corner}")
    return over(drawing, corner, side, zoom)


@click.command(help=__doc__)
@click.argument("art", nargs=-1, type=click.Path(path_type=Path, exists=True))
@click.option("--wide", default=300)
@click.option("--quality", type=int)
@click.option("--zoom", default=4)
@click.option("--at", help="left,top of the window, in px of the picture as read")
@click.option("--out", type=click.Path(path_type=Path), required=True)
def main(art: tuple[Path, ...], wide: int, quality: int | None, zoom: int, at: str | None, out: Path) -> None:
    """Draw the sheets."""
    out.mkdir(parents=True, exist_ok=True)
    for start in range(0, len(art), A_SHEET):
        cells = [cell(path, wide, quality, zoom, at) for path in art[start : start + A_SHEET]]
        if len(cells) < A_SHEET:
            sheet = np.concatenate(cells, axis=1)
        else:
            sheet = np.concatenate([np.concatenate(cells[:2], axis=1), np.concatenate(cells[2:], axis=1)])
        Image.fromarray(sheet).save(out / f"sheet-{wide}-{start // A_SHEET:02}.png")


if __name__ == "__main__":
    main()
