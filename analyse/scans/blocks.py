"""A picture enlarged without smoothing, each of its pixels a block: brought back to those, where nothing is lost."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analyse.values import Artwork

Ints = NDArray[np.int64]

_VECTOR = {"svg", "pdf"}
_LEAST_PX = 128  # a design of fewer blocks is drawn in blocks, as codes and pixel art are
_LOOK_PX = 16  # every so many rows and columns are looked at first


def own_pixels(artwork: Artwork) -> Artwork:
    """The artwork with every block of equal pixels as one, if all of it is made of such blocks; else the same object.

    Nothing is lost by it, so that a picture and its enlargement by 2, 3 ... are read alike.
    """
    if artwork.format in _VECTOR:
        return artwork
    side = block_px(artwork.rgba)
    if side == 1:
        return artwork
    return replace(
        artwork,
        rgba=np.ascontiguousarray(artwork.rgba[::side, ::side]),
        from_file=np.diag([1 / side, 1 / side, 1.0]) @ artwork.from_file,
        px_per_mm=artwork.px_per_mm and artwork.px_per_mm / side,
        corners_px=None if artwork.corners_px is None else artwork.corners_px / side,
        block_px=side * artwork.block_px,
    )


def block_px(rgba: NDArray[np.uint8]) -> int:
    """Side of the equal squares that a whole picture, (H, W, 4), is made of: 1 if it is not enlarged."""
    pixels = np.ascontiguousarray(rgba).view(np.uint32)[..., 0]
    if max(pixels.shape) < 2 * _LEAST_PX or _block(pixels[::_LOOK_PX], pixels[:, ::_LOOK_PX], pixels.shape) == 1:
        return 1
    side = _block(pixels, pixels, pixels.shape)
    if max(pixels.shape) < side * _LEAST_PX:
        return 1
    # Smoothed edges, curves and slopes change from one block to the next; bars on a grid of this width do not.
    return side if any((np.diff(_changes(pixels, axis)) == side).any() for axis in (0, 1)) else 1


def _block(rows: NDArray[np.uint32], columns: NDArray[np.uint32], shape: tuple[int, ...]) -> int:
    """The largest side that all changes along these rows and down these columns leave room for."""
    places = np.concatenate([shape, _changes(rows, 1), _changes(columns, 0)])
    return int(np.gcd.reduce(places))


def _changes(pixels: NDArray[np.uint32], axis: int) -> Ints:
    """Before which row (axis 0) or column (axis 1) anything changes."""
    unlike = pixels[1:] != pixels[:-1] if axis == 0 else pixels[:, 1:] != pixels[:, :-1]
    return np.flatnonzero(unlike.any(axis=1 - axis)) + 1
