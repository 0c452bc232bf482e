"""How well lettering is found and measured: open fonts of known heights and stems, by layout; and what is no lettering.

Run: python tests/benchmarks/lettering.py [FONT FILE NAME ...] [--small]. Every third font was held back: nothing was
fitted to it. Beside it what plain boxes of the letters' regions give (height: the middle one of straight lines' tall
letters), told which regions are letters. Heights and stems: tests/published/
font_strokes.csv. A line counts as found if 90 % of its letters are in one line with at most one thing more; false lines
are those with no letter drawn there. --small: pictures 300 px on the long side instead of about 2,000.
"""

from __future__ import annotations

import io
import sys
import time
from collections import defaultdict
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parent))

import numpy as np
import resvg_py
from lettering_art import SIDE, Sheet, Truth, known, no_letters, ring_sheet, straight_sheet
from PIL import Image

from analyse import read_artwork, trace
from analyse.errors import NothingToSewError
from analyse.lettering.lines import Line, lines_of
from analyse.values import Drawing
from analyse.widths.measuring import measure


def read(svg: str, small: bool) -> tuple[Drawing, tuple[Line, ...], float]:
    """The drawing, its lines, and the seconds of processor time finding them took."""
    source = svg.encode()
    if small:
        picture = Image.open(io.BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=svg, width=300)))).convert("RGBA")
        paper = Image.new("RGBA", picture.size, "white")
        paper.alpha_composite(picture)
        buffer = io.BytesIO()
        paper.convert("RGB").save(buffer, "png")
        source = buffer.getvalue()
    drawing = trace(read_artwork(source, name="sheet.png" if small else "sheet.svg"))
    measures = measure(drawing)
    start = time.process_time()
    lines = lines_of(drawing, measures)
    return drawing, lines, time.process_time() - start


def holders(drawing: Drawing, line: Line) -> list[tuple[float, float, float, float]]:
    """Boxes of a line's letters, in picture units."""
    scale = SIDE / max(drawing.labels.shape)
    background = measure(drawing).background
    shapes = [drawing.regions[i].outline for i in line.alone]
    shapes += [*(background[i].outline for i in line.openings), *line.attached]
    return [tuple(float(v) * scale for v in shape.bounds) for shape in shapes]


def matching(drawing: Drawing, lines: tuple[Line, ...], truth: Truth) -> Line | None:
    """The line that holds nine tenths of the drawn letters, and little else."""
    for line in lines:
        boxes = holders(drawing, line)
        held = sum(any(b[0] < m.real < b[2] and b[1] < m.imag < b[3] for b in boxes) for m in truth.middles)
        if held >= 0.9 * len(truth.middles) and len(boxes) <= len(truth.middles) + 1:
            return line
    return None


def main() -> None:
    """Print the table."""
    small = "--small" in sys.argv
    asked = [each for each in sys.argv[1:] if not each.startswith("--")]
    fonts = asked or list(known())
    found: dict[str, list[bool]] = defaultdict(list)
    errors: dict[str, list[float]] = defaultdict(list)
    missed: list[str] = []
    false = 0
    seconds = []
    for number, name in enumerate(fonts):
        for sheet in (straight_sheet(name), ring_sheet(name)):
            held_back = number % 3 == 2
            try:
                drawing, lines, took = read(sheet.svg, small)
            except NothingToSewError:  # hairlines in a small picture
                _unseen(name, sheet, held_back, found, missed)
                continue
            seconds.append(took)
            for truth in sheet.lines:
                _boxes(drawing, truth, errors)
            false += _added(name, sheet, (drawing, lines), held_back, found, errors, missed)
        hits = [hit for layout, all_of in found.items() for hit in all_of if layout != "held back"]
        off = ", ".join(f"{what} {np.mean(np.abs(values)):.2%}" for what, values in errors.items() if values)
        print(f"{name}: {sum(hits)} of {len(hits)} so far, {false} false; mean errors {off}", flush=True)
    for layout, hits in found.items():
        print(f"{layout:14s} {sum(hits):3d} of {len(hits):3d} found")
    total = [hit for layout, hits in found.items() for hit in hits if layout != "held back"]
    print(f"{'all':14s} {sum(total):3d} of {len(total):3d} found ({np.mean(total):.1%}), {false} false")
    for what, values in sorted((what, values) for what, values in errors.items() if values):
        off = np.abs(values)
        print(f"{what:22s} mean error {off.mean():.2%}, median {np.median(off):.2%}, worst {off.max():.2%}")
    print(f"finding took {np.mean(seconds):.3f} s a sheet, {np.max(seconds):.3f} s at most")
    print("missed:", "; ".join(missed) or "none")
    if not asked:
        _nothing(small)


