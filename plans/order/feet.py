"""Where lettering stands: the cells at its letters' feet, between which thread left uncut is least seen."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats, Part
from plans.order.lines import heights, lines_of
from plans.values import Sewing

Mask = NDArray[np.bool_]


def feet_of(
    sewings: tuple[Sewing, ...],
    parts: tuple[Part, ...],
    top: NDArray[np.int64],
    places: Callable[[NDArray[np.int64]], Floats],
    share: float,
) -> tuple[Mask, Mask]:
    """(H, W) cells of letters in lines of lettering, and those of them at their feet.

    top (H, W): the sewing over each cell, -1 for none; places: mm of cells (N, 2) column and row. share: of the
    lettering's height that counts as its foot; what hangs below the line its neighbours stand on does as well.
    """
    lettered, low = np.zeros(top.shape, bool), np.zeros(top.shape, bool)
    for line in lines_of(sewings, parts):
        cells = [np.argwhere(np.isin(top, letter))[:, ::-1] for letter in line]
        cells = [own for own in cells if len(own)]
        if not cells:
            continue
        up = heights([places(own) for own in cells])
        tall = float(np.median([one.max() for one in up]))
        for own, height in zip(cells, up, strict=True):
            lettered[own[:, 1], own[:, 0]] = True
            low[own[:, 1], own[:, 0]] = height <= share * tall
    return lettered, low
