"""The sew-out, near and at arm's length, its back, and as it may drift: ready for report, sheet and folder."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.values import lock
from plans.sewout import Frame, at_arms_length, draw_sewout, frame
from plans.sewout.strands import lay_strands
from plans.values import Plan

DPI, SMALL_DPI = 300, 120
MOST_PX = 2400  # long side of the sew-out: a wide back is drawn at fewer dpi, not at more memory


@dataclass(frozen=True, slots=True, eq=False)
class Pictures:
    """(H, W, 3) of the same piece of cloth, `frame`: sewout and arms_length at `dpi`; back and drifted smaller.

    back: the wrong side. drifted: things sewn apart out of place by drift_mm, as far as this cloth lets them.
    """

    sewout: NDArray[np.uint8]
    arms_length: NDArray[np.uint8]
    back: NDArray[np.uint8]
    drifted: NDArray[np.uint8]
    frame: Frame
    dpi: int
    drift_mm: float

    def __post_init__(self) -> None:
        lock(self, "sewout", "arms_length", "back", "drifted")


def draw_pictures(plan: Plan) -> Pictures:
    """Draw what the plan is read by, at 300 dpi or what keeps the long side at 2,400 px."""
    sized, place = plan.sized, frame(plan.sized, plan.stitches)
    dpi = max(50, min(DPI, int(MOST_PX * 25.4 / max(place.width_mm, place.height_mm))))
    small, drift_mm = min(dpi, SMALL_DPI), sized.trade.cloth(sized.cloth).drift_mm
    strands = lay_strands(plan.stitches, plan.steps, sized)
    sewn, back = (
        draw_sewout(plan.stitches, plan.steps, sized, dpi=at, back=behind, strands=strands)
        for at, behind in ((dpi, False), (small, True))
    )
    drifted = draw_sewout(plan.stitches, plan.steps, sized, dpi=small, drift_mm=drift_mm)
    return Pictures(sewn, at_arms_length(sewn, dpi), back, drifted, place, dpi, drift_mm)
