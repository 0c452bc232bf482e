"""Which parts hang on where a shape is cut: a turn of the artwork may cut them elsewhere, whatever their width says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely

from analyse.kinds.bands import thinnest_mm
from analyse.kinds.families import lies_on_one
from analyse.kinds.setting import Setting
from analyse.values import Drawing, Part

DOUBTED = 0.65  # certainty at most: under what calls for a look; of such parts seven in ten keep their kind when turned
SLIVER_PX = 2.5  # what is narrower and lies between two colours may be the edge's doing
SHORT = 4.0  # a piece sewn another way than the rest of its region is doubted when it is not so many widths long,
UNEVEN = 0.35  # or its narrow places are under this share of its wide ones: but then beside fills alone
TOUCHES_MM = 1e-6  # pieces of a region share their cuts exactly
NEAR = 0.1  # of a limit: so near to it the middle width of an uneven stroke hangs on where its axis ends
HARDLY_A_DOT = (1.5, 2.05)  # squares of its width that a shape covers which is as well a short stroke as a long dot


def doubted(parts: Sequence[Part], drawing: Drawing, setting: Setting) -> list[Part]:
    """The same, less sure where the kind hangs on a cut or on an edge. Fills are what is left when all is cut."""
    own: dict[int, list[int]] = {}
    for i, part in enumerate(parts):
        own.setdefault(part.region, []).append(i)
    hang = _beside_others(parts, own)
    return [
        replace(part, certainty=min(part.certainty, DOUBTED))
        if i in hang or _on_edge(part, drawing, setting) or _between(part, setting, alone=len(own[part.region]) == 1)
        else part
        for i, part in enumerate(parts)
    ]


def _beside_others(parts: Sequence[Part], own: Mapping[int, Sequence[int]]) -> set[int]:
    """Those that a cut parts from a piece of their region that is sewn another way, where that cut may move.

    own: each region's parts.
    """
    pairs = []
    for i, part in enumerate(parts):
        if part.kind == "fill" or len(own[part.region]) == 1:
            continue
        short = sum(spine.length for spine in part.spines) < SHORT * part.width_mm.high
        uneven = part.width_mm.low < UNEVEN * part.width_mm.high
        # what narrows to its ends is parted from other strokes at necks, and those stay where they are
        beside = {"fill"} if uneven else {"fill", "column", "running", "drop"} if short else set[str]()
        pairs += [(i, other) for other in own[part.region] if parts[other].kind in beside - {part.kind}]
    if not pairs:
        return set()
    outlines = np.array([part.outline_mm for part in parts], dtype=object)
    one, two = np.array(pairs).T
    return set(one[shapely.dwithin(outlines[one], outlines[two], TOUCHES_MM)].tolist())


def _on_edge(part: Part, drawing: Drawing, setting: Setting) -> bool:
    """Whether it is a sliver, or the thin end of a stroke, which is left out or carried on."""
    end = part.kind == "running" and part.width_mm.median < thinnest_mm(setting)
    thin = part.width_mm.median < SLIVER_PX * setting.mm_per_px
    return end or (thin and not lies_on_one(drawing, drawing.regions[part.region]))


def _between(part: Part, setting: Setting, *, alone: bool) -> bool:
    """Whether a small shape is between stroke and dot, or an uneven stroke between two kinds: either is right.

    alone: it is all of its region; only that can be a dot.
    """
    low, median, high = part.width_mm.low, part.width_mm.median, part.width_mm.high
    if alone and part.kind != "fill" and high < setting.value("dot.smallest"):
        squares = part.outline_mm.area / high**2
        if HARDLY_A_DOT[0] <= squares <= HARDLY_A_DOT[1]:
            return True
    limits = thinnest_mm(setting), setting.value("kind.three_passes_under")
    told = median, part.reason.measure_mm  # the width that decided may be that of its middle alone
    near = any(abs(width - limit) < NEAR * limit for width in told for limit in limits)
    return low < UNEVEN * high and near
