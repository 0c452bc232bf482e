"""How often a part's kind is right where its width lies near a limit, against the certainty it states.

Bars and arcs of known width, dark on white and red on yellow, are drawn into pictures, read and traced like any
artwork, and sized so that their true widths pass each limit of the trade's bands. What is right follows from the true
width; bars that chance has lined up like letters are left out, as lettering is judged by the line. Printed for clean
pictures of 1,200 px, JPEG of quality 60, and 300 px, and for each range of certainty: what was stated on average, how
often it was right, what these differ by with its sampling error, and of how many answers. Answers about one stroke hang
together, so the sampling error is taken over strokes. A cell can tell 5 points only where twice that error is no more;
one by itself would need 1.96^2 p (1 - p) / .05^2 strokes: 380 at .55, 290 at .75, 73 at .95.
The error model is fitted to strokes of other seeds (410 to 432).
Run: .venv/bin/python tests/benchmarks/kinds.py [SEEDS or FIRST-LAST]
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import cv2
import numpy as np
import resvg_py
import shapely
from numpy.typing import NDArray
from PIL import Image
from shapely import LineString, Polygon

from analyse.files import read_artwork
from analyse.sizing import size_drawing
from analyse.tracing import trace
from analyse.trade import default_trade
from analyse.values import Drawing

WIDTH, HEIGHT, CELL = 1200, 900, 180
LENGTH = 144  # px of every stroke: those a tenth as wide are long enough for borders
STATES = ("clean", "jpeg", "300 px")
BINS = (0.5, 0.6, 0.7, 0.8, 0.9, 0.99, 1.001)
NEAR = 0.12  # a true width within this share of a limit is looked at
STEP = 1.2  # from one design width to the next
CLOSE_PX = 0.04  # and besides, every stroke is brought so near to every limit, in px of the picture that is read
POINTS = 0.05
NAVY, RED, YELLOW, WHITE = (20, 40, 90), (190, 30, 40), (245, 205, 60), (255, 255, 255)


@dataclass(frozen=True)
class Stroke:
    """One drawn stroke: its shape and its true width in px of the 1,200 px picture."""

    shape: Polygon
    width: float


@dataclass(frozen=True)
class Answer:
    """A part's kind near a limit: whether it is right, and how sure it was."""

    limit: str
    right: bool
    certainty: float
    off: float
    stroke: tuple[int, int]


def strokes(seed: int) -> list[Stroke]:
    """Bars and arcs on a grid, each turned and as wide as chance has it."""
    chance = np.random.default_rng(seed)
    found = []
    for y in range(CELL // 2, HEIGHT, CELL):
        for x in range(CELL // 2, WIDTH - CELL // 2, CELL):
            width = float(np.exp(chance.uniform(np.log(2.5), np.log(20))))
            turn, bend = chance.uniform(0, np.pi), chance.choice([0.0, 0.0, 1.2, 2.2])
            along = np.linspace(-1, 1, 40)
            if bend:
                radius = 60 / bend * 1.2
                line = np.column_stack([radius * np.sin(along * bend), radius * (np.cos(along * bend) - 1) + 15])
            else:
                line = np.column_stack([along * 72, np.zeros(40)])
            spun = line @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]) + (x, y)
            found.append(Stroke(LineString(spun).buffer(width / 2, cap_style="flat", quad_segs=16), width))
    return found


def picture(seed: int, *, on_body: bool) -> NDArray[np.uint8]:
    """The strokes drawn, with a mark in each corner so that the extent is known."""
    marks = [shapely.box(x, y, x + 12, y + 12) for x in (0, WIDTH - 12) for y in (0, HEIGHT - 12)]
    shapes = [*marks, *(stroke.shape for stroke in strokes(seed))]
    ways = "".join(f"M{' '.join(f'{x:.3f},{y:.3f}' for x, y in shape.exterior.coords)}Z" for shape in shapes)
    ink, ground = (RED, YELLOW) if on_body else (NAVY, WHITE)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}">'
        f'<path fill="rgb{ground}" d="M0,0H{WIDTH}V{HEIGHT}H0Z"/><path fill="rgb{ink}" d="{ways}"/></svg>'
    )
    drawn = resvg_py.svg_to_bytes(svg_string=svg)
    return np.asarray(Image.open(io.BytesIO(bytes(drawn))).convert("RGB"))


