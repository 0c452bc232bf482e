"""The sew-outs of artworks on five cloths side by side: true size, four times, arm's length and the back.

    python tests/contact/cloths.py ART... --width 76 --out /tmp/cloths.png

Each artwork is planned anew for each cloth, since pull, spacing and underlay go by it.
"""

from __future__ import annotations

import click
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from analyse import read_artwork, trace
from plans.job import Job
from plans.planning import make_plan
from plans.sewout import at_arms_length, draw_sewout
from plans.values import Plan

Picture = NDArray[np.uint8]
CLOTHS = {
    "twill": (226, 222, 210), "pique-knit": (30, 45, 90), "jersey": (150, 150, 155), "towelling": (238, 236, 228),
    "leather": (92, 58, 38),
}  # fmt: skip
DPI, CLOSE_DPI = 130, 520


def views(plan: Plan) -> list[Picture]:
    """True size at 130 dpi, the middle at four times, the whole at arm's length, and the back."""
    whole, close = (draw_sewout(plan.stitches, plan.steps, plan.sized, dpi=dpi) for dpi in (DPI, CLOSE_DPI))
    height, width = whole.shape[:2]
    top, left = (close.shape[0] - height) // 2, (close.shape[1] - width) // 2
    back = draw_sewout(plan.stitches, plan.steps, plan.sized, dpi=DPI, back=True)
    return [whole, close[top : top + height, left : left + width], at_arms_length(whole, DPI), back]


def beside(pictures: list[Picture], axis: int) -> Picture:
    """Pictures in a row (axis 1) or a column (axis 0), padded with white to one size."""
    most = max(picture.shape[1 - axis] for picture in pictures)
    padded = []
    for picture in pictures:
        add = [(0, 6), (0, 6), (0, 0)]
        add[1 - axis] = (0, most - picture.shape[1 - axis])
        padded.append(np.pad(picture, add, constant_values=255))
    return np.concatenate(padded, axis=axis)


@click.command()
@click.argument("art", nargs=-1, required=True)
@click.option("--width", default=76.0)
@click.option("--cloth", "cloths", multiple=True, type=click.Choice(sorted(CLOTHS)))
@click.option("--out", default="cloths.png")
def main(art: tuple[str, ...], width: float, cloths: tuple[str, ...], out: str) -> None:
    """Draw the sheet."""
    sheet = []
    for name in art:
        drawing = trace(read_artwork(name))
        for cloth in cloths or CLOTHS:
            sized = drawing.at(width_mm=width, cloth=cloth, cloth_rgb=CLOTHS[cloth])
            sheet.append(beside(views(make_plan(sized, Job())), 1))
            click.echo(f"{name} on {cloth}")
    Image.fromarray(beside(sheet, 0)).save(out)


if __name__ == "__main__":
    main()
