"""Which of its two colours an uncertain edge pixel belongs to, asked of its neighbours as well."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analyse.colours.mixtures import Mixtures

Bytes = NDArray[np.uint8]

_REACH_PX = 3
_SIGMA_PX = 1.4  # of the weight a neighbour's shares have


def settle(mixtures: Mixtures, *, band: float) -> Bytes:
    """Labels, (H, W): the main one, but where main and other are within `band` of equal, what the neighbourhood says.

    A straight edge through a pixel halves its neighbourhood just as it halves the pixel, and the
    neighbourhood's shares are known more exactly than the pixel's own. Hairlines are left alone.
    """
    labels = mixtures.main.copy()
    high, wide = labels.shape
    share = mixtures.share.reshape(-1)
    at = mixtures.at[(share[mixtures.at] < 255 * (0.5 + band)) & ~mixtures.thin]
    at = at[mixtures.main.reshape(-1)[at] != mixtures.other.reshape(-1)[at]]
    if not len(at):
        return labels
    main, other = mixtures.main.reshape(-1), mixtures.other.reshape(-1)
    first, second = main[at], other[at]
    y, x = np.divmod(at, wide)
    rows = [np.clip(y + step, 0, high - 1) * wide for step in range(-_REACH_PX, _REACH_PX + 1)]
    columns = [np.clip(x + step, 0, wide - 1) for step in range(-_REACH_PX, _REACH_PX + 1)]
    lead = np.zeros(len(at), np.float32)
    for down, row in enumerate(rows, -_REACH_PX):
        for right, column in enumerate(columns, -_REACH_PX):
            weight = np.float32(np.exp(-(down * down + right * right) / (2 * _SIGMA_PX**2)))
            near = row + column
            part = np.take(share, near).astype(np.float32)
            rest = 255 - part
            one, two = np.take(main, near), np.take(other, near)
            lead += weight * (part * (one == first) - part * (one == second))
            lead += weight * (rest * (two == first) - rest * (two == second))
    labels.reshape(-1)[at] = np.where(lead >= 0, first, second)
    return labels
