"""Every pixel's colour: flat interiors, the edges between them and the hairlines over them, put together."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.agreeing import agree
from analyse.colours.flats import UNLABELLED, Flats, find_flats, local_span
from analyse.colours.gradients import SMOOTH_SPAN, Gradient, find_gradients, on_the_way
from analyse.colours.growing import grown
from analyse.colours.hairlines import new_colours, with_bands, with_palette, with_seeds
from analyse.colours.halos import BLOCKS_PX, FAR_LOOK_PX, LOOK_PX, without_edge_effects
from analyse.colours.lab import Floats
from analyse.colours.mixtures import Mixtures, misfit_limit, mix, mixed_anew
from analyse.colours.ridges import with_ridges
from analyse.colours.rims import with_plain_rims
from analyse.colours.settling import settle
from analyse.colours.steps import ON_THE_WAY, to_nearest_steps, with_steps

Bytes = NDArray[np.uint8]

CLEAR = 254  # the label of what is transparent
_BAND = {False: 0.02, True: 0.2}  # how far from equal shares a pixel's neighbours are asked; in compressed art
_OPAQUE = 128
_LEAST_FLAT = 0.05  # share of the pixels that must be flat for a palette to be told
_CALMED_PX = (3, 5, 9)  # medians tried against noise


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """A picture read, pixel by pixel.

    rgb: (H, W, 3), as it came. label, main, other: (H, W), into colours, or CLEAR. share: (H, W) of main, 128..255 of
    255. colours: (K, 3) float sRGB, the steps of gradients among them.
    compressed: whether the picture shows a JPEG's blocks and ringing. flat: (H, W), where it is flat.
    limit: how far, in steps of 255, a pixel may be off a mixture that explains it. haloed: whether its
    edges overshoot.
    """

    rgb: Bytes
    label: Bytes
    main: Bytes
    other: Bytes
    share: Bytes
    colours: Floats
    compressed: bool
    flat: NDArray[np.bool_]
    limit: float
    gradients: tuple[Gradient, ...] = ()
    haloed: bool = False


def read_colours(rgba: Bytes, *, grainy: bool = False) -> Reading:
    """Read a picture, (H, W, 4), straight alpha: its flat colours, and what each pixel is made of.

    grainy: whether it was smoothed out of a scan or photograph, whose flats are not as flat as a file's.
    """
    rgb: Bytes = np.asarray(cv2.cvtColor(rgba, cv2.COLOR_RGBA2RGB), np.uint8)
    alpha = rgba[..., 3]
    clear = alpha < _OPAQUE
    see_through = bool((alpha < 255).any())
    span = local_span(rgb)
    if see_through:
        solid = alpha == 255
        span[~solid if solid.sum() > (~clear).sum() / 2 else clear] = 255
        rgb = with_plain_rims(rgb, alpha)
    rgb, span, noisy = _calm(rgb, span)
    gradients = () if noisy else tuple(find_gradients(rgb, span))
    shaded = np.any([gradient.mask for gradient in gradients], axis=0) if gradients else None
    flats = find_flats(rgb, span if shaded is None else np.where(shaded, np.uint8(255), span), grainy=grainy or noisy)
    if shaded is not None:
        flats = with_steps(rgb, flats, gradients, shaded & (span <= SMOOTH_SPAN))
    if not len(flats.colours):
        nothing = np.full(clear.shape, CLEAR, np.uint8)
        full, flat = np.full_like(nothing, 255), np.zeros(clear.shape, dtype=bool)
        return Reading(rgb, nothing, nothing, nothing, full, flats.colours, flats.compressed, flat, 0.0)
    if see_through:
        flats = replace(flats, seeds=np.where(clear, np.uint8(CLEAR), flats.seeds))
    mixtures, explained = explain(rgb, flats, gradients)
    if gradients:
        mixtures = to_nearest_steps(mixtures, flats, gradients)
    flats = explained
    limit = misfit_limit(mixtures, flats)
    label = settle(mixtures, band=_BAND[flats.compressed])
    if flats.compressed:
        label, mixtures = agree(rgb, label, mixtures, flats)
    else:
        ridged = with_ridges(label, mixtures)
        label = np.where(_beside(clear), label, ridged) if see_through else ridged
    if see_through:
        mixtures = _with_alpha(mixtures, alpha)
    flat = flats.seeds != UNLABELLED
    return Reading(
        rgb,
        label,
        mixtures.main,
        mixtures.other,
        mixtures.share,
        flats.colours,
        flats.compressed,
        flat,
        limit,
        gradients,
        mixtures.haloed,
    )


def _calm(rgb: Bytes, span: Bytes) -> tuple[Bytes, Bytes, bool]:
    """The picture with flat pixels in it: smoothed if noise leaves hardly any, and all taken as flat if nothing helps.

    Returns the picture, its span, and whether it was noisy.
    """
    counted = span < 255
    least = _LEAST_FLAT * max(1, int(np.count_nonzero(counted)))
    if np.count_nonzero(span <= SMOOTH_SPAN) >= least:
        return rgb, span, False
    for reach in _CALMED_PX:
        if reach >= min(span.shape):
            break
        soft = np.asarray(cv2.medianBlur(rgb, reach), np.uint8)
        calmer = np.where(counted, local_span(soft), np.uint8(255))
        if int((calmer <= SMOOTH_SPAN).sum()) >= least:
            return soft, calmer, True
    return rgb, np.where(counted, np.uint8(0), np.uint8(255)), True


def explain(rgb: Bytes, flats: Flats, gradients: tuple[Gradient, ...] = ()) -> tuple[Mixtures, Flats]:
    """Explain all pixels that are not flat; the palette with the hairlines' own colours."""
    rough = int(np.count_nonzero(flats.seeds == UNLABELLED))
    seen = grown(rgb, flats)
    bare = mix(rgb, seen, rough=rough)
    mixtures, more = _with_more(rgb, bare, flats, gradients)
    haloed = mixtures.haloed
    if haloed:
        # What an edge pushed looks like a colour that runs on: asked again without any that did.
        plain = mix(rgb, flats, rough=rough)
        mixtures, more = _with_more(rgb, plain, flats, gradients)
        haloed = mixtures.haloed
        if haloed:
            seen, bare = flats, plain
    if haloed and not len(more):
        return mixtures, flats
    if len(more):
        seeds, seen = seen.seeds, with_seeds(rgb, mixtures, seen, more)
        bare = mixed_anew(rgb, seen, bare, seeds)
    bare, clean = replace(bare, rough=len(bare.at)), not (flats.compressed or haloed)
    mixtures = _with_known(rgb, bare, seen, doubt=clean)
    return (with_bands(bare, mixtures, rgb, seen) if clean else mixtures), seen


