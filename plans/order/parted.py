"""Which sewings fall into several? Running lines that nowhere meet may each be sewn when the needle is near."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely

from plans.layers import Layout
from plans.layers.fields import united
from plans.stitching.network import MEET_MM
from plans.values import Sewing


def parted(layout: Layout) -> Layout:
    """The layout with running sewings in as many as they have lines that meet; all else as it was."""
    made = [list(_parts_of(sewing)) for sewing in layout.sewings]
    if all(len(pieces) == 1 for pieces in made):
        return layout
    first = np.cumsum([0, *(len(pieces) for pieces in made)]).tolist()
    numbers = [range(first[old], first[old + 1]) for old in range(len(made))]
    return replace(
        layout,
        sewings=tuple(piece for pieces in made for piece in pieces),
        before=tuple((a, b) for low, high in layout.before for a in numbers[low] for b in numbers[high]),
        beneath=tuple(-1 if old < 0 else first[old] for old in layout.beneath),
    )


def _parts_of(sewing: Sewing) -> Iterator[Sewing]:
    """A sewing for each group of its lines that meet, each with its own areas of the shape; itself if that is one."""
    areas = shapely.get_parts(sewing.shape)
    if sewing.kind != "running" or len(sewing.spines) < 2 or len(areas) < 2:
        yield sewing
        return
    lines = np.array([_line(spine.line[:, :2], closed=spine.closed) for spine in sewing.spines])
    tree = shapely.STRtree(lines)
    meets = tree.query(lines, predicate="dwithin", distance=MEET_MM).T.tolist()
    groups = united(range(len(lines)), [(a, b) for a, b in meets if a < b])
    nearest = tree.nearest(areas)
    owned = [areas[np.isin(nearest, group)] for group in groups]
    if len(groups) < 2 or any(len(own) == 0 for own in owned):
        yield sewing
        return
    for group, own in zip(groups, owned, strict=True):
        shape = own[0] if len(own) == 1 else shapely.MultiPolygon(list(own))
        yield replace(sewing, spines=tuple(sewing.spines[number] for number in group), shape=shape)


def _line(points: np.ndarray[tuple[int, ...], np.dtype[np.float64]], *, closed: bool) -> shapely.LineString:
    return shapely.LineString(np.vstack([points, points[:1]]) if closed or len(points) < 2 else points)
