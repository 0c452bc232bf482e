"""Every pixel's colour: flat interiors, the edges between them and the hairlines over them, put together."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.flats import Flats, find_flats
from analyse.colours.hairlines import new_colours, with_palette
from analyse.colours.halos import without_edge_effects
from analyse.colours.lab import Floats
from analyse.colours.mixtures import Mixtures, mix
from analyse.colours.settling import settle

Bytes = NDArray[np.uint8]

CLEAR = 254  # the label of what is transparent
_BAND = 0.3  # how far from equal shares an edge pixel may be for its neighbours to be asked
_OPAQUE = 128


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """label, main, other: (H, W), into colours, or CLEAR. share: (H, W) of main, 128..255 of 255.

    colours: (K, 3) float sRGB. compressed: whether the picture shows a JPEG's blocks and ringing.
    """

    label: Bytes
    main: Bytes
    other: Bytes
    share: Bytes
    colours: Floats
    compressed: bool


def read_colours(rgba: Bytes) -> Reading:
    """Read a picture, (H, W, 4), straight alpha: its flat colours, and what each pixel is made of."""
    rgb = np.ascontiguousarray(rgba[..., :3])
    alpha = rgba[..., 3]
    clear = alpha < _OPAQUE
    see_through = bool((alpha < 255).any())
    flats = find_flats(rgb, alpha < 255 if see_through else None)
    if not len(flats.colours):
        nothing = np.full(clear.shape, CLEAR, np.uint8)
        return Reading(nothing, nothing, nothing, np.full_like(nothing, 255), flats.colours, flats.compressed)
    if see_through:
        flats = replace(flats, seeds=np.where(clear, np.uint8(CLEAR), flats.seeds))
    mixtures, flats = explain(rgb, flats)
    label = settle(mixtures, band=_BAND)
    if see_through:
        mixtures = _with_alpha(mixtures, alpha)
    return Reading(label, mixtures.main, mixtures.other, mixtures.share, flats.colours, flats.compressed)


def explain(rgb: Bytes, flats: Flats) -> tuple[Mixtures, Flats]:
    """Explain all pixels that are not flat; the palette with the hairlines' own colours."""
    mixtures = without_edge_effects(rgb, mix(rgb, flats), flats)
    mixtures = with_palette(rgb, mixtures, flats)
    more = new_colours(rgb, mixtures, flats)
    if len(more):
        flats = replace(flats, colours=np.concatenate([flats.colours, more]))
        mixtures = with_palette(rgb, mixtures, flats)
    return mixtures, flats


def _with_alpha(mixtures: Mixtures, alpha: Bytes) -> Mixtures:
    """Pixels that are partly transparent are mixtures of their colour and nothing."""
    edge = (alpha > 0) & (alpha < 255)
    solid = np.where(alpha >= _OPAQUE, mixtures.main + 1, 0).astype(np.uint8)
    beside = cv2.dilate(solid, np.ones((3, 3), np.uint8))
    mine = alpha >= _OPAQUE
    other = np.where(edge, np.where(mine, CLEAR, np.where(beside > 0, beside - 1, CLEAR)), mixtures.other)
    share = np.where(edge, np.where(mine, alpha, 255 - alpha), mixtures.share)
    return replace(mixtures, other=other.astype(np.uint8), share=share.astype(np.uint8))
