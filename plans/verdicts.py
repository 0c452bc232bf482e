"""The verdict, by the share of the look that is lost: sews as drawn, with which changes, or needs redrawing."""

from __future__ import annotations

import math
from dataclasses import dataclass

from analyse.values import Feature, SizedDrawing
from plans import words
from plans.values import LaidPlan

AS_DRAWN, WITH_CHANGES, REDRAW = "sews as drawn", "sews with changes", "needs redrawing"
HALF_THERE = 0.5
"""A detail of which the sew-out shows less than this is one of those that it does not show."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is said. lost: share of the look that does not come through; changes: what to change, heaviest first."""

    said: str
    lost: float
    changes: tuple[str, ...]


def verdict(sized: SizedDrawing, laid: tuple[LaidPlan, ...] = ()) -> Verdict:
    """Whether it sews as drawn, with changes, or needs redrawing. laid: every approach, the recommended one first.

    It needs redrawing where so much is lost that a size, a line or a letter would have to be drawn anew all over;
    what another thread or another cloth brings back needs none. With changes: always those that `changes` names.
    """
    lost = share_lost(sized, laid)
    if lost >= float(sized.trade.value("verdict.redraw")):
        return Verdict(REDRAW, lost, changes(sized, laid))
    gone, hardly = sized.detail.share("lost"), float(sized.trade.value("verdict.hardly"))
    little_lost = not gone or gone < float(sized.trade.value("verdict.hardly_lost"))
    if shows_enough(sized, laid) and little_lost and sized.detail.share("at-risk") <= hardly:
        return Verdict(AS_DRAWN, lost, ())
    return Verdict(WITH_CHANGES, lost, changes(sized, laid))


def share_lost(sized: SizedDrawing, laid: tuple[LaidPlan, ...] = ()) -> float:
    """Share of the look that is too small at this size, or that no approach shows in its sew-out, the more of both.

    Colours that thread or cloth can be changed for count for neither.
    """
    recoloured = words.recoloured(sized)
    shown = max((plan.detail_kept for plan in laid), default=1.0)
    return max(round(max(sized.detail.share("lost"), 1.0 - shown) - recoloured, 9), 0.0)


def shows_enough(sized: SizedDrawing, laid: tuple[LaidPlan, ...]) -> bool:
    """Whether the sew-out shows enough of the detail, sewn the recommended way."""
    return not laid or laid[0].detail_kept >= float(sized.trade.value("verdict.shown"))


def changes(sized: SizedDrawing, laid: tuple[LaidPlan, ...] = ()) -> tuple[str, ...]:
    """What to change, a phrase each: for what is lost or at risk, and for what the sew-out shows too little of."""
    named = [_change(feature) for feature in sized.detail.features if feature.state != "holds" and feature.weight > 0]
    unseen = [] if shows_enough(sized, laid) else _unseen(sized, laid)
    return tuple(dict.fromkeys([*named, *unseen]))


def _change(feature: Feature) -> str:
    return f"{_what(feature)}: {feature.cure or _larger(feature)}"


def _what(feature: Feature) -> str:
    return feature.text.partition(":")[0] or words.feature_name(feature)


def _larger(feature: Feature) -> str:
    """For what no usual change brings to hold at this size."""
    width = feature.holds_from_width_mm
    return "draw it anew" if width is None else f"make the piece {math.ceil(width)} mm wide, or draw it anew"


def _unseen(sized: SizedDrawing, laid: tuple[LaidPlan, ...]) -> list[str]:
    """What to do where details are large enough and the sew-out still shows little of them."""
    best = max(laid, key=lambda plan: plan.detail_kept)
    if best.detail_kept >= float(sized.trade.value("verdict.shown")):
        return [f"sew it {words.approach(best.approach)}, which shows {words.share(best.detail_kept)} of the detail"]
    weighed = [feature for feature in sized.detail.features if feature.weight > 0]
    short = sorted(
        (feature.weight * (seen - 1.0), number, seen)
        for number, (feature, seen) in enumerate(zip(weighed, laid[0].features_kept, strict=True))
        if feature.state == "holds"
    )
    hardly = [each for each in short if each[2] < HALF_THERE] or [each for each in short[:1] if each[0] < 0]
    return [_bolder(weighed[number], seen) for _, number, seen in hardly]


def _bolder(feature: Feature, seen: float) -> str:
    wider = "open it" if feature.kind in ("gap", "counter") else "draw it bolder"
    change = "another thread for one of them" if feature.unit == "dE00" else f"{wider}, or make the piece larger"
    return f"{_what(feature)}: the sew-out shows {words.share(seen)} of it; {change}"
