"""Where a stroke turns too sharply for one column, and where it swells into a body: more places to cut."""

from __future__ import annotations

import numpy as np

from analyse.values import Floats
from analyse.widths.centreline import Branch, Side
from analyse.widths.cuts import Cut
from analyse.widths.junctions import cut_at
from analyse.widths.rings import Rings
from analyse.widths.sides import CORNER_REACH, Track, corners_between, way_along

OUTER_WAY = 1.0  # at a sharp corner the outer side goes this far, in widths,
INNER_WAY = 0.15  # while the inner side goes no farther than this
TURN_DEG = 50.0  # from here on a corner is cut, if its outer side has a corner as well
ROUND_TURN_DEG = 100.0  # and from here on in any case
LEG = 0.6  # widths of axis that must lie on either side of it: shorter legs stay with the other
RUN_UP = 0.75  # widths before and after a corner over which the heading is read
NECK_SLOPE = 0.7  # a stroke that widens faster than this has reached a body
NECK_RUN = 1.5  # and has run this many widths before,
TAPER_RUN = 4.0  # or this many if it began at a point
NECK_RATIO = 1.5  # and ends up this much wider


def corner_cuts(branch: Track, rings: Rings) -> list[Cut]:
    """Cuts at sharp corners: the longer leg keeps the corner, the other is cut off along its inner side."""
    cuts = []
    for inner, outer, sign in ((branch.left, branch.right, 1.0), (branch.right, branch.left, -1.0)):
        for first, last in _sharp(branch, inner, outer, rings):
            cut = _corner_cut(branch, inner, outer, (first, last), sign, rings)
            if cut is not None:
                cuts.append(cut)
    return cuts


def _sharp(branch: Track, inner: Side, outer: Side, rings: Rings) -> list[tuple[int, int]]:
    """Row spans in which the outer side runs on and the inner side stands nearly still."""
    width = branch.axis[:, 2]
    out, stay = outer.advance(rings), inner.advance(rings)
    last = np.searchsorted(out, out + OUTER_WAY * width)
    rows = np.flatnonzero(last < len(out))
    if not len(rows):
        return []
    still = stay[last[rows]] - stay[rows] <= INNER_WAY * width[rows]
    spans: list[tuple[int, int]] = []
    for row in rows[still].tolist():
        end = int(last[row])
        if spans and row <= spans[-1][1]:
            spans[-1] = spans[-1][0], max(end, spans[-1][1])
        else:
            spans.append((row, end))
    return spans


def _corner_cut(
    branch: Track, inner: Side, outer: Side, span: tuple[int, int], sign: float, rings: Rings
) -> Cut | None:
    first, last = span
    along, width = way_along(branch.axis), float(branch.axis[first, 2])
    before = _heading(branch.axis, along, first, -RUN_UP * width)
    after = _heading(branch.axis, along, last, RUN_UP * width)
    turn = float(np.degrees(np.arccos(np.clip(before @ after, -1.0, 1.0))))
    usual = max(width, float(np.median(branch.axis[:, 2])) / 2.0)
    if min(along[first], along[-1] - along[last]) < LEG * usual:
        return None
    ring, way = int(outer.ring[first]), sorted((float(outer.way[first]), float(outer.way[last])))
    edged = len(corners_between(rings, ring, way[0], way[1] - way[0], width)) > 0
    if turn < TURN_DEG or (not edged and turn < ROUND_TURN_DEG):
        return None
    pivot_ring, pivot = int(inner.ring[first]), float((inner.way[first] + inner.way[last]) / 2.0)
    near = (INNER_WAY + CORNER_REACH) * width
    pivot, _ = rings.sharpest(pivot_ring, pivot - near, pivot + near, near)
    keeps_first = along[first] >= 0.8 * (along[-1] - along[last])
    back = RUN_UP * width * (-sign if keeps_first else sign)
    corner, behind = rings.at(pivot_ring, np.array([pivot, pivot + back]))
    hit = _hit(rings, ring, (way[0] - width, way[1] + width), corner, corner - behind)
    return None if hit is None else Cut((pivot_ring, pivot), (ring, hit))


def _heading(axis: Floats, along: Floats, row: int, step: float) -> Floats:
    """Heading of the run over a stretch of `step` that begins (or, where negative, ends) at a row."""
    ways = np.clip(np.sort([along[row], along[row] + step]), along[0], along[-1])
    ends = np.column_stack([np.interp(ways, along, axis[:, k]) for k in (0, 1)])
    run = ends[1] - ends[0]
    return np.asarray(run / max(float(np.hypot(*run)), 1e-9))


def _hit(rings: Rings, ring: int, span: tuple[float, float], start: Floats, ahead: Floats) -> float | None:
    """Way at which a ray first meets a stretch of outline."""
    ways = np.concatenate([[span[0]], rings.between(ring, *span), [span[1]]])
    offset = rings.at(ring, ways) - start
    size = float(np.hypot(*ahead))
    ahead = ahead / max(size, 1e-9)
    off, far = offset[:, 0] * ahead[1] - offset[:, 1] * ahead[0], offset @ ahead
    flips = np.flatnonzero((off[:-1] <= 0) != (off[1:] <= 0))
    share = off[flips] / (off[flips] - off[flips + 1])
    reach = far[flips] + share * (far[flips + 1] - far[flips])
    real = reach > 1e-3 * size
    if not real.any():
        return None
    pick = int(np.where(real, reach, np.inf).argmin())
    return float(ways[flips[pick]] + share[pick] * (ways[flips[pick] + 1] - ways[flips[pick]]))


def neck_cuts(branch: Branch, radius: Floats) -> list[Cut]:
    """Cuts at the foot of every steep swelling, seen from either end. radius: of all nodes' discs."""
    cuts = []
    for each in (branch, branch.turned()):
        row = _neck(each.axis, 2.0 * float(radius[each.ends[1]]) if not each.closed else 0.0)
        if row is not None:
            cuts.append(cut_at(each, row))
    return cuts


def _neck(axis: Floats, beyond: float) -> int | None:
    """The row where a steep rise of the width begins that ends much wider, or None. beyond: width of the last node."""
    along, width = way_along(axis), axis[:, 2]
    if len(axis) < 3 or along[-1] < width.min():
        return None
    reach = np.minimum(width / 2.0, along[-1] - along)
    ahead = np.interp(along + reach, along, width)
    steep = (ahead - width) >= NECK_SLOPE * np.maximum(reach, 1e-9)
    steep &= reach > 0.2 * width
    if beyond >= NECK_RATIO * width[-1]:
        steep[-1] = True
    if not steep.any() or steep[0]:
        return None
    foot = int(steep.argmax())
    tapering = width[0] < width[foot] / 2.0
    if along[foot] < (TAPER_RUN if tapering else NECK_RUN) * width[foot]:
        return None
    top = max(float(width[foot:].max()), beyond)
    return foot if top >= NECK_RATIO * width[foot] else None
