"""The states in which customers send artwork, derived from the SVGs in images/ and always the same.

`python -m tests.artworks.states` writes the files of STATES; every function returns the file's bytes.
"""

from __future__ import annotations

import io
import zlib
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import resvg_py
from numpy.typing import NDArray
from PIL import Image

from tests.artworks.vector_pdf import pdf_of

IMAGES = Path(__file__).parents[2] / "images"
Picture = NDArray[np.uint8]
Floats = NDArray[np.float64]

PAPER = np.array([250.0, 248.0, 243.0])
DESK = np.array([96.0, 78.0, 64.0])
A5_MM = (148.0, 210.0)
SCAN_DPI, SCAN_TURN_DEG = 200, 1.4
PRINT_MM = 110.0


def rendered(svg: Path, width: int) -> Picture:
    """(H, W, 4) uint8, straight alpha."""
    png = bytes(resvg_py.svg_to_bytes(svg_path=str(svg), width=width, skip_system_fonts=True))
    return np.array(Image.open(io.BytesIO(png)).convert("RGBA"))


def on_ground(rgba: Picture, ground: Floats) -> Floats:
    alpha = rgba[..., 3:] / 255.0
    return rgba[..., :3] * alpha + ground * (1 - alpha)


def seeded(svg: Path, state: str) -> np.random.Generator:
    return np.random.default_rng(zlib.crc32(f"{svg.stem} {state}".encode()))


def encoded(picture: NDArray[np.generic], kind: str, **options: object) -> bytes:
    file = io.BytesIO()
    Image.fromarray(np.clip(np.rint(picture), 0, 255).astype(np.uint8)).save(file, kind, **options)
    return file.getvalue()


def grain(shape: tuple[int, int], rng: np.random.Generator, coarse_px: float) -> Floats:
    """Smooth noise of unit deviation, `coarse_px` across."""
    noise = cv2.GaussianBlur(rng.standard_normal(shape), (0, 0), coarse_px)
    return noise / noise.std()


# ---------------------------------------------------------------- the states


def clear(svg: Path) -> bytes:
    """A clean PNG with a transparent ground."""
    return encoded(rendered(svg, 1200), "PNG", optimize=True)


def on_white(svg: Path) -> bytes:
    """A clean PNG on white."""
    return encoded(on_ground(rendered(svg, 1200), np.full(3, 255.0)), "PNG", optimize=True)


def small(svg: Path) -> bytes:
    """A JPEG off a website: 300 px wide, with artefacts."""
    return encoded(on_ground(rendered(svg, 300), np.full(3, 255.0)), "JPEG", quality=38)


def sheet(svg: Path, dpi: float) -> Floats:
    """The artwork printed on a sheet of A5, upright."""
    scale = dpi / 25.4
    width, height = (round(side * scale) for side in A5_MM)
    art = rendered(svg, round(PRINT_MM * scale))
    page = np.broadcast_to(PAPER, (height, width, 3)).copy()
    top, left = round(0.42 * (height - art.shape[0])), (width - art.shape[1]) // 2
    page[top : top + art.shape[0], left : left + art.shape[1]] = on_ground(art, PAPER)
    return page


def scan(svg: Path) -> bytes:
    """A print laid on a scanner: a slight turn, paper grain, ink bleed, a lid that lets a little light fall."""
    rng = seeded(svg, "scan")
    page = sheet(svg, SCAN_DPI)
    height, width = page.shape[:2]
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), SCAN_TURN_DEG, 1.0)
    page = cv2.warpAffine(page, turn, (width, height), flags=cv2.INTER_AREA, borderValue=(*PAPER,))
    page = cv2.GaussianBlur(page, (0, 0), 0.8)
    page += (1.6 * grain((height, width), rng, 1.1) + 1.2 * grain((height, width), rng, 9.0))[..., None]
    page *= np.linspace(1.0, 0.955, width)[None, :, None]
    page += rng.normal(0, 1.0, page.shape)
    return encoded(page, "JPEG", quality=84, dpi=(SCAN_DPI, SCAN_DPI))


def photo(svg: Path) -> bytes:
    """A print on a desk, photographed by hand: perspective, falling light, noise."""
    rng = seeded(svg, "photo")
    page = sheet(svg, 220)
    height, width = 1600, 1200
    corners = np.array([[0, 0], [page.shape[1], 0], [page.shape[1], page.shape[0]], [0, page.shape[0]]], np.float32)
    seen = np.array([[182, 168], [1010, 128], [1106, 1436], [92, 1392]], np.float32)
    view = cv2.getPerspectiveTransform(corners, seen)
    desk = DESK + (7 * cv2.GaussianBlur(rng.standard_normal((height, width)), (0, 0), 40, sigmaY=2) * 12)[..., None]
    shown = cv2.warpPerspective(page, view, (width, height), flags=cv2.INTER_AREA)
    cover = cv2.warpPerspective(np.ones(page.shape[:2]), view, (width, height), flags=cv2.INTER_AREA)[..., None]
    shadow = 1 - 0.45 * cv2.GaussianBlur(np.roll(cover[..., 0], (14, 10), (0, 1)), (0, 0), 14)[..., None]
    picture = shown + desk * shadow * (1 - cover)
    y, x = np.mgrid[0:height, 0:width] / max(height, width)
    light = 1.04 - 0.42 * np.hypot(x - 0.18, y - 0.12) ** 1.3
    picture = picture * light[..., None] * np.array([1.01, 0.985, 0.93])
    picture = cv2.GaussianBlur(picture, (0, 0), 0.9)
    noise = rng.normal(0, 1, picture.shape) * (2.0 + 0.012 * picture)
    return encoded(picture + noise, "JPEG", quality=82)


def document(svg: Path) -> bytes:
    """A PDF with the drawing as vector paths, 90 mm wide."""
    return pdf_of(svg, width_mm=90.0)


STATES: dict[str, tuple[str, Callable[[Path], bytes]]] = {
    "saltmarsh-crest.png": ("saltmarsh-crest", clear),
    "saltmarsh-crest-on-white.png": ("saltmarsh-crest", on_white),
    "saltmarsh-crest-small.jpg": ("saltmarsh-crest", small),
    "saltmarsh-crest-scan.jpg": ("saltmarsh-crest", scan),
    "saltmarsh-crest-photo.jpg": ("saltmarsh-crest", photo),
    "saltmarsh-crest.pdf": ("saltmarsh-crest", document),
    "merrow-sails.png": ("merrow-sails", on_white),
    "merrow-sails-small.jpg": ("merrow-sails", small),
    "regatta-white.png": ("regatta-white", clear),
    "brightwater-pike-scan.jpg": ("brightwater-pike", scan),
    "brockhurst-badger.png": ("brockhurst-badger", on_white),
    "skerry-puffin-photo.jpg": ("skerry-puffin", photo),
    "hearth-and-rye.pdf": ("hearth-and-rye", document),
    "tern-point.png": ("tern-point", clear),
}


def main() -> None:
    for name, (stem, state) in STATES.items():
        (IMAGES / name).write_bytes(state(IMAGES / f"{stem}.svg"))


if __name__ == "__main__":
    main()
