"""Edges of compressed art lie where they were drawn. Source: bars of known width, drawn by resvg, saved by libjpeg."""

import io

import numpy as np
import pytest
import resvg_py
from PIL import Image

from analyse.files import read_artwork
from analyse.tracing import trace
from analyse.values import Drawing
from analyse.widths.measuring import measure
from analyse.widths.profile import percentiles_px

WIDTHS = np.linspace(5.0, 14.0, 24)
PITCH, HALF, ACROSS = 180, 72, 6


def bars(ink: str, ground: str, quality: int) -> Drawing:
    """Bars on a grid, each turned by another angle: no two lie alike on the blocks."""
    lines = ""
    for k, width in enumerate(WIDTHS.tolist()):
        x, y = 105.3 + PITCH * (k % ACROSS), 105.7 + PITCH * (k // ACROSS)
        way = HALF * np.exp(2.4j * k)  # the golden angle: spread evenly
        lines += f'<path d="M{x - way.real},{y - way.imag}L{x + way.real},{y + way.imag}" stroke-width="{width}"/>'
    wide, high = PITCH * ACROSS + 30, PITCH * len(WIDTHS) // ACROSS + 30
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high}"><path fill="{ground}" '
        f'd="M0,0H{wide}V{high}H0Z"/><g stroke="{ink}">{lines}</g></svg>'
    )
    drawn = Image.open(io.BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=svg)))).convert("RGB")
    saved = io.BytesIO()
    drawn.save(saved, "jpeg", quality=quality)
    return trace(read_artwork(saved.getvalue()))


def widths(drawing: Drawing) -> list[float]:
    return sorted(percentiles_px(shape.whole)[1] for shape in measure(drawing).regions)


@pytest.mark.parametrize(("ink", "ground"), [("#14285a", "#ffffff"), ("#0a5a3c", "#f5e6b4")])
def test_strokes_of_a_compressed_picture_are_as_wide_as_they_were_drawn(ink: str, ground: str) -> None:
    found = widths(bars(ink, ground, 60))
    assert len(found) == len(WIDTHS)
    off = np.array(found) - WIDTHS
    assert abs(float(off.mean())) < 0.03  # px
    assert float(np.abs(off).mean()) < 0.05
