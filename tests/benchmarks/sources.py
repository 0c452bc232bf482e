"""What a source is said to be, against what it is: a confusion table.

python tests/benchmarks/sources.py --cache DIR [--count 30] [--part development|held-back|all] [--truth WHAT]

Flat art: openmoji and maki as in reading.py, saved as customers save it; shaded art: fluent-emoji (npm, MIT), whose
drawings are of gradients; photographs of things: the sample pictures of scikit-image and scikit-learn and those that
gradio, imgaug and matplotlib ship (pip download, not installed). Thumbnails, screenshots, watermarks and prints are
made of the flat art. All is fetched by package name into --cache the first time; nothing of it is shipped.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import json
import subprocess
import sys
import tarfile
import zipfile
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import resvg_py
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from reading_art import art_files, fetched_maki, is_held_back, render
from scans_states import photographed, scanned

from analyse import read_artwork
from analyse.files import fonts
from analyse.scans import correct, judge_source

Picture = NDArray[np.uint8]
KINDS = ("flat", "shaded", "photograph", "print")
MARKS = ("enlarged", "screenshot", "watermark")
SHADED = "@iconify-json/fluent-emoji"
# Of scikit-image's pictures these show no thing: a page, its letters, a drawing, patterns made by formula.
NO_THINGS = ("page", "text", "phantom", "color", "horse", "logo", "chessboard", "cell", "microaneurysms", "multipage")
WAYS = (Image.Resampling.BICUBIC, Image.Resampling.BILINEAR, Image.Resampling.LANCZOS, Image.Resampling.NEAREST)
SCREENS = ((1920, 1080), (1366, 768), (2880, 1800), (1179, 2556), (1080, 2400), (1170, 2532))


@dataclass(frozen=True, slots=True)
class Case:
    """truth: one of the kinds or marks. said: what it may be called, kinds and marks."""

    truth: str
    name: str
    data: bytes


def saved(picture: Picture | Image.Image, kind: str = "png", **options: object) -> bytes:
    stream = io.BytesIO()
    image = picture if isinstance(picture, Image.Image) else Image.fromarray(picture)
    image.save(stream, kind, **options)
    return stream.getvalue()


def sized(picture: Picture, factor: float, way: Image.Resampling = Image.Resampling.BICUBIC) -> Picture:
    image = Image.fromarray(picture)
    return np.asarray(image.resize((max(8, round(image.width * factor)), max(8, round(image.height * factor))), way))


def flat(path: Path, number: int) -> Iterator[tuple[str, bytes]]:
    yield "png", saved(render(path, 1000, smooth=True))
    yield "jpeg 75", saved(render(path, 1000, smooth=True), "jpeg", quality=75)
    yield "300 px", saved(render(path, 300, smooth=True), "jpeg", quality=85)
    yield "webp", saved(render(path, 800, smooth=True), "webp", quality=80)
    yield "gif", saved(Image.fromarray(render(path, 500, smooth=True)).quantize(64), "gif")


def enlarged(path: Path, number: int) -> Iterator[tuple[str, bytes]]:
    factor, way = (2.5, 3, 4, 6, 8)[number % 5], WAYS[number // 5 % 4]
    small = render(path, round(1200 / factor), smooth=True)
    yield f"x{factor:g} {way.name.lower()}", saved(sized(small, factor, way))
    sent = np.asarray(Image.open(io.BytesIO(saved(small, "jpeg", quality=80))))
    yield f"jpeg x{factor:g}", saved(sized(sent, factor), "jpeg", quality=85)


def on_screen(path: Path, number: int) -> Iterator[tuple[str, bytes]]:
    """A viewer's window: bars above and below, the art between; as it is, and as a messenger passes it on."""
    wide, high = SCREENS[number % len(SCREENS)]
    dark = number // len(SCREENS) % 2 == 1
    upright = high > wide
    screen = Image.new("RGB", (wide, high), (32, 33, 36) if dark else (255, 255, 255))
    pen = ImageDraw.Draw(screen)
    bar, foot = (round(0.055 * high), round(0.045 * high)) if not upright else (round(0.045 * high), round(0.06 * high))
    pen.rectangle([0, 0, wide, bar], fill=(60, 62, 66) if dark else (222, 225, 230))
    pen.rectangle([0, high - foot, wide, high], fill=(20, 20, 22) if dark else (241, 243, 244))
    pen.text((wide // 30, bar // 4), "crest.png", fill=(150, 150, 150), font=font(bar // 2))
    pen.text((wide - wide // 6, bar // 4), "10:42", fill=(150, 150, 150), font=font(bar // 2))
    side = round(0.8 * min(wide, high - bar - foot))
    art = Image.fromarray(render(path, side, smooth=True))
    art.thumbnail((side, side))
    screen.paste(art, ((wide - art.width) // 2, bar + (high - bar - foot - art.height) // 2))
    yield f"{wide} x {high}", saved(screen)
    screen.thumbnail((1600, 1600), Image.Resampling.BICUBIC)
    yield f"{wide} x {high} passed on", saved(screen, "jpeg", quality=80)


def font(size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(fonts.BOLD), max(8, size))


def marked(path: Path, number: int) -> Iterator[tuple[str, bytes]]:
    """Words laid over the art again and again, at an angle, white or grey, as shops of pictures do."""
    art = Image.fromarray(render(path, 1000, smooth=True)).convert("RGBA")
    clear, grey = (40, 60, 90)[number % 3], (128, 0, 255, 90)[number % 4] if number % 2 else 128
    grey = 128 if grey == 255 else grey  # white on white paper is not there
    tile = Image.new("RGBA", (2 * art.width, 2 * art.height), (0, 0, 0, 0))
    pen = ImageDraw.Draw(tile)
    step_x, step_y = (260, 340, 430)[number % 3], (110, 160, 230)[number // 3 % 3]
    for row, y in enumerate(range(0, tile.height, step_y)):
        for x in range(-(row % 2) * step_x // 2, tile.width, step_x):
            pen.text(
                (x, y), ("SAMPLE", "PROOF", "clubart.example")[number % 3], fill=(grey,) * 3 + (clear,), font=font(44)
            )
    turned = tile.rotate((0, 30, 45, -30)[number // 2 % 4], Image.Resampling.BICUBIC)
    left, top = (turned.width - art.width) // 2, (turned.height - art.height) // 2
    over = turned.crop((left, top, left + art.width, top + art.height))
    whole = Image.alpha_composite(art, over).convert("RGB")
    yield "png", saved(whole)
    yield "jpeg 85", saved(whole, "jpeg", quality=85)


def printed(path: Path, number: int) -> Iterator[tuple[str, bytes]]:
    art = render(path, 1000, smooth=True)
    yield "photo", photographed(art, number).data
    yield "scan", scanned(art, number).data


def shaded(drawing: str, number: int) -> Iterator[tuple[str, bytes]]:
    def drawn(wide: int) -> Picture:
        png = bytes(resvg_py.svg_to_bytes(svg_string=drawing, width=wide, background="white"))
        return np.asarray(Image.open(io.BytesIO(png)).convert("RGB"))

    yield "png", saved(drawn(1000))
    yield "jpeg 80", saved(drawn(1000), "jpeg", quality=80)
    yield "400 px", saved(drawn(400), "jpeg", quality=85)


def thing(picture: Picture) -> Iterator[tuple[str, bytes]]:
    """A photograph as it is, large and sharp, small and pressed hard, and as a screen's software saves it."""
    yield "jpeg 90", saved(picture, "jpeg", quality=90)
    yield "passed around", saved(sized(picture, min(1.0, 600 / max(picture.shape))), "jpeg", quality=60)
    yield "enlarged", saved(sized(picture, 2.5), "jpeg", quality=85)
    yield "webp", saved(picture, "webp", quality=75)


def shaded_art(store: Path) -> list[tuple[str, str]]:
    """Names and SVGs with gradients, in an order that says nothing."""
    store.mkdir(parents=True, exist_ok=True)
    if not (store / "package/icons.json").exists():
        subprocess.run(["npm", "pack", "--silent", SHADED], cwd=store, check=True, capture_output=True)
        with tarfile.open(next(store.glob("*.tgz"))) as packed:
            packed.extractall(store, filter="data")
    icons = json.loads((store / "package/icons.json").read_text("utf-8"))["icons"]
    names = sorted(
        (name for name in icons if "-skin" not in name), key=lambda name: hashlib.sha256(name.encode()).digest()
    )
    start = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32" width="32" height="32">'
    return [(name, f"{start}{icons[name]['body']}</svg>") for name in names if "Gradient" in icons[name]["body"]]


def photographs(store: Path) -> Iterator[tuple[str, Picture]]:
    """Sample pictures of other libraries that show things."""
    for library, inside in (("skimage", "data"), ("sklearn", "datasets/images")):
        spec = find_spec(library)
        assert spec
        assert spec.origin
        for path in sorted((Path(spec.origin).parent / inside).iterdir()):
            if path.suffix in (".png", ".jpg") and not path.stem.startswith(NO_THINGS):
                yield path.stem, np.asarray(Image.open(path).convert("RGB"))
    store.mkdir(parents=True, exist_ok=True)
    for package in ("gradio==6.31.0", "imgaug==0.4.0", "matplotlib==3.11.2"):
        name = package.partition("==")[0]
        if not list(store.glob(f"{name}-*.whl")):
            subprocess.run([sys.executable, "-m", "pip", "download", "--no-deps", "-q", package], cwd=store, check=True)
        with zipfile.ZipFile(next(store.glob(f"{name}-*.whl"))) as packed:
            seen: set[str] = set()
            for entry in packed.namelist():
                stem = Path(entry).stem
                if entry.endswith((".jpg", ".jpeg")) and stem not in seen and "copy" not in stem:
                    seen.add(stem)
                    yield stem, np.asarray(Image.open(io.BytesIO(packed.read(entry))).convert("RGB"))


def cases(cache: Path, count: int, chosen: Callable[[str], bool], truths: set[str]) -> Iterator[Case]:
    makers = {"flat": flat, "enlarged": enlarged, "screenshot": on_screen, "watermark": marked, "print": printed}
    files = [path for path in art_files(fetched_maki(cache / "maki")) if chosen(path.name)][:count]
    for truth, make in makers.items():
        for number, path in enumerate(files if truth in truths else []):
            for state, data in make(path, number):
                yield Case(truth, f"{path.stem} {state}", data)
    for number, (name, drawing) in enumerate(shaded_art(cache / "fluent")[: 3 * count] if "shaded" in truths else []):
        if chosen(name):
            for state, data in shaded(drawing, number):
                yield Case("shaded", f"{name} {state}", data)
    for name, picture in photographs(cache / "photographs") if "photograph" in truths else ():
        if chosen(name):
            for state, data in thing(picture):
                yield Case("photograph", f"{name} {state}", data)


def said_of(data: bytes) -> tuple[str, set[str]]:
    """The kind and the marks a reader of the report is told."""
    artwork = read_artwork(data)
    flat_again = correct(artwork)
    source = judge_source(flat_again)
    kind = "print" if flat_again is not artwork and source.kind == "flat" else source.kind
    return kind, {mark for mark in MARKS if getattr(source, mark)}


def is_right(truth: str, kind: str, marks: set[str]) -> bool:
    """Art must be told its kind and carry no mark; a mark must be told of flat art. What else was done to a
    photograph does not matter."""
    if truth in MARKS:
        return truth in marks and kind != "photograph"
    return kind == truth and (truth == "photograph" or not marks)


def main() -> None:
    """Run it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cache", type=Path, required=True)
    parser.add_argument("--count", type=int, default=30, help="drawings of each kind")
    parser.add_argument("--part", choices=("development", "held-back", "all"), default="all")
    parser.add_argument("--truth", nargs="*", choices=(*KINDS, *MARKS), default=(*KINDS, *MARKS))
    parser.add_argument("--each", action="store_true", help="a line for every one told wrong that is not held back")
    options = parser.parse_args()

    def chosen(name: str) -> bool:
        return bool(options.part == "all" or is_held_back(Path(name)) == (options.part == "held-back"))

    told: dict[str, Counter[str]] = defaultdict(Counter)
    for case in cases(options.cache, options.count, chosen, set(options.truth)):
        kind, marks = said_of(case.data)
        right = is_right(case.truth, kind, marks)
        told[case.truth].update(["n", kind, *marks, *(["right"] if right else [])])
        if options.each and not right and not is_held_back(Path(case.name.split()[0])):
            print(f"{case.truth:12}{case.name:44}{kind} {' '.join(sorted(marks))}", file=sys.stderr, flush=True)
    heads = ("n", *KINDS, *MARKS, "right")
    print(f"{'it is':14}" + "".join(f"{head:>12}" for head in heads) + "   %")
    for truth in (*KINDS, *MARKS):
        row = told[truth]
        if row["n"]:
            print(
                f"{truth:14}" + "".join(f"{row[head]:12}" for head in heads) + f"{100 * row['right'] / row['n']:8.1f}"
            )


if __name__ == "__main__":
    main()