def _with_known(rgb: Bytes, bare: Mixtures, flats: Flats, *, doubt: bool = False) -> Mixtures:
    """Mixtures by what edges do, and by the palette's colours from farther away."""
    look_px = LOOK_PX if flats.compressed else FAR_LOOK_PX
    return with_palette(rgb, without_edge_effects(rgb, bare, flats, look_px, doubt=doubt), flats, doubt=doubt)


def _with_more(rgb: Bytes, bare: Mixtures, flats: Flats, gradients: tuple[Gradient, ...]) -> tuple[Mixtures, Floats]:
    """Mixtures by what is known, and the colours of hairlines, (N, 3), that leave some unexplained."""
    mixtures = _with_known(rgb, bare, flats)
    far_px = BLOCKS_PX if flats.compressed else FAR_LOOK_PX
    more = new_colours(rgb, without_edge_effects(rgb, mixtures, flats, far_px, thin_too=True), flats)
    for gradient in gradients:
        more = more[on_the_way(more, gradient) > ON_THE_WAY]
    return mixtures, more


def _beside(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The mask and every pixel that touches it."""
    return np.asarray(cv2.dilate(mask.astype(np.uint8), np.ones((3, 3), np.uint8))) > 0


def _with_alpha(mixtures: Mixtures, alpha: Bytes) -> Mixtures:
    """Pixels that are partly transparent are mixtures of their colour and nothing."""
    edge = (alpha > 0) & (alpha < 255)
    solid = np.where(alpha >= _OPAQUE, mixtures.main + 1, 0).astype(np.uint8)
    beside = cv2.dilate(solid, np.ones((3, 3), np.uint8))
    mine = alpha >= _OPAQUE
    other = np.where(edge, np.where(mine, CLEAR, np.where(beside > 0, beside - 1, CLEAR)), mixtures.other)
    share = np.where(edge, np.where(mine, alpha, 255 - alpha), mixtures.share)
    return replace(mixtures, other=other.astype(np.uint8), share=share.astype(np.uint8))
