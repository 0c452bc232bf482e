"""Lettering sewn large is read off the sew-out, sewn tiny it closes up. The reader is tesseract."""

from __future__ import annotations

import io
import subprocess

import numpy as np
from PIL import Image

from plans.sewout import draw_sewout
from plans.values import Lay
from tests.plans.sewout.pieces import Sewn, sew, sized_of, zigzag

STROKES = {
    "H": ((0, 0, 0, 1), (0.6, 0, 0.6, 1), (0, 0.5, 0.6, 0.5)),
    "I": ((0, 0, 0, 1),),
    "L": ((0, 0, 0, 1), (0, 1, 0.5, 1)),
    "T": ((0, 0, 0.6, 0), (0.3, 0, 0.3, 1)),
    "E": ((0, 0, 0, 1), (0, 0, 0.5, 0), (0, 0.5, 0.45, 0.5), (0, 1, 0.5, 1)),
    "F": ((0, 0, 0, 1), (0, 0, 0.5, 0), (0, 0.5, 0.45, 0.5)),
}
"""Letters of straight strokes, a capital high, y down."""
WIDE = {"H": 0.6, "I": 0.0, "L": 0.5, "T": 0.6, "E": 0.5, "F": 0.5}
WORDS = ("HILL", "FILE", "TILT", "LEFT", "THE", "FELT")


def sewn_word(word: str, cap_mm: float) -> list[Sewn]:
    """A word as columns; a stroke is 0.16 of a capital, sewn 1.0 mm at least, with 0.1 mm of pull each side."""
    wide, x, sewn = max(0.16 * cap_mm, 1.0) + 0.2, 0.0, []
    for letter in word:
        for x0, y0, x1, y1 in STROKES[letter]:
            left, top = (x + min(x0, x1)) * cap_mm, min(y0, y1) * cap_mm
            if x0 == x1:
                points = zigzag(top, left - wide / 2, cap_mm * abs(y1 - y0), wide)[:, ::-1]
            else:
                points = zigzag(left, top - wide / 2, cap_mm * abs(x1 - x0), wide)
            sewn.append((points, "column", 0, Lay.TOP))
        x += WIDE[letter] + 0.36
    return sewn


def read(cap_mm: float) -> int:
    """How many of the words tesseract reads off their sew-outs."""
    lines = []
    for word in WORDS:
        sized = sized_of([(10, 14, 30)], (3.6 * cap_mm, cap_mm), cloth_rgb=(255, 255, 255))
        lines.append(draw_sewout(*sew(sewn_word(word, cap_mm)), sized, dpi=200))
    most = max(line.shape[1] for line in lines)
    sheet = np.concatenate(
        [np.pad(line, ((0, 0), (0, most - line.shape[1]), (0, 0)), constant_values=245) for line in lines]
    )
    buffer = io.BytesIO()
    Image.fromarray(sheet).convert("L").save(buffer, "png", dpi=(200, 200))
    told = subprocess.run(
        ["tesseract", "stdin", "stdout", "--psm", "6"], input=buffer.getvalue(), capture_output=True, check=True
    ).stdout.decode()
    return sum(word in told.upper().split() for word in WORDS)


def test_words_are_read_large_and_lost_tiny() -> None:
    large, tiny = read(8.0), read(1.6)
    assert large >= len(WORDS) - 1
    assert tiny <= len(WORDS) // 3
