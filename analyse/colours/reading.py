"""Every pixel's colour: flat interiors, the edges between them and the hairlines over them, put together."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.colours.flats import MOST_COLOURS, UNLABELLED, Flats, find_flats, local_span
from analyse.colours.gradients import SMOOTH_SPAN, Gradient, find_gradients, on_the_way
from analyse.colours.hairlines import new_colours, with_palette
from analyse.colours.halos import without_edge_effects
from analyse.colours.lab import Floats, srgb_to_lab
from analyse.colours.mixtures import Mixtures, mix
from analyse.colours.settling import settle

Bytes = NDArray[np.uint8]

CLEAR = 254  # the label of what is transparent
_BAND = 0.3  # how far from equal shares an edge pixel may be for its neighbours to be asked
_OPAQUE = 128
_EVEN_PX = 25  # a gradient's steps are told on the picture blurred so far: their edges run smooth
_TAIL_PX = 24  # beside a gradient, within which colours on its way are its tails
_ON_THE_WAY = 6.0  # in Lab
_SAME_DE = 3.0  # a step this near a flat colour is that colour


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """label, main, other: (H, W), into colours, or CLEAR. share: (H, W) of main, 128..255 of 255.

    colours: (K, 3) float sRGB, the steps of gradients among them.
    compressed: whether the picture shows a JPEG's blocks and ringing.
    """

    label: Bytes
    main: Bytes
    other: Bytes
    share: Bytes
    colours: Floats
    compressed: bool
    gradients: tuple[Gradient, ...] = ()


def read_colours(rgba: Bytes, *, grainy: bool = False) -> Reading:
    """Read a picture, (H, W, 4), straight alpha: its flat colours, and what each pixel is made of.

    grainy: whether it was smoothed out of a scan or photograph, whose flats are not as flat as a file's.
    """
    rgb = np.ascontiguousarray(rgba[..., :3])
    alpha = rgba[..., 3]
    clear = alpha < _OPAQUE
    see_through = bool((alpha < 255).any())
    ignored = alpha < 255 if see_through else None
    gradients = tuple(find_gradients(rgb, ignored))
    flats = _with_gradients(rgb, gradients, ignored) if gradients else find_flats(rgb, ignored, grainy=grainy)
    if not len(flats.colours):
        nothing = np.full(clear.shape, CLEAR, np.uint8)
        return Reading(nothing, nothing, nothing, np.full_like(nothing, 255), flats.colours, flats.compressed)
    if see_through:
        flats = replace(flats, seeds=np.where(clear, np.uint8(CLEAR), flats.seeds))
    mixtures, explained = explain(rgb, flats, gradients)
    if gradients:
        steps = np.concatenate([_same_colours(gradient.steps, flats.colours) for gradient in gradients])
        mixtures = _nearest_steps(mixtures, flats.seeds, steps)
    flats = explained
    label = settle(mixtures, band=_BAND)
    if see_through:
        mixtures = _with_alpha(mixtures, alpha)
    return Reading(label, mixtures.main, mixtures.other, mixtures.share, flats.colours, flats.compressed, gradients)


def _with_gradients(rgb: Bytes, gradients: tuple[Gradient, ...], ignored: NDArray[np.bool_] | None) -> Flats:
    """The flats of what is flat, with every gradient cut into its steps."""
    shaded = np.any([gradient.mask for gradient in gradients], axis=0)
    flats = _without_tails(find_flats(rgb, shaded if ignored is None else shaded | ignored), gradients)
    even = srgb_to_lab(_evened(rgb, shaded))
    seeds, colours = flats.seeds.copy(), flats.colours
    smooth = local_span(rgb)[shaded] <= SMOOTH_SPAN
    for gradient in gradients:
        own = gradient.mask[shaded] & smooth
        step = np.argmin(((even[own, None] - srgb_to_lab(gradient.steps)) ** 2).sum(axis=2), axis=1)
        place = np.zeros(len(gradient.steps), np.uint8)
        for number, rgb_step in enumerate(gradient.steps):
            apart = ciede2000(srgb_to_lab(rgb_step), srgb_to_lab(colours))
            if len(apart) and apart.min() < _SAME_DE:
                place[number] = int(np.argmin(apart))
            else:
                place[number], colours = len(colours), np.vstack([colours, rgb_step])
        y, x = np.nonzero(shaded)
        seeds[y[own], x[own]] = place[step]
    return replace(flats, seeds=seeds, colours=colours[:MOST_COLOURS])


def _same_colours(some: Floats, colours: Floats) -> NDArray[np.int64]:
    """Indices in `colours` of those nearest to `some`."""
    apart = ciede2000(srgb_to_lab(some)[:, None], srgb_to_lab(colours)[None])
    return np.asarray(np.argmin(apart, axis=1), dtype=np.int64)


def _evened(rgb: Bytes, mask: NDArray[np.bool_]) -> Floats:
    """Mean colour about each pixel of the mask, over those of the mask only, (N, 3)."""
    part = mask.astype(np.float32)
    total = cv2.blur(rgb.astype(np.float32) * part[..., None], (_EVEN_PX, _EVEN_PX))[mask]
    return np.asarray(total / cv2.blur(part, (_EVEN_PX, _EVEN_PX))[mask][:, None], dtype=np.float64)


def _nearest_steps(mixtures: Mixtures, seeds: Bytes, steps: NDArray[np.int64]) -> Mixtures:
    """Edge pixels of gradients go to the step that lies nearest: their colours tell the gradient, not the step."""
    of_step = np.isin(seeds, steps)
    _, nearest = cv2.distanceTransformWithLabels(
        (~of_step).astype(np.uint8), cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL
    )
    step = np.zeros(int(nearest.max()) + 1, np.uint8)
    step[nearest[of_step]] = seeds[of_step]
    main, other = mixtures.main.copy(), mixtures.other.copy()
    place = nearest.reshape(-1)[mixtures.at]
    for labels in (main.reshape(-1), other.reshape(-1)):
        own = np.isin(labels[mixtures.at], steps)
        labels[mixtures.at[own]] = step[place[own]]
    return replace(mixtures, main=main, other=other)


def _without_tails(flats: Flats, gradients: tuple[Gradient, ...]) -> Flats:
    """The flats without colours that are only a gradient running on."""
    tail = np.zeros(len(flats.colours), dtype=bool)
    size = np.bincount(flats.seeds.ravel(), minlength=256)[: len(tail)]
    for gradient in gradients:
        window = np.ones((2 * _TAIL_PX + 1, 2 * _TAIL_PX + 1), np.uint8)
        near = cv2.dilate(gradient.mask.astype(np.uint8), window) > 0
        beside = np.bincount(flats.seeds[near], minlength=256)[: len(tail)]
        tail |= (beside > 0.5 * size) & (on_the_way(flats.colours, gradient) < _ON_THE_WAY)
    place = np.full(256, UNLABELLED, np.uint8)
    place[np.flatnonzero(~tail)] = np.arange((~tail).sum())
    return replace(flats, colours=flats.colours[~tail], seeds=place[flats.seeds])


def explain(rgb: Bytes, flats: Flats, gradients: tuple[Gradient, ...] = ()) -> tuple[Mixtures, Flats]:
    """Explain all pixels that are not flat; the palette with the hairlines' own colours."""
    mixtures = without_edge_effects(rgb, mix(rgb, flats), flats)
    mixtures = with_palette(rgb, mixtures, flats)
    more = new_colours(rgb, mixtures, flats)
    for gradient in gradients:
        more = more[on_the_way(more, gradient) > _ON_THE_WAY]
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
