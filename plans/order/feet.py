"""Where lettering stands: the cells at its letters' feet, between which thread left uncut is least seen."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats, Part
from plans.order.lines import heights, lines_of
from plans.values import Sewing

Mask = NDArray[np.bool_]
BESIDE_CELLS = 3.0
"""So far beside its drawn letter thread may still begin or end: three quarters of a millimetre."""


def feet_of(
    sewings: tuple[Sewing, ...],
    parts: tuple[Part, ...],
    top: NDArray[np.int64],
    places: Callable[[NDArray[np.int64]], Floats],
    share: float,
    most_mm: float,
) -> tuple[Mask, Mask]:
    """(H, W) cells on or just beside letters of lines of lettering, and those of them at their feet.

    top (H, W): the sewing over each cell, -1 for none; places: mm of cells (N, 2) column and row. share: of the
    lettering's height that counts as its foot, `most_mm` at most; what hangs below the line its neighbours stand on
    does as well.
    """
    lettered, low = np.zeros(top.shape, bool), np.zeros(top.shape, bool)
    row, column = np.nonzero(top >= 0)
    order = np.argsort(top[row, column], kind="stable")
    cells_of = np.column_stack([column, row])[order]
    bounds = np.searchsorted(top[row, column][order], np.arange(len(sewings) + 1)).tolist()
    for line in lines_of(sewings, parts):
        letters = [np.vstack([cells_of[bounds[one] : bounds[one + 1]] for one in letter]) for letter in line]
        cells = [own for own in letters if len(own)]
        if not cells:
            continue
        up = heights([places(own) for own in cells])
        tall = float(np.median([one.max() for one in up]))
        for own, height in zip(cells, up, strict=True):
            lettered[own[:, 1], own[:, 0]] = True
            low[own[:, 1], own[:, 0]] = height <= min(share * tall, most_mm)
    return _let_out(lettered, low)


def _let_out(lettered: Mask, low: Mask) -> tuple[Mask, Mask]:
    """Both with the cells just beside: compensation lets letters out, and lines reach to their ends."""
    if not lettered.any():
        return lettered, low
    off, nearest = cv2.distanceTransformWithLabels(
        (~lettered).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5, labelType=cv2.DIST_LABEL_PIXEL
    )
    at_foot = np.zeros(int(nearest.max()) + 1, bool)
    at_foot[nearest[low]] = True
    beside = np.asarray(off <= BESIDE_CELLS)
    return beside, beside & at_foot[nearest]
