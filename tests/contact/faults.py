"""Known faults, each beside itself done right: the sew-out at four times, at arm's length, and the report's map.

    python tests/contact/faults.py /tmp/faults.png

From the top: a gap between neighbours, cover too dense, a counter that closes, detail along the rows of its base. The
same pieces as in tests/plans/sewout/test_faults.py, which holds what is seen here as figures.
"""

from __future__ import annotations

import io
import sys
from pathlib import Path

import click
import cv2
import numpy as np
import resvg_py
from numpy.typing import NDArray
from PIL import Image

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from analyse.values import Floats  # noqa: E402
from plans.density import measure_density  # noqa: E402
from plans.report.stiffness import stiffness_map  # noqa: E402
from plans.sewout import at_arms_length, draw_sewout, frame  # noqa: E402
from plans.values import Density, Lay  # noqa: E402
from tests.plans.sewout.pieces import Sewn, rows, sew, sized_of, turned, zigzag  # noqa: E402

Picture = NDArray[np.uint8]
DPI, SIZE_MM, MAP_PX, AIR = 480, (18.0, 18.0), 1200, 0.02
THREADS = [(27, 42, 74), (246, 244, 238)]
TILE, ROUND_MM = 420, 3.0


def gap(apart_mm: float) -> list[Sewn]:
    """Two fields so far apart."""
    return [(rows(2, 2, 9, 16), "fill", 0, Lay.TOP), (rows(9 + apart_mm, 2, 16, 16), "fill", 0, Lay.TOP)]


def stacked(times: int) -> list[Sewn]:
    """One field over itself."""
    return [(rows(4, 4, 14, 14), "fill", 0, Lay.TOP)] * times


def ring(wide_mm: float) -> list[Sewn]:
    """Four columns about a counter."""
    bar, at = 1.6, 9 - 1.6 - wide_mm / 2
    return [
        (zigzag(at, at, 2 * bar + wide_mm, bar), "column", 0, Lay.TOP),
        (zigzag(at, at + bar + wide_mm, 2 * bar + wide_mm, bar), "column", 0, Lay.TOP),
        (zigzag(at + bar, at, wide_mm, bar)[:, ::-1], "column", 0, Lay.TOP),
        (zigzag(at + bar, at + bar + wide_mm, wide_mm, bar)[:, ::-1], "column", 0, Lay.TOP),
    ]


def on_base(turn_deg: float) -> list[Sewn]:
    """Columns on a base whose rows are turned so far from level; a level column's stitches stand upright."""
    base = turned(rows(-8, -8, 8, 8, pitch=0.3), turn_deg) + 9
    return [
        (base, "fill", 0, Lay.TOP),
        *((zigzag(3, 3 + 5 * n, 12, 2, spacing=0.55), "column", 1, Lay.TOP) for n in range(3)),
    ]


FAULTS = ((gap(1.0), gap(-0.4)), (stacked(4), stacked(1)), (ring(0.1), ring(2.0)), (on_base(90), on_base(0)))


def views(sewn: list[Sewn]) -> Picture:
    """Four times, arm's length at that scale, and the report's map: each of what is sewn and a little about it."""
    stitches, steps = sew(sewn)
    sized = sized_of(THREADS, SIZE_MM, cloth_rgb=(226, 222, 210))
    place, density = frame(sized, stitches), measure_density(stitches, steps, sized)
    picture = draw_sewout(stitches, steps, sized, dpi=DPI)
    far = at_arms_length(picture, DPI)
    corner = stitches.xy.min(axis=0) - ROUND_MM
    side = float(np.ptp(stitches.xy, axis=0).max()) + 2 * ROUND_MM
    tiles = [cut(tile, corner - (place.left_mm, place.top_mm), side, DPI / 25.4) for tile in (picture, far)]
    chart, px_per_mm = mapped(density, sized.trade.cloth(sized.cloth).hard_layers)
    tiles.append(cut(chart, corner + AIR * max(SIZE_MM), side, px_per_mm))
    for spot in (*density.hard_patches[:1], *density.sunk[:1]):
        click.echo(f"{spot.because}. Cure: {spot.cure}")
    return np.concatenate([cv2.resize(tile, (TILE, TILE), interpolation=cv2.INTER_AREA) for tile in tiles], axis=1)


def mapped(density: Density, hard: float) -> tuple[Picture, float]:
    """The report's map of cover as pixels, and its px per mm."""
    drawn = str(stiffness_map(density, SIZE_MM, hard))
    style = f"<style>{(ROOT / 'plans/report/report.css').read_text(encoding='utf-8')}</style>"
    drawn = drawn.replace(">", f' class="stiff">{style}', 1).replace(".stiff ", "")
    png = resvg_py.svg_to_bytes(svg_string=drawn, width=MAP_PX)
    chart = Image.open(io.BytesIO(bytes(png))).convert("RGBA")
    drawn_on = Image.new("RGBA", chart.size, "white")
    drawn_on.alpha_composite(chart)
    return np.asarray(drawn_on.convert("RGB")), MAP_PX / (SIZE_MM[0] * (1 + 2 * AIR))


def cut(picture: Picture, corner_mm: Floats, side_mm: float, px_per_mm: float) -> Picture:
    """A square of a picture; white where it ends."""
    first, size = np.round(corner_mm * px_per_mm).astype(int), round(side_mm * px_per_mm)
    padded = np.pad(picture, ((size, size), (size, size), (0, 0)), constant_values=255)
    return np.asarray(padded[size + first[1] : 2 * size + first[1], size + first[0] : 2 * size + first[0]])


@click.command()
@click.argument("out", default="faults.png")
def main(out: str) -> None:
    """Draw the sheet."""
    sheet = [np.concatenate([views(wrong), views(right)], axis=1) for wrong, right in FAULTS]
    Image.fromarray(np.concatenate(sheet, axis=0)).save(out)


if __name__ == "__main__":
    main()
