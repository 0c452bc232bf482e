"""Does lettering still read? Tesseract reads flat artwork and its sew-out at capitals from 10 down to 2 mm.

Run: python tests/benchmarks/sewout_lettering.py [--on CLOTH]. Needs the tesseract command. Of the words tesseract reads
on the flat artwork, the share it reads on the sew-out is printed for each size, beside the plan's own word on the
lettering. Held: 90 % and more from capitals of 6 mm up; as size falls the share never rises by more than 5 points.
"""

from __future__ import annotations

import argparse
import io
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

FONT = "/usr/share/fonts/truetype/dejavu/DejaVuSans-Bold.ttf"
LINES = ("HARBOUR LIGHT", "MARSH ROWING", "CLUB BRIDGE", "WINTER REGATTA", "NORTH STATION", "GARDEN MARKET")
CAP_PX = 90
SIZES_MM = (10.0, 8.0, 7.0, 6.0, 5.0, 4.0, 3.0, 2.0)


def artwork() -> tuple[Image.Image, float]:
    """Black words on white, and the width of their extent in capitals."""
    font = ImageFont.truetype(FONT, round(CAP_PX / 0.729))
    width = round(max(font.getlength(line) for line in LINES)) + 80
    picture = Image.new("RGB", (width, 80 + 2 * CAP_PX * len(LINES)), "white")
    draw = ImageDraw.Draw(picture)
    for number, line in enumerate(LINES):
        draw.text((40, 40 + 2 * CAP_PX * number), line, font=font, fill=(20, 24, 40))
    ink = np.asarray(picture.convert("L")) < 128
    across = np.flatnonzero(ink.any(axis=0))
    return picture, (across[-1] - across[0] + 1) / CAP_PX


def words_read(picture: Image.Image) -> set[str]:
    """What tesseract reads of the words there are."""
    buffer = io.BytesIO()
    picture.convert("L").save(buffer, "png", dpi=(300, 300))
    told = subprocess.run(
        ["tesseract", "stdin", "stdout", "--psm", "6"], input=buffer.getvalue(), capture_output=True, check=True
    ).stdout.decode()
    return {word for line in LINES for word in line.split() if word in told.upper().split()}


def main() -> None:
    """Print the curve; exit 1 if it breaks a promise."""
    from analyse import read_artwork, trace
    from plans import Job, make_plan
    from plans.sewout import draw_sewout

    options = argparse.ArgumentParser()
    options.add_argument("--on", default="twill")
    cloth = options.parse_args().on
    picture, caps_wide = artwork()
    flat = words_read(picture)
    buffer = io.BytesIO()
    picture.save(buffer, "png")
    drawing = trace(read_artwork(buffer.getvalue()))
    print(f"{len(flat)} of {sum(len(line.split()) for line in LINES)} words read on the flat artwork; cloth {cloth}")
    shares = []
    for cap_mm in SIZES_MM:
        sized = drawing.at(width_mm=cap_mm * caps_wide, cloth=cloth, cloth_rgb=(255, 255, 255))
        plan = make_plan(sized, Job())
        sewn = Image.fromarray(draw_sewout(plan.stitches, plan.steps, sized, dpi=300))
        shares.append(len(words_read(sewn) & flat) / len(flat))
        states = [feature.state for feature in sized.detail.features if feature.kind == "lettering"]
        print(
            f"capitals {cap_mm:4.1f} mm: {shares[-1]:4.0%} read; the plan says {', '.join(sorted(set(states))) or '-'}"
            f" ({plan.verdict}), detail kept {plan.laid.detail_kept:.2f}",
            flush=True,
        )
    held = all(share >= 0.9 for share, size in zip(shares, SIZES_MM, strict=True) if size >= 6)
    falling = all(smaller <= larger + 0.05 for larger, smaller in pairwise(shares))
    print(
        f"90 % from 6 mm: {'held' if held else 'NOT held'}; never rises by more than 5 points: "
        f"{'held' if falling else 'NOT held'}"
    )
    raise SystemExit(0 if held and falling else 1)


if __name__ == "__main__":
    main()
