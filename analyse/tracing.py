"""The size-free reading: from a picture to flat colours and the regions they fill."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.colours.flats import counted
from analyse.colours.grounds import is_frame, sewn_inside, solid, surrounding
from analyse.colours.lab import Floats
from analyse.colours.merging import merge
from analyse.colours.metrics import metric
from analyse.colours.names import colour
from analyse.colours.reading import CLEAR, Reading, read_colours
from analyse.colours.turned import extent, turned_round
from analyse.errors import NothingToSewError
from analyse.regions.mapping import Fit, map_regions
from analyse.regions.specks import without_specks
from analyse.regions.subpixel import Seen, Shares
from analyse.scans import correct
from analyse.values import Artwork, Drawing, Region, Shading, Turned

_CLEAN = Fit(reach=2, smooth=3, tolerance_px=0.1, round_px=1.75)
_COMPRESSED = Fit(reach=2, smooth=5, tolerance_px=0.2, round_px=2.5)
_OUTLINE_ERROR_PX = 0.15  # in clean art, RMS (tests/benchmarks/reading.py)
_SEEN = 3e-4  # share of the picture that shapes in the ground's colour must hold to be worth a colour
_NEVER_CLEAR = 0.001  # share of transparent pixels within the opaque ones' box that are specks, not a ground


def trace(artwork: Artwork, *, max_colours: int | None = None, turned: Sequence[Turned] = ()) -> Drawing:
    """Read the flat colours of an artwork and the regions they fill.

    Parameters: max_colours, at most so many sewn colours: those whose loss shows least are merged. turned: pieces that
    are cloth, or sewn, whatever the picture suggests.
    Errors: NothingToSewError if nothing differs from the background; JobError for a turn where nothing is drawn.
    """
    if not artwork.rgba[..., 3].any():
        raise NothingToSewError(
            "the picture is transparent throughout", artwork.name, "send it with its colours, or on a background"
        )
    artwork = correct(artwork)
    reading = without_specks(read_colours(artwork.rgba, grainy=artwork.grain > 0))
    ground, left = _behind(reading)
    read_px = extent(left)
    left, told = turned_round(left, reading.label, CLEAR, turned) if turned else (left, [])
    labels, sewn = _sewn(reading, left)
    if not len(sewn):
        raise NothingToSewError(
            "the artwork has no pixels that differ from its background",
            f"{artwork.name}, {artwork.file_px[0]} x {artwork.file_px[1]} px",
            "send it on another background, or with a transparent one",
        )
    labels, sewn, notes = merge(labels, sewn, max_colours)
    notes = (*(_turn_note(reading, piece, what) for piece, what in told), *notes)
    seen = Seen.of(reading.rgb.reshape(-1, 3), reading.colours, metric(compressed=True)) if reading.compressed else None
    shares = Shares(reading.label, reading.main, reading.other, reading.share, seen)
    regions, fitted = map_regions(labels, shares, _COMPRESSED if reading.compressed else _CLEAN)
    return Drawing(
        artwork,
        labels,
        tuple(colour(rgb) for rgb in sewn),
        regions,
        artwork.from_file,
        float(np.hypot(_OUTLINE_ERROR_PX, fitted.spread_px)),
        None if ground is None else colour(reading.colours[ground]),
        shadings=_shadings(reading, regions),
        px_per_mm=artwork.px_per_mm,
        notes=notes,
        read_px=read_px,
        scatter_px=fitted.scatter_px,
    )


def _shadings(reading: Reading, regions: tuple[Region, ...]) -> tuple[Shading, ...]:
    """The gradients that were read as flat steps, each with the regions that now stand for it."""
    inside = shapely.get_coordinates(shapely.point_on_surface([region.outline for region in regions])).astype(int)
    found = []
    for gradient in reading.gradients:
        over = tuple(np.flatnonzero(gradient.mask[inside[:, 1], inside[:, 0]]).tolist())
        if over:
            found.append(Shading(over, gradient.span, gradient.text))
    return tuple(found)


def _ground(reading: Reading) -> int | None:
    """The colour behind the design; None where the picture is transparent there, or the design fills it."""
    clear = reading.label == CLEAR
    box = solid(clear)
    if clear.all() or clear[box].mean() > _NEVER_CLEAR:
        return None
    within = reading.label[box]
    ground = surrounding(within)
    framed = within.shape != clear.shape and ground is not None and is_frame(within, ground, reading.colours[ground])
    return None if framed else ground


def _behind(reading: Reading) -> tuple[int | None, NDArray[np.bool_]]:
    """The colour behind the design, if there is one, and (H, W) what is not sewn."""
    ground = _ground(reading)
    left = _left(reading, ground)
    if left.all() and (reading.label == CLEAR).any():
        return None, _left(reading, None)  # a plain patch on nothing is what is to be sewn
    return ground, left


def _turn_note(reading: Reading, label: int, what: str) -> str:
    return f"{'nothing' if label == CLEAR else colour(reading.colours[label]).name} {what}"


def _left(reading: Reading, ground: int | None) -> NDArray[np.bool_]:
    """(H, W) what is not sewn: what is clear, and the ground with its holes."""
    left = np.asarray(reading.label == CLEAR)
    if ground is not None:
        box = solid(left)
        inside = np.zeros_like(left)
        inside[box] = sewn_inside(reading.label[box], ground)
        if inside.sum() >= _SEEN * left.size:
            left |= (reading.label == ground) & ~inside
        else:
            left |= reading.label == ground
    return left


def _sewn(reading: Reading, left: NDArray[np.bool_]) -> tuple[NDArray[np.int16], Floats]:
    """Labels, (H, W), into the sewn colours, -1 where nothing is sewn; and those colours, (K, 3)."""
    label = np.where(left, np.uint8(CLEAR), reading.label)
    used = np.flatnonzero(counted(label)[: len(reading.colours)])
    place = np.full(256, -1, dtype=np.int16)
    place[used] = np.arange(len(used))
    return np.asarray(cv2.LUT(label, place), np.int16), reading.colours[used]
