"""The sewing order as data for the page's own script: needle points packed, and what each step is."""

from __future__ import annotations

import base64
from typing import Any

import numpy as np
from jinja2.utils import htmlsafe_json_dumps
from markupsafe import Markup

from plans.sewout import Frame
from plans.values import Move, Plan
from plans.words import some

UNIT_MM = 0.05  # needle points are told to the page in whole twentieths of a millimetre
MOST = 120_000  # needle points; a page with more would weigh megabytes, so only the steps are told


def order_data(plan: Plan, frame: Frame) -> Markup | None:
    """JSON for the script: frame, threads, steps, needle points packed; None where there are too many."""
    stitches = plan.stitches
    if not len(stitches.xy) or len(stitches.xy) > MOST:
        return None
    units = np.clip(np.round(stitches.xy / UNIT_MM), -32768, 32767).astype("<i2")
    cut = (stitches.move == Move.JUMP) | (stitches.move == Move.TRIM)
    data = {
        "frame": [frame.left_mm, frame.top_mm, frame.width_mm, frame.height_mm],
        "unit": UNIT_MM,
        "threads": [list(colour.rgb) for colour in plan.sized.drawing.palette],
        "cloth": list(plan.sized.cloth_rgb),
        "strand": float(plan.sized.trade.value("thread.strand_flat", thread=plan.sized.thread)),
        "steps": [_step(number, plan) for number in range(len(plan.steps))],
        "points": base64.b64encode(units.tobytes()).decode("ascii"),
        "cuts": base64.b64encode(np.packbits(cut).tobytes()).decode("ascii"),
        "count": len(stitches.xy),
    }
    return htmlsafe_json_dumps(data, separators=(",", ":"), ensure_ascii=True)  # cannot end its script element


def _step(number: int, plan: Plan) -> dict[str, Any]:
    step = plan.steps[number]
    colour = plan.sized.drawing.palette[step.sewing.thread]
    first = int(np.searchsorted(plan.stitches.step, number))
    text = f"{step.sewing.kind}, {step.sewing.role}, {colour.name}, {some(step.stitches, 'stitch', 'stitches')}"
    return {"first": first, "thread": step.sewing.thread, "text": text}
