"""Where a sewing may begin and end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from analyse.values import Floats, lock
from plans.values import Sewing

ON_A_RING = 12
"""Places on a closed run or a fill's outline from which it may be begun."""


@dataclass(frozen=True, slots=True, eq=False)
class Ports:
    """(N, 2) points in mm. through: it ends at another port than it began at; else where it began, or anywhere."""

    xy: Floats
    through: bool | None

    def __post_init__(self) -> None:
        lock(self, "xy")


def ports_of(sewing: Sewing) -> Ports:
    """The places a sewing can begin at, and how its end follows from its beginning.

    An even number of passes ends where it began, an odd number at the other end; a closed run always where it began.
    A column ends at its other end; over a centre run, which can be sewn once or there and back, at either.
    """
    if sewing.kind == "fill" or not sewing.spines:
        return Ports(_round_about(shapely.get_coordinates(sewing.shape)), None)
    if len(sewing.spines) == 1 and sewing.spines[0].closed:
        return Ports(_round_about(sewing.spines[0].line[:, :2]), False)
    xy = np.vstack([spine.line[[0, -1], :2] for spine in sewing.spines])
    if sewing.kind == "running" and len(sewing.spines) == 1:
        return Ports(xy, sewing.passes % 2 == 1)
    if sewing.kind == "column" and len(sewing.spines) == 1:
        centre_run = [layer.kind for layer in sewing.underlay] == ["centre-run"]
        return Ports(xy, None if centre_run else True)
    return Ports(xy, None)


def _round_about(points: Floats) -> Floats:
    pick = np.unique(np.linspace(0, len(points) - 1, ON_A_RING + 1).astype(np.int64)[:-1])
    return np.asarray(points[pick], float)
