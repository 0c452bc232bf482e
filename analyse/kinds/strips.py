"""Which pieces of a region are no strokes of their own but stumps and strips of a fill beside them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.kinds.bands import Piece, Verdict
from analyse.kinds.setting import Setting
from analyse.widths.strokes import Stroke

TOUCHES_PX = 1e-6  # pieces of a region share their cuts exactly
ALONG = 0.3  # of its length: an uneven piece that borders so much on fills of its region is cut off along its way
HELD = 0.5  # of its outline: or any piece that borders on them over so much
STEADY = 0.6  # a piece whose narrow places have this share of its middle width is a stroke, whatever it runs along

Judged = tuple[Stroke, Piece, Verdict]


def taken_in(judged: Sequence[Judged], setting: Setting) -> list[Judged]:
    """Stumps beside a larger fill are part of it, and stumps beside those: no hand makes columns of them."""
    result = list(judged)
    fills = [each for each in judged if each[2].kind == "fill"]
    if not fills:
        return result
    speaker = max(fills, key=lambda each: each[1].area_mm2)[2]
    front = [each[0].outline for each in fills]
    rims = np.asarray(shapely.boundary(front))
    waiting = [
        k
        for k, each in enumerate(judged)
        if each[2].kind != "fill" and (_is_stump(each[1], setting) or _lies_along(each, rims, setting))
    ]
    largest = max(each[1].area_mm2 for each in fills)
    waiting = [k for k in waiting if judged[k][1].area_mm2 < largest]
    while front and waiting:
        body = shapely.union_all(front)
        near = [k for k in waiting if judged[k][0].outline.distance(body) < TOUCHES_PX]
        for k in near:
            result[k] = (*judged[k][:2], speaker)
        front = [judged[k][0].outline for k in near]
        waiting = [k for k in waiting if k not in near]
    return result


def _is_stump(facts: Piece, setting: Setting) -> bool:
    wide = facts.width.high >= setting.value("fill.narrowest")
    return facts.length_mm < (setting.value("fill.stump") if wide else 1.0) * facts.width.high


def _lies_along(judged: Judged, rims: NDArray[np.object_], setting: Setting) -> bool:
    """Whether a piece is parted from fills along its way, not across it, or lies amid them: a strip, no stroke."""
    piece, facts, _ = judged
    if len(piece.cuts) < 2:
        return False
    shared = shapely.length(shapely.intersection(shapely.boundary(piece.outline), rims)).sum()
    even = facts.width.low >= STEADY * facts.width.median
    along = not even and float(shared) * setting.mm_per_px > max(ALONG * facts.length_mm, facts.width.high)
    return along or float(shared) > HELD * piece.outline.length
