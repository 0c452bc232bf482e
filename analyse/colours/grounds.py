"""What lies behind the design: transparency, or the colour that surrounds it, and the holes that show it."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.lab import Floats, srgb_to_lab

Bytes = NDArray[np.uint8]

_RIM_SHARE = 0.4  # of the picture's rim that one colour must hold to count as what surrounds the design
# A band no wider than this share of the shorter side, as wide but for so much along so much of the rim, is a frame.
_FRAME, _FRAME_VARIES, _FRAME_RIM = 0.08, 0.1, 0.4
_PAPER_L = 90.0  # lightness, CIE L*, from which what lies behind is a white card
_BODY = 1.8  # a body this many times as thick as what it frames is no stroke round a hole
_LOOK = 6.0  # how far about a piece, in its own radii, the body may lie
_HOLDS = 1.02  # filled area to own: more, and other colours lie inside
_PLAIN = 0.75  # of its convex hull; a counter covers more
_MEETS = 0.15  # of its rim, for a colour to count as met


def solid(bare: NDArray[np.bool_]) -> tuple[slice, slice]:
    """Rows and columns of the box of all that is not bare; empty where all is."""
    rows, columns = np.flatnonzero(~bare.all(axis=1)), np.flatnonzero(~bare.all(axis=0))
    if not len(rows):
        return slice(0, 0), slice(0, 0)
    return slice(int(rows[0]), int(rows[-1]) + 1), slice(int(columns[0]), int(columns[-1]) + 1)


def surrounding(labels: Bytes) -> int | None:
    """The label along most of the picture's rim; None where no colour holds enough of it."""
    rim = np.concatenate([labels[0], labels[-1], labels[1:-1, 0], labels[1:-1, -1]])
    counts = np.bincount(rim)
    most = int(counts.argmax())
    return most if counts[most] >= _RIM_SHARE * len(rim) else None


def is_frame(labels: Bytes, ground: int, rgb: Floats) -> bool:
    """Whether a colour along the rim is a thin band of one width: a flag's border, no card that a design lies on.

    What is as light as paper is a card, however tight.
    """
    mask = labels == ground
    sides = (mask, mask[::-1], mask.T, mask.T[::-1])
    wide = [np.where(side.all(axis=0), len(side), side.argmin(axis=0)) for side in sides]
    every = np.concatenate(wide)
    if not every.any() or float(srgb_to_lab(rgb)[0]) >= _PAPER_L:
        return False
    usual = float(np.quantile(every[every > 0], _FRAME_RIM / 2))
    alike = [(side > 0) & (np.abs(side - usual) <= max(1.0, _FRAME_VARIES * usual)) for side in wide]
    thin = usual <= _FRAME * min(labels.shape)
    round_it = sum(bool(side.any()) for side in alike) >= 3  # a stripe of its colour may lie along the fourth
    return thin and round_it and bool(np.concatenate(alike).mean() >= _FRAME_RIM)


def sewn_inside(labels: Bytes, ground: int) -> NDArray[np.bool_]:
    """Pixels of the ground's own colour that are shapes of the design, not holes in it, (H, W).

    A counter or a ring's inside is framed by a stroke and shows the ground. A shape lies on a body thicker than
    itself, and more surely so if it meets several colours, holds others, or is no plain round or square.
    """
    mask = (labels == ground).astype(np.uint8)
    inner = _enclosed(mask)
    found = np.zeros(labels.shape, dtype=bool)
    if inner.any():
        body = cv2.distanceTransform(1 - mask, cv2.DIST_L2, 3)
        _, shapes = cv2.connectedComponents(1 - mask, connectivity=8)
        count, pieces, stats, _ = cv2.connectedComponentsWithStats(inner, connectivity=4)
        for piece in range(1, count):
            own = pieces == piece
            if _is_shape(labels, own, stats[piece], body, shapes):
                found |= own
    return found


def _enclosed(mask: Bytes) -> Bytes:
    """What of the mask nothing joins, side by side, to the picture's rim."""
    framed = np.pad(mask, 1, constant_values=1)
    cv2.floodFill(framed, None, (0, 0), 0, flags=4)
    return framed[1:-1, 1:-1].copy()


def _is_shape(
    labels: Bytes,
    piece: NDArray[np.bool_],
    box: NDArray[np.int32],
    body: NDArray[np.float32],
    shapes: NDArray[np.int32],
) -> bool:
    """body: (H, W) how deep each pixel lies in what is not ground; shapes: (H, W) which piece of that it lies in."""
    x, y, across, down, area = (int(value) for value in box)
    own = np.pad(piece[y : y + down, x : x + across].astype(np.uint8), 1)
    radius = float(cv2.distanceTransform(own, cv2.DIST_L2, 3).max())
    look = int(np.ceil(_LOOK * radius)) + 1
    near = slice(max(y - look, 0), y + down + look), slice(max(x - look, 0), x + across + look)
    inside = slice(y - 1, y + down + 1), slice(x - 1, x + across + 1)
    frame = (cv2.dilate(own, np.ones((3, 3), np.uint8)) > 0) & (own == 0)
    about = np.isin(shapes[near], np.unique(shapes[inside][frame]))
    thickness = float(body[near][about].max(initial=0)) / radius
    if thickness >= _BODY or thickness < 1:
        return thickness >= _BODY
    contours, _ = cv2.findContours(own, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    filled = cv2.drawContours(np.zeros_like(own), contours, -1, 1, cv2.FILLED)
    hull = cv2.drawContours(np.zeros_like(own), [cv2.convexHull(np.concatenate(contours))], -1, 1, cv2.FILLED)
    holds = int(filled.sum()) > _HOLDS * area
    plain = int(filled.sum()) > _PLAIN * int(hull.sum())
    colours = np.bincount(labels[inside][frame])
    return holds or not plain or int((colours > _MEETS * colours.sum()).sum()) > 1
