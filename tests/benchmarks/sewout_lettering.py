"""Does lettering still read? Tesseract reads flat artwork and its sew-out at capitals from 10 down to 2 mm.

    python tests/benchmarks/sewout_lettering.py [--on CLOTH] [--faces 3] [--approach side-by-side]

Needs the tesseract command. 18 words in each of several typefaces, read twice, at the picture's own scale and half as
large again, so that one word's luck is a hundredth of the rate. Of the readings that succeed on the flat artwork at the
same size and scale, the share that succeeds on the sew-out is printed for each size, beside the plan's own word on the
lettering. Held: 90 % and more from capitals of 6 mm up; as size falls the share never rises by more than 5 points.
"""

from __future__ import annotations

import argparse
import io
import subprocess
from collections import Counter
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from analyse import read_artwork, trace
from analyse.values import Drawing
from plans.approaches import named
from plans.job import Job
from plans.lay import lay
from plans.layers import survey
from plans.sewout import draw_sewout

FACES = (
    "/usr/share/fonts/truetype/dejavu/DejaVuSans-Bold.ttf",
    "/usr/share/fonts/truetype/liberation/LiberationSans-Bold.ttf",
    "/usr/share/fonts/truetype/dejavu/DejaVuSerif-Bold.ttf",
)
LINES = (
    "HARBOUR LIGHT", "MARSH ROWING", "CLUB BRIDGE", "WINTER REGATTA", "NORTH STATION", "GARDEN MARKET",
    "SILVER ANCHOR", "VALLEY CYCLES", "QUAY JUMPER",
)  # fmt: skip
CAP_PX = 90
SIZES_MM = (10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0)
DPI = 300
SCALES = (1.0, 1.5)
RISE = 0.05
Reading = tuple[str, float]
"""A word, and the scale at which it was read."""


def artwork(face: str) -> tuple[Image.Image, float]:
    """Black words on white, and the width of their extent in capitals."""
    font = ImageFont.truetype(face, 100)
    cap = font.getbbox("H")[3] - font.getbbox("H")[1]
    font = ImageFont.truetype(face, round(CAP_PX * 100 / cap))
    width = round(max(font.getlength(line) for line in LINES)) + 80
    picture = Image.new("RGB", (width, 80 + 2 * CAP_PX * len(LINES)), "white")
    draw = ImageDraw.Draw(picture)
    for number, line in enumerate(LINES):
        draw.text((40, 40 + 2 * CAP_PX * number), line, font=font, fill=(20, 24, 40))
    across = np.flatnonzero((np.asarray(picture.convert("L")) < 128).any(axis=0))
    return picture, (across[-1] - across[0] + 1) / CAP_PX


def readings(picture: Image.Image) -> set[Reading]:
    """What tesseract reads of the words there are, at each scale."""
    found = set()
    for scale in SCALES:
        size = (round(picture.width * scale), round(picture.height * scale))
        buffer = io.BytesIO()
        picture.convert("L").resize(size, Image.Resampling.BICUBIC).save(buffer, "png", dpi=(DPI, DPI))
        told = subprocess.run(
            ["tesseract", "stdin", "stdout", "--psm", "6"], input=buffer.getvalue(), capture_output=True, check=True
        ).stdout.decode()
        found |= {(word, scale) for line in LINES for word in line.split() if word in told.upper().split()}
    return found


@dataclass(frozen=True, slots=True)
class Row:
    """One face at one size: readings on the flat artwork, those of them on the sew-out too, and the plan's word."""

    flat: int
    sewn: int
    state: str
    kinds: str
    kept: float


def row(drawing: Drawing, picture: Image.Image, width_mm: float, cloth: str, approach: str) -> Row:
    """Size, lay and draw it, and read both."""
    sized = drawing.at(width_mm=width_mm, cloth=cloth, cloth_rgb=(255, 255, 255))
    states = {feature.state for feature in sized.detail.features if feature.kind == "lettering"}
    if all(part.kind == "drop" for part in sized.parts):
        return Row(0, 0, "/".join(sorted(states)), "left out", 0.0)
    laid = lay(survey(sized, Job()), named(approach), {})
    sewn = Image.fromarray(draw_sewout(laid.stitches, laid.steps, sized, dpi=DPI))
    drawn = round(width_mm / 25.4 * DPI)
    left, _, right, _ = drawing.extent_px
    size = (round(picture.width * drawn / (right - left)), round(picture.height * drawn / (right - left)))
    flat = readings(picture.resize(size, Image.Resampling.LANCZOS))
    kinds = Counter(step.sewing.kind for step in laid.steps).most_common(1)[0][0]
    return Row(len(flat), len(readings(sewn) & flat), "/".join(sorted(states)) or "-", kinds, laid.detail_kept)


def main() -> None:
    """Print the curve; exit 1 if it breaks a promise."""
    options = argparse.ArgumentParser()
    options.add_argument("--on", default="twill")
    options.add_argument("--faces", type=int, default=len(FACES))
    options.add_argument("--approach", default="side-by-side")
    given = options.parse_args()
    arts = [artwork(face) for face in FACES[: given.faces]]
    drawings = [traced(picture) for picture, _ in arts]
    print(f"{sum(len(line.split()) for line in LINES)} words in {len(arts)} faces on {given.on}, {given.approach}")
    shares = []
    for cap_mm in SIZES_MM:
        rows = [
            row(drawing, picture, cap_mm * wide, given.on, given.approach)
            for drawing, (picture, wide) in zip(drawings, arts, strict=True)
        ]
        shares.append(sum(one.sewn for one in rows) / max(sum(one.flat for one in rows), 1))
        faces = "; ".join(f"{one.sewn} of {one.flat}, {one.state}, {one.kinds}, kept {one.kept:.2f}" for one in rows)
        print(f"capitals {cap_mm:4.1f} mm: {shares[-1]:4.0%} read ({faces})", flush=True)
    held = all(share >= 0.9 for share, size in zip(shares, SIZES_MM, strict=True) if size >= 6)
    falling = all(smaller <= larger + RISE for larger, smaller in pairwise(shares))
    told = {True: "held", False: "NOT held"}
    print(f"90 % from 6 mm: {told[held]}; never rises by more than 5 points: {told[falling]}")
    raise SystemExit(0 if held and falling else 1)


def traced(picture: Image.Image) -> Drawing:
    """The artwork as read from a file."""
    buffer = io.BytesIO()
    picture.save(buffer, "png")
    drawing: Drawing = trace(read_artwork(buffer.getvalue()))
    return drawing


if __name__ == "__main__":
    main()
