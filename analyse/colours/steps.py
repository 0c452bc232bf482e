"""Gradients among flats: every pixel of one to the flat step it falls in."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.colours.flats import MOST_COLOURS, UNLABELLED, Flats
from analyse.colours.gradients import Gradient, on_the_way
from analyse.colours.lab import Floats, srgb_to_lab
from analyse.colours.mixtures import Mixtures

Bytes = NDArray[np.uint8]
Bools = NDArray[np.bool_]

ON_THE_WAY = 8.0  # in Lab: a colour this near a gradient's way is of the gradient
_EVEN_PX = 25  # steps are told on the picture blurred so far: their edges run smooth
_TAIL_PX = 24  # beside a gradient, within which colours on its way are its tails
_SAME_DE = 3.0  # a step this near a flat colour is that colour


def with_steps(rgb: Bytes, flats: Flats, gradients: tuple[Gradient, ...], shaded: Bools) -> Flats:
    """The flats of what is flat, with every gradient cut into its steps; shaded: (H, W), where gradients are smooth."""
    flats = _without_tails(flats, gradients)
    even = srgb_to_lab(_evened(rgb, shaded))
    seeds, colours = flats.seeds.copy(), flats.colours
    y, x = np.nonzero(shaded)
    for gradient in gradients:
        own = gradient.mask[shaded]
        step = np.argmin(((even[own, None] - srgb_to_lab(gradient.steps)) ** 2).sum(axis=2), axis=1)
        place = np.zeros(len(gradient.steps), np.uint8)
        for number, rgb_step in enumerate(gradient.steps):
            apart = ciede2000(srgb_to_lab(rgb_step), srgb_to_lab(colours))
            if len(apart) and apart.min() < _SAME_DE:
                place[number] = int(np.argmin(apart))
            else:
                place[number], colours = len(colours), np.vstack([colours, rgb_step])
        seeds[y[own], x[own]] = place[step]
    return replace(flats, seeds=seeds, colours=colours[:MOST_COLOURS])


def to_nearest_steps(mixtures: Mixtures, flats: Flats, gradients: tuple[Gradient, ...]) -> Mixtures:
    """Edge pixels of gradients go to the step that lies nearest: their colours tell the gradient, not the step."""
    seeds = flats.seeds
    steps = np.concatenate([_same_colours(gradient.steps, flats.colours) for gradient in gradients])
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


def _same_colours(some: Floats, colours: Floats) -> NDArray[np.int64]:
    """Indices in `colours` of those nearest to `some`."""
    apart = ciede2000(srgb_to_lab(some)[:, None], srgb_to_lab(colours)[None])
    return np.asarray(np.argmin(apart, axis=1), dtype=np.int64)


def _evened(rgb: Bytes, mask: NDArray[np.bool_]) -> Floats:
    """Mean colour about each pixel of the mask, over those of the mask only, (N, 3)."""
    part = mask.astype(np.float32)
    total = cv2.blur(rgb.astype(np.float32) * part[..., None], (_EVEN_PX, _EVEN_PX))[mask]
    return np.asarray(total / cv2.blur(part, (_EVEN_PX, _EVEN_PX))[mask][:, None], dtype=np.float64)


def _without_tails(flats: Flats, gradients: tuple[Gradient, ...]) -> Flats:
    """The flats without colours that are only a gradient running on."""
    tail = np.zeros(len(flats.colours), dtype=bool)
    size = np.bincount(flats.seeds.ravel(), minlength=256)[: len(tail)]
    for gradient in gradients:
        window = np.ones((2 * _TAIL_PX + 1, 2 * _TAIL_PX + 1), np.uint8)
        near = cv2.dilate(gradient.mask.astype(np.uint8), window) > 0
        beside = np.bincount(flats.seeds[near], minlength=256)[: len(tail)]
        tail |= (beside > 0.5 * size) & (on_the_way(flats.colours, gradient) < ON_THE_WAY)
    place = np.full(256, UNLABELLED, np.uint8)
    place[np.flatnonzero(~tail)] = np.arange((~tail).sum())
    return replace(flats, colours=flats.colours[~tail], seeds=place[flats.seeds])
