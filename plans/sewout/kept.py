"""How much of the look is still there on the finished piece, seen at arm's length."""

from __future__ import annotations

import cv2
import numpy as np

from analyse.values import Feature, SizedDrawing
from plans.sewout.cover import draw_cover
from plans.sewout.eye import blur_mm
from plans.sewout.frame import frame
from plans.sewout.strands import lay_strands
from plans.sewout.target import CLOTH, Target, draw_target
from plans.values import Step, Stitches

PX_PER_MM = 8.0
REACH_MM, CLOSE_MM, WIDEST_MM = 1.0, 0.1, 3.0
"""A feature is looked at within its own measure and this much more, so that what it stands against is seen too.

Once more close to, so that a narrow gap is not made up for by the open cloth beside it.
"""
LEAST_AREA_MM2, WHOLE_AREA_MM2 = 0.03, 0.5
"""Slivers of other things at the edge of sight count by their area, up to this one."""
HELD, GONE = 0.85, 0.45
"""Share of its area that must show its own colour: from HELD on it holds in full, at GONE nothing is left."""


def shown_right(stitches: Stitches, steps: tuple[Step, ...], sized: SizedDrawing, drift_mm: float) -> Target:
    """The target, with `right` filled in: where the eye meets the colour that is asked for."""
    place = frame(sized, stitches)
    strands = lay_strands(stitches, steps, sized, drift_mm)
    ids = draw_cover(strands, place, PX_PER_MM)
    thread = np.append(strands.thread, CLOTH)[ids]
    target = draw_target(sized, place, PX_PER_MM)
    right = np.zeros(target.parts.shape, np.bool_)
    for colour in range(CLOTH, len(sized.drawing.palette)):
        share = cv2.GaussianBlur((thread == colour).astype(np.float32), (0, 0), blur_mm() * PX_PER_MM)
        right |= (target.colours == colour) & (share >= 0.5)
    return target.with_right(right)


def feature_kept(feature: Feature, target: Target, sized: SizedDrawing) -> float:
    """0..1: the worst kept of the things that meet at the feature, and of the thing itself where it is narrowest."""
    measure = min(feature.measure, WIDEST_MM) if feature.unit == "mm" else 0.0
    parts, right = target.about(feature.at_mm, measure / 2 + REACH_MM)
    index = parts.ravel() + 1
    area = np.bincount(index, minlength=len(sized.parts) + 1)
    held = np.bincount(index, right.ravel(), len(sized.parts) + 1)
    counted = np.flatnonzero(area >= LEAST_AREA_MM2 * PX_PER_MM**2)
    asked = [i for i in counted if i == 0 or sized.parts[i - 1].kind != "drop" or i - 1 == feature.part]
    if not asked:
        return 0.0
    counts = np.minimum(area[asked] / (WHOLE_AREA_MM2 * PX_PER_MM**2), 1.0)
    counts[[i - 1 == feature.part for i in asked]] = 1.0
    worst = float((1 - counts * (1 - held[asked] / area[asked])).min())
    if measure:
        worst = min(worst, middle_held(target, feature.at_mm, measure / 2 + CLOSE_MM))
    return float(np.clip((worst - GONE) / (HELD - GONE), 0.0, 1.0))


def middle_held(target: Target, at_mm: tuple[float, float], reach_mm: float) -> float:
    """Share held of what lies at a place, within its own width."""
    parts, right = target.about(at_mm, reach_mm)
    if not parts.size:
        return 0.0
    same = parts == parts[parts.shape[0] // 2, parts.shape[1] // 2]
    return float(right[same].mean())


def told_apart(feature: Feature, sized: SizedDrawing) -> float:
    """For colours and shading, what the measure says: 1 from the need on, 0 where it is lost."""
    if feature.unit != "dE00" or feature.kind == "shading":
        return 1.0
    lost = float(sized.trade.value("colours.lost_under"))
    return float(np.clip((feature.measure - lost) / max(feature.needs - lost, 1e-6), 0.0, 1.0))


def detail_kept(stitches: Stitches, steps: tuple[Step, ...], sized: SizedDrawing, *, drift_mm: float = 0.0) -> float:
    """Share of the look, 0..1, by the features' weights, that holds in the sew-out at arm's length.

    A feature counts by the worst kept of the parts and the cloth that meet at it: a stroke must be there and as wide
    as asked, a gap open, and two colours told apart. 1.0 when the drawing has no features.
    """
    features = sized.detail.features
    total = sum(feature.weight for feature in features)
    if not features or total <= 0:
        return 1.0
    target = shown_right(stitches, steps, sized, drift_mm)
    kept = sum(f.weight * feature_kept(f, target, sized) * told_apart(f, sized) for f in features if f.weight > 0)
    return min(1.0, kept / total)