def _added(
    name: str, sheet: Sheet, read_as: tuple[Drawing, tuple[Line, ...]], held_back: bool, found: dict[str, list[bool]],
    errors: dict[str, list[float]], missed: list[str],
) -> int:  # fmt: skip
    """Add a sheet's score, and if its font was held back also to those that were; false lines."""
    own: dict[str, list[float]] = defaultdict(list)
    hits: dict[str, list[bool]] = defaultdict(list)
    false = _score(name, sheet, *read_as, hits, own, missed)
    for layout, each in hits.items():
        found[layout] += each
        found["held back"] += each if held_back else []
    for what, values in own.items():
        errors[what] += values
        errors[f"{what}, held back"] += values if held_back else []
    return false


def _unseen(name: str, sheet: Sheet, held_back: bool, found: dict[str, list[bool]], missed: list[str]) -> None:
    """Count a sheet on which nothing was seen at all."""
    for truth in sheet.lines:
        found[truth.layout].append(False)
        missed.append(f"{name} {truth.layout}: nothing seen")
        if held_back:
            found["held back"].append(False)


def _score(
    name: str, sheet: Sheet, drawing: Drawing, lines: tuple[Line, ...], found: dict[str, list[bool]],
    errors: dict[str, list[float]], missed: list[str],
) -> int:  # fmt: skip
    scale = SIDE / max(drawing.labels.shape)
    used = set()
    for truth in sheet.lines:
        line = matching(drawing, lines, truth)
        found[truth.layout].append(line is not None)
        if line is None:
            missed.append(f"{name} {truth.layout}")
            continue
        used.add(line.id)
        if not any(letter.isalpha() for letter in truth.text):
            continue  # figures have heights of their own
        if truth.x_height is None or line.x_height is not None:
            errors["capitals"].append(line.cap_height * scale / truth.cap - 1.0)
        else:
            missed.append(f"{name} {truth.layout} not mixed")
        if truth.x_height is not None and line.x_height is not None:
            errors["x-height"].append(line.x_height * scale / truth.x_height - 1.0)
        if truth.stem is not None:
            errors["stem"].append(line.stem * scale / truth.stem - 1.0)
            if abs(errors["stem"][-1]) > 0.05 or abs(line.cap_height * scale / truth.cap - 1.0) > 0.02:
                missed.append(
                    f"{name} {truth.layout} off: stem {errors['stem'][-1]:.1%}, height {line.cap_height * scale:.1f}"
                )
    return len([line for line in lines if line.id not in used and not _of_drawn(drawing, line, sheet)])


def _boxes(drawing: Drawing, truth: Truth, errors: dict[str, list[float]]) -> None:
    """What plain boxes give for a straight line of capitals, told which regions are its letters."""
    if truth.layout not in ("capitals", "light on dark", "ampersand", "wide spacing"):
        return
    scale = SIDE / max(drawing.labels.shape)
    own = [
        region.outline
        for region in drawing.regions
        for left, top, right, bottom in [[value * scale for value in region.outline.bounds]]
        if bottom - top < 2 * truth.cap
        and any(left < middle.real < right and top < middle.imag < bottom for middle in truth.middles)
    ]
    if own:
        tall = np.median([(outline.bounds[3] - outline.bounds[1]) * scale for outline in own])
        errors["plain boxes: capitals"].append(float(tall) / truth.cap - 1.0)


def _of_drawn(drawing: Drawing, line: Line, sheet: Sheet) -> bool:
    """Whether a line holds drawn letters after all: a part of a line, which counts as missed but not as false."""
    boxes = holders(drawing, line)
    middles = [m for truth in sheet.lines for m in truth.middles]
    held = sum(any(b[0] < m.real < b[2] and b[1] < m.imag < b[3] for m in middles) for b in boxes)
    return held > len(boxes) / 2


def _nothing(small: bool) -> None:
    for name, svg in no_letters().items():
        _, lines, took = read(svg, small)
        print(f"no letters, {name}: {len(lines)} lines of {sum(line.letters for line in lines)}, {took:.3f} s")


if __name__ == "__main__":
    main()
