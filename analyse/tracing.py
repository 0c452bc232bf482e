"""The size-free reading: from a picture to flat colours and the regions they fill."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.colours.flats import find_flats
from analyse.colours.hairlines import new_colours, with_palette
from analyse.colours.halos import without_edge_effects
from analyse.colours.mixtures import mix
from analyse.colours.names import colour
from analyse.colours.settling import settle
from analyse.errors import NothingToSewError
from analyse.regions.connected import connect, saddles
from analyse.regions.coverage import polygons
from analyse.regions.cracks import find_cracks
from analyse.regions.nesting import shared_edges
from analyse.regions.outlines import crack_points, simplified
from analyse.values import Artwork, Drawing, Region


def trace(artwork: Artwork, *, max_colours: int | None = None) -> Drawing:
    """Read the flat colours and regions of an artwork. Errors: NothingToSewError."""
    del max_colours
    rgb = np.ascontiguousarray(artwork.rgba[..., :3])
    clear = artwork.rgba[..., 3] < 128
    shown = np.where(clear[..., None], 255, rgb).astype(np.uint8) if clear.any() else rgb
    flats = find_flats(shown, clear if clear.any() else None)
    if not len(flats.colours):
        raise NothingToSewError("the artwork holds nothing to sew", artwork.name, "send a picture with something in it")
    mixtures = with_palette(shown, without_edge_effects(shown, mix(shown, flats), flats), flats)
    more = new_colours(shown, mixtures, flats)
    if len(more):
        flats = replace(flats, colours=np.concatenate([flats.colours, more]))
        mixtures = with_palette(shown, mixtures, flats)
    labels = settle(mixtures, band=0.3).astype(np.int16)
    modes = flats.colours
    labels[clear] = -1
    background = None
    if not clear.any():
        rim = np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]])
        around = int(np.bincount(rim).argmax())
        background = colour(modes[around])
        labels = np.where(labels == around, -1, labels - (labels > around)).astype(np.int16)
        modes = np.delete(modes, around, axis=0)
    if not (labels >= 0).any():
        raise NothingToSewError("the artwork holds nothing to sew", artwork.name, "send it on another background")
    return Drawing(
        artwork,
        labels,
        tuple(colour(mode) for mode in modes),
        _regions(labels),
        artwork.from_file,
        0.5,
        background,
        px_per_mm=artwork.px_per_mm,
    )


def _regions(labels: NDArray[np.int16]) -> tuple[Region, ...]:
    joined = saddles(labels)
    numbered, own = connect(labels, joined)
    cracks = find_cracks(numbered, joined)
    lines = crack_points(cracks)
    outlines = polygons(cracks, simplified(lines), len(own))
    if not shapely.is_valid(outlines).all() or not shapely.coverage_is_valid(outlines):
        outlines = polygons(cracks, lines, len(own))
    sewn = [number for number in range(len(own)) if own[number] >= 0]
    new = {number: place for place, number in enumerate(sewn)}
    touches: dict[int, list[tuple[int, float]]] = {number: [] for number in sewn}
    for (one, other), length in sorted(shared_edges(cracks, lines).items()):
        if one in new and other in new:
            touches[one].append((new[other], length))
            touches[other].append((new[one], length))
    return tuple(
        Region(new[number], int(own[number]), outlines[number], None, tuple(sorted(touches[number]))) for number in sewn
    )
