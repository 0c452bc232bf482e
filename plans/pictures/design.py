"""The artwork cut to the design, and where a millimetre lies on a picture of it."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.colours.lab import srgb_to_lab
from analyse.values import Artwork, Floats, SizedDrawing

Rgb = tuple[int, int, int]
PAPER: Rgb = (255, 255, 255)
GREY: Rgb = (128, 126, 122)


@dataclass(frozen=True, slots=True)
class Canvas:
    """A picture's scale and frame: what of the plane it shows, in mm."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    px_per_mm: float

    @property
    def shape(self) -> tuple[int, int]:
        """Height and width, px."""
        return max(1, round(self.height_mm * self.px_per_mm)), max(1, round(self.width_mm * self.px_per_mm))

    def px(self, points: Floats) -> Floats:
        """(N, 2) mm as px of this canvas."""
        return (np.asarray(points)[:, :2] - (self.left_mm, self.top_mm)) * self.px_per_mm


def canvas(sized: SizedDrawing, margin_mm: float, dpi: float, most_px: int) -> Canvas:
    """A canvas round the design at `dpi`, or at what keeps its long side at `most_px`, in whole dpi."""
    width, height = sized.size_mm[0] + 2 * margin_mm, sized.size_mm[1] + 2 * margin_mm
    held = max(10, min(int(dpi), int(most_px * 25.4 / max(width, height))))
    return Canvas(-margin_mm, -margin_mm, width, height, held / 25.4)


def artwork_on(sized: SizedDrawing, at: Canvas, paper: Rgb = PAPER) -> NDArray[np.uint8]:
    """The artwork as the customer sees it, (H, W, 3), what is transparent on `paper`, resampled to a canvas."""
    rgba = sized.drawing.artwork.rgba
    flat = on_paper(sized.drawing.artwork, paper)
    per_label = rgba.shape[1] / sized.drawing.labels.shape[1]
    scale = per_label / (at.px_per_mm * sized.mm_per_px)
    left = (sized.origin_px[0] + at.left_mm / sized.mm_per_px) * per_label
    top = (sized.origin_px[1] + at.top_mm / sized.mm_per_px) * per_label
    back = np.array([[scale, 0, left + 0.5 * scale - 0.5], [0, scale, top + 0.5 * scale - 0.5]])
    height, width = at.shape
    how = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    return np.asarray(cv2.warpAffine(flat, back, (width, height), flags=how, borderValue=paper), np.uint8)


def on_paper(artwork: Artwork, paper: Rgb = PAPER) -> NDArray[np.uint8]:
    """The artwork on a colour, (H, W, 3). Only half-clear pixels are mixed: they are few, and mixing is slow."""
    rgb = np.asarray(cv2.cvtColor(artwork.rgba, cv2.COLOR_RGBA2RGB), np.uint8)
    alpha = cv2.extractChannel(artwork.rgba, 3)
    clear = alpha != 255
    if not clear.any():
        return rgb
    rgb[alpha == 0] = paper
    rows, columns = np.nonzero(clear & (alpha != 0))
    share = alpha[rows, columns, None] / 255.0
    rgb[rows, columns] = np.rint(rgb[rows, columns] * share + np.array(paper) * (1 - share))
    return rgb


def opaque(artwork: Artwork) -> bool:
    """Whether the picture has a ground of its own everywhere."""
    return bool(cv2.minMaxLoc(cv2.extractChannel(artwork.rgba, 3))[0] == 255)


def paper_under(sized: SizedDrawing) -> Rgb:
    """What to show a transparent artwork on: the cloth, or grey where most of the design would not show on that.

    White, where the picture has a ground of its own.
    """
    if opaque(sized.drawing.artwork):
        return PAPER
    cloth = srgb_to_lab(np.array(sized.cloth_rgb, np.float64))
    lost_under = float(sized.trade.value("colours.lost_under"))
    lost = [float(ciede2000(np.array(colour.lab), cloth)) < lost_under for colour in sized.drawing.palette]
    areas = np.bincount(sized.drawing.labels[sized.drawing.labels >= 0].ravel(), minlength=len(lost))
    return GREY if areas[np.flatnonzero(lost)].sum() > areas.sum() / 2 else sized.cloth_rgb
