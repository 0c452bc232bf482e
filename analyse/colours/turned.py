"""The practitioner's word on what is cloth and what is sewn, where the picture alone leaves it open."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from analyse.colours.grounds import solid
from analyse.errors import JobError
from analyse.values import Turned

Mask = NDArray[np.bool_]
Box = tuple[float, float, float, float]


def extent(left: Mask) -> Box:
    """Left, top, right, bottom of all that is sewn, in px; left: (H, W) what is not. Zeros where nothing is."""
    rows, columns = solid(left)
    return float(columns.start), float(rows.start), float(columns.stop), float(rows.stop)


def turned_round(
    left: Mask, label: NDArray[np.uint8], clear: int, turns: Sequence[Turned]
) -> tuple[Mask, list[tuple[int, str]]]:
    """`left`, (H, W) what is not sewn, with the pieces that the turns name made cloth, or sewn in their own colour.

    label: (H, W) the colours as read. A piece is what is connected, of one colour, and was sewn or left as one. Second,
    for each turn its piece's label and what became of it, in words.
    Errors: JobError naming every place where nothing is drawn.
    """
    box = extent(left)
    places = [_pixel(turn, box, left.shape) for turn in turns]
    bare = [turn for turn, place in zip(turns, places, strict=True) if label[place] == clear and not turn.background]
    if bare:
        said = ", ".join(f"at = [{turn.at[0]:g}, {turn.at[1]:g}]" for turn in bare)
        raise JobError("nothing is drawn there to be sewn", f"decisions, {said}", "a transparent place has no colour")
    made, told = left.copy(), []
    whole = max((box[2] - box[0]) * (box[3] - box[1]), 1.0)
    for turn, place in zip(turns, places, strict=True):
        alike = ((label == label[place]) & (left == left[place])).astype(np.uint8)
        _, pieces = cv2.connectedComponents(alike, connectivity=4)
        piece = pieces == pieces[place]
        made[piece] = turn.background
        told.append((int(label[place]), _told(turn, bool(left[place]), float(piece.sum()) / whole)))
    return made, told


def _told(turn: Turned, was_left: bool, share: float) -> str:
    """What becomes of one piece; that nothing does, where it was so already."""
    what, where = "left to the cloth" if turn.background else "sewn", f"at {turn.at[0]:g}, {turn.at[1]:g}"
    if was_left == turn.background:
        return f"is {what} {where} as it was read: nothing to turn round"
    return f"{what} {where} as decided, {100 * share:.1f} % of the design's extent"


def _pixel(turn: Turned, box: Box, shape: tuple[int, ...]) -> tuple[int, int]:
    x = box[0] + turn.at[0] * (box[2] - box[0])
    y = box[1] + turn.at[1] * (box[3] - box[1])
    return min(int(y), shape[0] - 1), min(int(x), shape[1] - 1)
