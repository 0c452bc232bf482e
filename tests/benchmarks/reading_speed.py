"""What reading and tracing cost, in processor seconds: a photo-sized JPEG by stage, and many regions against few.

    python tests/benchmarks/reading_speed.py [--runs 3] [--art images/saltmarsh-crest.svg]

The JPEG is the artwork drawn 4,000 px wide, cut or padded to 3,000 px, quality 85: 12 MP. A stage's seconds are those
under its function, best of the runs, after one run that pays for imports; stages are those of one level, so they
add up. The ratio is of two pictures of equal size and equally much colour, as 300 squares, discs and stars and as 30.
"""

from __future__ import annotations

import argparse
import cProfile
import pstats
import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import resvg_py
from numpy.typing import NDArray
from PIL import Image

from analyse import read_artwork
from analyse.tracing import trace

ROOT = Path(__file__).parents[2]
GOAL_S, GOAL_RATIO = 0.75, 1.5
SIZE = (4000, 3000)
RATIO_SIZE = (1600, 1200)
COVERED = 0.3  # share of the picture under shapes, for any number of them
# function, file it is in, what it does; those indented are part of the one above
STAGES = (
    ("read_artwork", "files/__init__.py", "decode and reduce"),
    ("correct", "scans/__init__.py", "is it a scan or photograph"),
    ("read_colours", "colours/reading.py", "colours of all pixels"),
    ("local_span", "flats.py", "  spans"),
    ("find_gradients", "gradients.py", "  gradients"),
    ("find_flats", "flats.py", "  flat colours"),
    ("explain", "reading.py", "  edges as mixtures"),
    ("settle", "settling.py", "  unsure edge pixels"),
    ("agree", "agreeing.py", "  unsure colours"),
    ("without_specks", "specks.py", "specks"),
    ("_sewn", "tracing.py", "ground"),
    ("map_regions", "mapping.py", "regions and outlines"),
    ("saddles", "connected.py", "  crossings (specks' too)"),
    ("connect", "connected.py", "  pieces (specks' too)"),
    ("find_cracks", "cracks.py", "  cracks"),
    ("offsets", "subpixel.py", "  sub-pixel places"),
    ("fit", "outlines.py", "  outlines"),
    ("_sound", "mapping.py", "  coverage"),
    ("_as_regions", "mapping.py", "  nesting and neighbours"),
)


def as_jpeg(art: Path) -> bytes:
    """The artwork as a JPEG of 12 MP."""
    wide, high = SIZE
    png = bytes(resvg_py.svg_to_bytes(svg_path=str(art), width=wide, background="white"))
    drawn = Image.open(BytesIO(png)).convert("RGB")
    picture = Image.new("RGB", SIZE, "white")
    picture.paste(drawn, (0, min(0, (high - drawn.height) // 2)))
    kept = BytesIO()
    picture.save(kept, "JPEG", quality=85)
    return kept.getvalue()


def shapes(count: int) -> bytes:
    """A PNG of `count` squares, discs and stars in six colours that cover COVERED of it."""
    wide, high = RATIO_SIZE
    columns = round(np.sqrt(count * wide / high))
    rows = -(-count // columns)
    side = np.sqrt(COVERED * wide * high / count)
    picture: NDArray[np.uint8] = np.full((4 * high, 4 * wide, 3), 255, np.uint8)
    colours = [(200, 30, 40), (20, 60, 160), (250, 190, 20), (10, 120, 60), (40, 40, 40), (230, 120, 160)]
    for number in range(count):
        row, column = divmod(number, columns)
        middle = np.array([(column + 0.5) * wide / columns, (row + 0.5) * high / rows])
        corners = {0: 4, 1: 60, 2: 10}[number % 3]
        angles = np.linspace(0, 2 * np.pi, corners, endpoint=False) + number
        reach = np.where((np.arange(corners) % 2 == 0) | (corners != 10), 1.0, 0.5)
        ring = middle + (reach * np.stack([np.cos(angles), np.sin(angles)])).T * side * 0.65
        cv2.fillPoly(picture, [np.rint(ring * 64).astype(np.int32)], colours[number % 6], shift=4)
    small = cv2.resize(picture, RATIO_SIZE, interpolation=cv2.INTER_AREA)
    return bytes(cv2.imencode(".png", small[..., ::-1])[1])


def spent(work: Callable[[], Any]) -> tuple[float, Any]:
    """Processor seconds, and what came of it."""
    begun = time.process_time()
    result = work()
    return time.process_time() - begun, result


def by_stage(data: bytes) -> dict[str, float]:
    """Processor seconds under each stage's function, in one run."""
    profile = cProfile.Profile(time.process_time)
    profile.runcall(lambda: trace(read_artwork(data)))
    seconds: dict[str, float] = {}
    for (file, _, function), (*_, under, _callers) in pstats.Stats(profile).stats.items():
        for name, where, told in STAGES:
            if function == name and Path(file).as_posix().endswith(where):
                seconds[told] = max(seconds.get(told, 0.0), under)
    return seconds


def main() -> None:
    """Print the profile and the ratio."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--art", type=Path, default=ROOT / "images/saltmarsh-crest.svg")
    options = parser.parse_args()
    data = as_jpeg(options.art)
    drawing = trace(read_artwork(data))
    high, wide = drawing.labels.shape
    whole = min(spent(lambda: trace(read_artwork(data)))[0] for _ in range(options.runs))
    runs = [by_stage(data) for _ in range(options.runs)]
    print(
        f"{options.art.name} as a JPEG of {SIZE[0]} x {SIZE[1]} px, {len(data) // 1000} kB, read at {wide} x {high} px:"
    )
    print(f"{len(drawing.palette)} colours, {len(drawing.regions)} regions; processor seconds, best of {options.runs}")
    for _, _, told in STAGES:
        if told in runs[0]:
            print(f"  {told:30}{min(run[told] for run in runs):7.3f}")
    print(f"  {'all':30}{whole:7.3f}   goal {GOAL_S}")
    counts, costs = [], []
    for count in (30, 300):
        data = shapes(count)
        taken = [spent(lambda file=data: trace(read_artwork(file))) for _ in range(options.runs)]
        counts.append(len(taken[0][1].regions))
        costs.append(min(seconds for seconds, _ in taken))
    told = ", ".join(f"{count} regions {cost:.3f} s" for count, cost in zip(counts, costs, strict=True))
    print(f"{told}: {costs[1] / costs[0]:.2f} times   goal {GOAL_RATIO}")


if __name__ == "__main__":
    main()