def traced(rgb: NDArray[np.uint8], state: str) -> Drawing:
    data = io.BytesIO()
    if state == "300 px":
        rgb = np.asarray(cv2.resize(rgb, (WIDTH // 4, HEIGHT // 4), interpolation=cv2.INTER_AREA))
    image = Image.fromarray(rgb)
    if state == "jpeg":
        image.save(data, "jpeg", quality=60)
    else:
        image.save(data, "png")
    return trace(read_artwork(data.getvalue()))


def limits(thread: str) -> list[tuple[str, float, str, str]]:
    """Each limit: its name, its drawn width in mm on twill, the kind under it and the kind from it on."""
    trade = default_trade()
    thinnest = float(trade.value("stroke.thinnest", thread=thread)) * (1 - float(trade.value("detail.at_risk")))
    three = float(trade.value("kind.three_passes_under", thread=thread))
    widest = float(trade.value("kind.column_widest")) - 2 * trade.cloth("twill").pull_mm
    return [("thinnest", thinnest, "drop", "running"), ("column", three, "running", "column")] + (
        [("fill", widest, "column", "fill")] if thread == "40" else []
    )


def sizes(drawn: list[Stroke], held: list[tuple[float, float]], seed: int, step: float, close: float) -> list[float]:
    """Design widths in mm: evenly from 5 to 200, and for every stroke one just beside each limit."""
    even = 5.0 * step ** np.arange(int(np.log(200) / np.log(step)))
    beside = np.random.default_rng(seed + 1000).uniform(-close, close, (len(held), len(drawn)))
    limit = np.array([limit_mm for limit_mm, _ in held])[:, None]
    width = np.array([stroke.width for stroke in drawn])[None]
    wide = (np.array([thinner for _, thinner in held])[:, None] > width) & (np.abs(beside) < NEAR * width)
    near = (limit * WIDTH / (width + beside))[wide]
    return [*even.tolist(), *near[near <= 1000.0].tolist()]


def answers(seed: int, state: str, *, on_body: bool, step: float = STEP) -> Iterator[Answer]:
    drawing = traced(picture(seed, on_body=on_body), state)
    drawn = strokes(seed)
    close = CLOSE_PX * WIDTH / drawing.labels.shape[1]
    for thread in ("40", "60"):
        held = limits(thread)
        thinner = [(limit_mm, LENGTH / 10 if name == "fill" else np.inf) for name, limit_mm, *_ in held]
        for width_mm in sizes(drawn, thinner, seed, step, close):
            true = np.array([stroke.width for stroke in drawn]) * width_mm / WIDTH
            near = [(i, limit) for limit in held for i in np.flatnonzero(np.abs(true / limit[1] - 1) < NEAR)]
            near = [(i, limit) for i, limit in near if limit[0] != "fill" or drawn[i].width < LENGTH / 10]
            if not near:
                continue
            sized = size_drawing(drawing, width_mm=width_mm, thread=thread)
            tree = shapely.STRtree([part.outline_mm for part in sized.parts])
            for i, (name, limit_mm, under, over) in near:
                at = shapely.transform(drawn[i].shape.representative_point(), lambda xy: xy * width_mm / WIDTH)  # noqa: B023
                hits = [sized.parts[k] for k in tree.query(at, predicate="intersects").tolist()]
                hits = [part for part in hits if part.width_mm.median < 3 * true[i] and part.role_hint != "letter"]
                if hits:
                    kind = under if true[i] < limit_mm else over
                    off = hits[0].width_mm.median / float(true[i]) - 1
                    yield Answer(name, hits[0].kind == kind, hits[0].certainty, off, (seed, int(i)))


def cells(found: list[Answer]) -> Iterator[tuple[float, float, float, float, float, int]]:
    """For each range of certainty: its ends, what was stated, how often it was right, sampling error, answers."""
    certainty = np.array([answer.certainty for answer in found])
    right = np.array([answer.right for answer in found], dtype=float)
    _, stroke = np.unique([answer.stroke for answer in found], axis=0, return_inverse=True)
    for low, high in pairwise(BINS):
        own = (certainty >= low) & (certainty < high)
        if own.any():
            together = np.bincount(stroke.reshape(-1)[own], (right - certainty)[own])
            error = float(np.sqrt((together**2).sum()) / own.sum())
            yield low, high, float(certainty[own].mean()), float(right[own].mean()), error, int(own.sum())


def told(says: float, right: float, error: float) -> str:
    """What a cell tells of the law."""
    off = abs(says - right)
    if off <= POINTS:
        return "within 5 points" if 2 * error <= POINTS else "within 5 points, as far as so few tell"
    return "OFF by more than 5 points" if off - 2 * error > POINTS else "off by more, which so few may be by chance"


def table(found: list[Answer]) -> list[str]:
    return [
        f"  {low:.2f} to {min(high, 1):.2f}: says {says:.3f}, right {right:.3f}, {right - says:+.3f} "
        f"(+- {error:.3f}), of {count:,}: {told(says, right, error)}"
        for low, high, says, right, error, count in cells(found)
    ]


def main() -> None:
    first, _, last = (sys.argv[1] if len(sys.argv) > 1 else "12").rpartition("-")
    seeds = range(int(first), int(last) + 1) if first else range(int(last))
    verdicts: dict[str, int] = {}
    for state in STATES:
        for on_body in (False, True):
            found = [answer for seed in seeds for answer in answers(seed, state, on_body=on_body)]
            off = np.array([answer.off for answer in found])
            print(
                f"{state}, {'on a body' if on_body else 'on cloth'}: widths off by {off.mean():+.2%}, {off.std():.2%}"
            )
            print(*table(found), sep="\n", flush=True)
            for _, _, says, right, error, _ in cells(found):
                verdict = told(says, right, error)
                verdicts[verdict] = verdicts.get(verdict, 0) + 1
            for name in ("thinnest", "column", "fill"):
                own = [answer for answer in found if answer.limit == name]
                if own:
                    print(f" {name}", *table(own), sep="\n", flush=True)
    print(
        f"of {sum(verdicts.values())} cells",
        *(f"{count} {verdict}" for verdict, count in sorted(verdicts.items())),
        sep="; ",
    )


if __name__ == "__main__":
    main()
