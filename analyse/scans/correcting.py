"""What a scan or a photograph of a print is put through before it is read, and what is said about it."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.scans.grain import smoothed
from analyse.scans.light import Light, find_light
from analyse.scans.paper import find_sheet
from analyse.scans.quality import condition_of
from analyse.scans.screen import screen_pitch_px, without_screen
from analyse.scans.skew import LEAST_DEG, level, skew_deg
from analyse.scans.squaring import flat_sheet, laid_flat
from analyse.scans.texture import is_of_edges
from analyse.values import Artwork

_RASTER = {"png", "jpeg", "webp", "avif", "heic", "tiff", "bmp", "gif"}
# Grain, in levels, and share of exactly flat colour that tell a scan or photograph from a clean file.
_GRAINY, _SOILED, _EXACT = 0.45, 0.6, 0.35
# Share of blocks without an edge and, of those, of a few colours, that a print has at least once put right: a picture,
# or a page of fine detail.
_PRINTS = ((0.7, 0.85), (0.45, 0.95))
# Resolution from which a scan of paper states its true size; screens and cameras write 72 or 96.
_SCANNER_DPI = 150.0
# A scan within a document may leave so much of its page bare.
_PAGE_RIM = 0.08
# Shares of a sheet from which light that shines back, and a shadow, are spoken of.
_SHINE, _SHADE = 0.003, 0.015
# Paper is brought to this level first, so that its grain is not cut off before it is smoothed.
_HEADROOM_LEVEL = 238.0


def corrected(artwork: Artwork) -> Artwork:
    """See `analyse.scans.correct`."""
    given = artwork.corners_px is not None
    rgb = _opaque_pixels(artwork)
    if rgb is None:
        return artwork
    condition = condition_of(rgb)
    if not given and condition.grain < _GRAINY and condition.exact > _EXACT:
        return artwork
    squared = _squared(artwork, rgb)
    if squared is artwork and condition.grain < _GRAINY:
        return artwork
    placed = _levelled(_sized(artwork)) if squared is artwork else squared
    light = find_light(np.ascontiguousarray(placed.rgba[..., :3]), sheet=squared is not artwork)
    if light is None:
        return squared if given else artwork
    even = _evened(placed, light)
    return even if given or _is_print(even, sheet=squared is not artwork) else artwork


def _opaque_pixels(artwork: Artwork) -> NDArray[np.uint8] | None:
    """(H, W, 3) of a pixel file without transparency, or of a page that a picture all but fills; None for others."""
    if not (artwork.format in _RASTER or artwork.pictures_within):
        return None
    clear = artwork.rgba[..., 3] != 255
    share = np.count_nonzero(clear) / clear.size
    rgb = np.asarray(cv2.cvtColor(artwork.rgba, cv2.COLOR_RGBA2RGB), np.uint8)
    if artwork.pictures_within and 0 < share < _PAGE_RIM:
        rgb[clear] = 255
    elif share > 0:
        return None
    return rgb


def _is_print(even: Artwork, *, sheet: bool) -> bool:
    """Whether what was put right is flat now, as a print is, and not a thing with something white in the picture.

    sheet: its edges were found, so that what is left of shadows on it does not matter.
    """
    rgb = np.ascontiguousarray(even.rgba[..., :3])
    condition = condition_of(rgb)
    even_enough = any(condition.smooth >= smooth and condition.few >= few for smooth, few in _PRINTS)
    return even_enough and (sheet or is_of_edges(rgb))


def _squared(artwork: Artwork, rgb: NDArray[np.uint8]) -> Artwork:
    corners = artwork.corners_px if artwork.corners_px is not None else find_sheet(rgb)
    height, width = rgb.shape[:2]
    if corners is None:
        return artwork
    flat = flat_sheet(corners, (width, height), artwork.sheet_mm)
    how = "as given" if artwork.corners_px is not None else "found"
    across, down = flat.size_px
    note = f"the sheet was squared: corners {how}, {width:,} x {height:,} px made {across:,} x {down:,}"
    return replace(
        artwork,
        rgba=_opaque(laid_flat(rgb, flat)),
        from_file=flat.matrix @ artwork.from_file,
        px_per_mm=flat.px_per_mm or artwork.px_per_mm,
        corners_px=None,
        notes=(*artwork.notes, note),
    )


def _sized(artwork: Artwork) -> Artwork:
    """A scan of paper: its true size by the sheet given, or by the scanner's own resolution."""
    height, width = artwork.rgba.shape[:2]
    if artwork.sheet_mm is None:
        if artwork.dpi is None or artwork.dpi < _SCANNER_DPI:
            return artwork
        shrunk = max(width, height) / max(artwork.file_px)
        return replace(artwork, px_per_mm=artwork.dpi * shrunk / 25.4)
    across, down = sorted(artwork.sheet_mm, reverse=width > height)
    return replace(artwork, px_per_mm=(width * height / (across * down)) ** 0.5)


def _evened(artwork: Artwork, light: Light) -> Artwork:
    rgb = artwork.rgba[..., :3].astype(np.float32)
    level = rgb * (_HEADROOM_LEVEL / light.field)
    paper = light.field.mean(axis=(0, 1))
    grain = light.grain * _HEADROOM_LEVEL / float(paper.mean())
    even = np.clip(level + 0.5, 0, 255).astype(np.uint8)
    pitch = screen_pitch_px(even)
    if pitch is not None:
        even = without_screen(even, pitch)
    calm = smoothed(even, grain)
    white = _HEADROOM_LEVEL - max(1.5, 1.2 * grain)
    rgb8 = np.clip(calm.astype(np.float32) * (255.0 / white) + 0.5, 0, 255).astype(np.uint8)
    shown = ", ".join(f"{value:.0f}" for value in paper)
    notes = [f"paper made white: it was {shown} of 255, and fell off by {100 * light.spread:.0f} %"]
    if pitch is not None:
        notes.append(f"printing dots, {pitch:.1f} px apart, run together")
    if light.grain >= _SOILED:
        notes.append(f"grain of {light.grain:.1f} levels smoothed")
    notes += _left(light)
    return replace(artwork, rgba=_opaque(rgb8), notes=(*artwork.notes, *notes), grain=light.grain)


def _levelled(artwork: Artwork) -> Artwork:
    """A scan whose sheet shows no edge, by the straight edges on it."""
    rgb = np.ascontiguousarray(artwork.rgba[..., :3])
    askew = skew_deg(rgb)
    if abs(askew) < LEAST_DEG:
        return artwork
    flat, matrix = level(rgb, askew)
    scale = float(np.hypot(*matrix[0, :2]))
    note = f"the sheet lay {abs(askew):.1f} degrees askew, by its straight edges, and was turned level"
    return replace(
        artwork,
        rgba=_opaque(flat),
        from_file=matrix @ artwork.from_file,
        px_per_mm=artwork.px_per_mm and artwork.px_per_mm * scale,
        notes=(*artwork.notes, note),
    )


def _left(light: Light) -> list[str]:
    """What could not be put right."""
    notes = []
    if light.shine >= _SHINE:
        share = max(1, round(100 * light.shine))
        notes.append(f"light shines back from {share} % of the sheet and hides what is there: photograph it again")
    if light.shade >= _SHADE:
        share = round(100 * light.shade)
        notes.append(f"a shadow lies over {share} % of the sheet and may pass for drawing: photograph it again")
    return notes


def _opaque(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    return np.dstack([rgb, np.full(rgb.shape[:2], 255, np.uint8)])
