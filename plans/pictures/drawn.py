"""The sew-out, near and at arm's length, ready for report, sheet and folder."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import lock
from plans.sewout import Frame, at_arms_length, draw_sewout, frame
from plans.values import Plan

DPI = 300
MOST_PX = 2400  # long side of the sew-out: a wide back is drawn at fewer dpi, not at more memory


@dataclass(frozen=True, slots=True, eq=False)
class Pictures:
    """sewout, arms_length: (H, W, 3) of the same piece of cloth, `frame`, at `dpi`."""

    sewout: NDArray[np.uint8]
    arms_length: NDArray[np.uint8]
    frame: Frame
    dpi: int

    def __post_init__(self) -> None:
        lock(self, "sewout", "arms_length")


def draw_pictures(plan: Plan) -> Pictures:
    """Draw what the plan is read by, at 300 dpi or what keeps the long side at 2,400 px."""
    sized, place = plan.sized, frame(plan.sized, plan.stitches)
    dpi = max(50, min(DPI, int(MOST_PX * 25.4 / max(place.width_mm, place.height_mm))))
    sewn = draw_sewout(plan.stitches, plan.steps, sized, dpi=dpi)
    return Pictures(sewn, at_arms_length(sewn, dpi), place, dpi)
