"""What a source can show: its kind, its real detail, what stands in the way, and what to ask the customer for."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import cv2
import numpy as np

from analyse.scans.overlay import has_repeated_overlay
from analyse.scans.quality import Condition, condition_of
from analyse.scans.screens import is_screenshot
from analyse.scans.spectrum import finest_px
from analyse.scans.texture import is_textured
from analyse.values import Artwork

Kind = Literal["flat", "shaded", "photograph"]
_VECTOR = {"svg", "pdf"}
# Real pixels per mm that tell a millimetre's width to a tenth either way.
ENOUGH_PER_MM = 5.0
HARDLY_SHORT = 0.95  # of it: nobody draws again for that
# A clean picture coarser than this by its spectrum was enlarged.
_ENLARGED = 1.9
# Share of exactly flat colour below which art, or what is drawn in it, is shaded, or, with more than a few colours; and
# below which a grainy or busy picture is a photograph.
_SHADED, _SHADED_DRAWN, _SHADED_MANY, _FEW = 0.83, 0.6, 0.93, 0.985
_THING = 0.35
# Grain, in levels, and share of blocks without an edge: of art, and of a photograph that shows large smooth things.
_GRAINY, _BUSY, _CALM = 0.4, 0.6, 0.8
# JPEG quality below which blocks and ringing pass for drawing.
_COARSE_QUALITY = 60


@dataclass(frozen=True, slots=True)
class Source:
    """What a picture is and can show.

    finest_px: one real pixel in px of the canonical raster, 0 where it is drawn and has none. enlarged: whether the
    file has more pixels than detail. grain: levels of 255 it had before correction. compression: JPEG quality, if it
    is one. notes: findings and what to
    ask for, in words.
    """

    kind: Kind
    finest_px: float
    enlarged: bool
    screenshot: bool
    watermark: bool
    grain: float
    compression: int | None
    notes: tuple[str, ...]

    def detail_per_mm(self, mm_per_px: float) -> float:
        """Real pixels per mm when a px of the canonical raster is so many mm."""
        return 1.0 / (self.finest_px * mm_per_px) if self.finest_px else math.inf

    def shows_to_mm(self, width_px: float) -> float:
        """Up to which width a design of so many px of the canonical raster is shown well enough to be judged."""
        return width_px / (self.finest_px * HARDLY_SHORT * ENOUGH_PER_MM) if self.finest_px else math.inf

    def asks(self, mm_per_px: float) -> str:
        """What to ask the customer for at that size; empty where the source shows enough."""
        found = self.detail_per_mm(mm_per_px)
        if found >= HARDLY_SHORT * ENOUGH_PER_MM:
            return ""
        return (
            f"the picture shows {found:.1f} real pixels per mm at this size and {ENOUGH_PER_MM:g} are wanted: "
            "ask for the original drawing (SVG or PDF), or a picture "
            f"{ENOUGH_PER_MM / found:.1f} times as large, not enlarged"
        )


def judge_source(artwork: Artwork) -> Source:
    """Judge an artwork as it is to be read: after `correct`, if it is a scan or a photograph of a print.

    Told by content; accuracy: see test_showing. Vector art shows all there is.
    """
    if artwork.format in _VECTOR and not artwork.pictures_within:
        return Source("flat", 0.0, False, False, False, 0.0, None, ())
    rgb = _on_white(artwork)
    condition, finest = condition_of(rgb), finest_px(rgb)
    grain = max(artwork.grain, condition.grain)
    kind: Kind = "flat"
    grainy, busy = condition.grain >= _GRAINY, condition.smooth < _BUSY
    unlike_art = (condition.exact < _THING and (grainy or condition.smooth < _CALM)) or (grainy and busy)
    if unlike_art or (artwork.grain == 0 and is_textured(rgb, finest)):
        kind = "photograph"
    elif artwork.grain == 0 and _is_shaded(condition):
        kind = "shaded"
    smoothly = kind != "photograph" and artwork.grain == 0 and finest >= _ENLARGED
    enlarged = smoothly or artwork.block_px > 1
    screenshot = is_screenshot(rgb, artwork.file_px)
    watermark = kind != "photograph" and has_repeated_overlay(rgb)
    source = Source(kind, finest, enlarged, screenshot, watermark, grain, artwork.compression, ())
    return replace(source, notes=_words(source, rgb.shape[1], artwork.block_px))


def _is_shaded(condition: Condition) -> bool:
    exact, many = condition.exact, condition.few < _FEW
    return exact < _SHADED or condition.exact_drawn < _SHADED_DRAWN or (many and exact < _SHADED_MANY)


def _on_white(artwork: Artwork) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    alpha = artwork.rgba[..., 3]
    rgb = np.asarray(cv2.cvtColor(artwork.rgba, cv2.COLOR_RGBA2RGB), dtype=np.uint8)
    if alpha.min() == 255:
        return rgb
    rgb[alpha == 0] = 255
    rows, columns = np.nonzero((alpha > 0) & (alpha < 255))  # edges: few
    share = alpha[rows, columns, None].astype(np.uint16)
    rgb[rows, columns] = (rgb[rows, columns] * share + 255 * (255 - share) + 127) // 255
    return rgb


def _words(source: Source, wide: int, block_px: int) -> tuple[str, ...]:
    notes = []
    if source.kind == "photograph":
        notes.append("this is a photograph of a thing, not artwork: it needs redrawing; what follows is an attempt")
    if source.enlarged:
        real = round(wide / source.finest_px, -1)
        notes.append(
            f"the picture was enlarged: of its {wide * block_px:,} pixels across about {real:,.0f} are real; "
            "ask for the original"
        )
    if source.screenshot:
        notes.append("this is a screenshot: ask for the file that was on the screen")
    if source.watermark:
        notes.append("a faint pattern is laid over the picture, as a watermark is: ask for the artwork without it")
    if source.compression is not None and source.compression < _COARSE_QUALITY:
        notes.append(f"the JPEG was saved at quality {source.compression}: its blocks blur edges; ask for a PNG")
    return tuple(notes)
