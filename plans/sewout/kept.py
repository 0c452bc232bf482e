"""How much of the look is still there on the finished piece, seen at arm's length."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from analyse.colours.difference import ciede2000
from analyse.colours.lab import srgb_to_lab
from analyse.lettering.lines import lines_of
from analyse.sizing import kept as measured
from analyse.values import Feature, Floats, SizedDrawing
from plans.sewout.cover import draw_cover
from plans.sewout.eye import blur_mm
from plans.sewout.strands import lay_strands
from plans.sewout.target import CLOTH, Target, target_of
from plans.values import Step, Stitches

PX_PER_MM = 8.0
REACH_MM, CLOSE_MM, WIDEST_MM = 1.0, 0.1, 3.0
"""A feature is looked at within its own measure and this much more, so that what it stands against is seen too.

Once more close to, so that a narrow gap is not made up for by the open cloth beside it.
"""
ALONG_MM = 3.0
"""A shape is looked at so far along: its tip alone says little of it."""
WALL_MM = 0.4
"""A gap is seen by what stands at its edges, so far from it: a line there is enough."""
LEAST_AREA_MM2, WHOLE_AREA_MM2 = 0.03, 0.5
"""Slivers of other things at the edge of sight count by their area, up to this one."""
HELD, GONE = 0.85, 0.45
"""Share of its area that must show its own colour: from HELD on it holds in full, at GONE nothing is left."""
LEFT_OUT_MM = 1.0
"""So far beyond a feature's sight a part that is not sewn still takes it along: so far its stitches would have reached.

Else leaving out what crowds its neighbours would be a gain.
"""
READ, UNREAD = 0.6, 0.3
"""The same for letters: they are read by where their strokes run, be those a little lighter or heavier than drawn."""
COLOUR_OF_LINE = 0.1
"""Colours with at least this share of a line of lettering are its letters and what they stand on."""


def shown_right(stitches: Stitches, steps: tuple[Step, ...], sized: SizedDrawing, drift_mm: float) -> Target:
    """The target with what the eye meets: `shown` everywhere, and `right` where that is the colour asked for."""
    target = target_of(sized, PX_PER_MM)
    strands = lay_strands(stitches, steps, sized, drift_mm)
    ids = draw_cover(strands, target.place, PX_PER_MM)
    thread = np.append(strands.thread, CLOTH)[ids]
    right = np.zeros(target.parts.shape, np.bool_)
    shown = np.full(target.parts.shape, CLOTH, np.int32)
    most = np.zeros(target.parts.shape, np.float32)
    for colour in range(CLOTH, len(sized.drawing.palette)):
        share = cv2.GaussianBlur((thread == colour).astype(np.float32), (0, 0), blur_mm() * PX_PER_MM)
        right |= (target.colours == colour) & (share >= 0.5)
        shown[share > most] = colour
        np.maximum(most, share, out=most)
    return target.with_shown(right, shown)


def feature_kept(feature: Feature, target: Target, sized: SizedDrawing, told: Floats) -> float:
    """0..1: whether the thing itself is there, where it is narrowest too, and told from what lies beside it.

    What lies beside a stroke need not have its own colour (line work leaves it bare), but another than the stroke's.
    A difference of colours asks for both of them. told: (colours, colours), see `told_apart_by`.
    """
    measure = min(feature.measure, WIDEST_MM) if feature.unit == "mm" else 0.0
    seen = target.of_place(feature.at_mm, sight_mm(feature))
    parts, right = target.parts[seen], target.right[seen]
    if not parts.size:
        return 0.0
    if not measure:
        return there(all_held(parts, right, sized, feature.part))
    middle = int(parts[parts.shape[0] // 2, parts.shape[1] // 2])
    subject = feature.part if feature.part is not None and (parts == feature.part).any() else middle
    own = parts == subject
    worst = float(right[own].mean())
    if feature.part is None:
        worst = min(worst, middle_held(target, feature.at_mm, measure / 2 + CLOSE_MM))
    colour = int(sized.parts[subject].colour) if subject != CLOTH else CLOTH
    beside = others(own, parts, target.colours[seen], colour, REACH_MM if subject != CLOTH else WALL_MM, sized)
    apart = told[colour, target.shown[seen]]
    for index in np.unique(parts[beside]).tolist():
        there_too = beside & (parts == index)
        area = float(there_too.sum())
        if area >= LEAST_AREA_MM2 * PX_PER_MM**2:
            counts = min(area / (WHOLE_AREA_MM2 * PX_PER_MM**2), 1.0)
            worst = min(worst, 1 - counts * (1 - float(apart[there_too].mean())))
    return there(worst)


def sight_mm(feature: Feature) -> float:
    """How far about its place a feature is looked at: a gap where it is narrowest, a shape for some way along it."""
    measure = min(feature.measure, WIDEST_MM) if feature.unit == "mm" else 0.0
    return measure / 2 + (REACH_MM if feature.part is None or not measure else ALONG_MM)


def others(
    own: NDArray[np.bool_],
    parts: NDArray[np.int32],
    colours: NDArray[np.int32],
    colour: int,
    reach_mm: float,
    sized: SizedDrawing,
) -> NDArray[np.bool_]:
    """(H, W) what lies within reach of a thing, is of another colour, and is to be sewn or left bare on purpose."""
    reach = round(reach_mm * PX_PER_MM)
    near = cv2.dilate(own.astype(np.uint8), np.ones((2 * reach + 1, 2 * reach + 1), np.uint8)) > 0
    dropped = np.array([part.kind == "drop" for part in sized.parts] + [False])
    return np.asarray(near & ~own & (colours != colour) & ~dropped[parts])


def all_held(parts: NDArray[np.int32], right: NDArray[np.bool_], sized: SizedDrawing, subject: int | None) -> float:
    """The least share of its own colour that any of the things in sight shows; slivers count by their area."""
    index = parts.ravel() + 1
    area = np.bincount(index, minlength=len(sized.parts) + 1)
    held = np.bincount(index, right.ravel(), len(sized.parts) + 1)
    counted = np.flatnonzero(area >= LEAST_AREA_MM2 * PX_PER_MM**2)
    asked = [i for i in counted if i == 0 or sized.parts[i - 1].kind != "drop" or i - 1 == subject]
    if not asked:
        return 0.0
    counts = np.minimum(area[asked] / (WHOLE_AREA_MM2 * PX_PER_MM**2), 1.0)
    counts[[i - 1 == subject for i in asked]] = 1.0
    return float((1 - counts * (1 - held[asked] / area[asked])).min())


def told_apart_by(sized: SizedDrawing) -> Floats:
    """(N + 1, N + 1) 0..1 how well two threads are told apart, the cloth last: in full from the trade's need on."""
    labs = np.array([*(colour.lab for colour in sized.drawing.palette), srgb_to_lab(np.array(sized.cloth_rgb))])
    lost, needs = (float(sized.trade.value(row)) for row in ("colours.lost_under", "colours.holds"))
    steps = ciede2000(labs[:, None, :], labs[None, :, :])
    return np.asarray(np.clip((steps - lost) / max(needs - lost, 1e-6), 0.0, 1.0))


def there(held: float, all_of_it: float = HELD, nothing: float = GONE) -> float:
    """0..1: how much is left of a thing that shows its own colour on this share of its area."""
    return float(np.clip((held - nothing) / (all_of_it - nothing), 0.0, 1.0))


def middle_held(target: Target, at_mm: tuple[float, float], reach_mm: float) -> float:
    """Share held of what lies at a place, within its own width."""
    parts, right = target.about(at_mm, reach_mm)
    if not parts.size:
        return 0.0
    same = parts == parts[parts.shape[0] // 2, parts.shape[1] // 2]
    return float(right[same].mean())


def line_kept(zone_mm: BaseGeometry, target: Target) -> float:
    """0..1 of a whole line of lettering: the worse kept of its letters and of what shows between them."""
    colours, right = target.within(zone_mm)
    area = np.bincount(colours + 1)
    held = np.bincount(colours + 1, right)
    asked = np.flatnonzero(area >= max(COLOUR_OF_LINE * len(colours), 1))
    return there(float((held[asked] / area[asked]).min()), READ, UNREAD) if len(asked) else 0.0


Zones = dict[int, BaseGeometry]


def _weighed(sized: SizedDrawing) -> list[Feature]:
    return [feature for feature in sized.detail.features if feature.weight > 0]


def zones_mm(sized: SizedDrawing) -> Zones:
    """What each line of lettering covers, by its number among the features that weigh something."""
    features = _weighed(sized)
    lettering = [index for index, feature in enumerate(features) if feature.kind == "lettering"]
    if not lettering:
        return {}
    scale, (left, top) = sized.mm_per_px, sized.origin_px
    lines = lines_of(sized.drawing, measured(sized.drawing)[0])
    at = np.array([line.at for line in lines]).reshape(-1, 2)
    found = {}
    for index in lettering if len(lines) else ():
        away = np.hypot(*((at - (left, top)) * scale - np.asarray(features[index].at_mm)).T)
        zone = lines[int(away.argmin())].zone
        found[index] = affine_transform(zone, [scale, 0, 0, scale, -left * scale, -top * scale])
    return found


def told_apart(feature: Feature, sized: SizedDrawing) -> float:
    """What the measure says of colours, 1 from the need on and 0 where lost; of lettering, its share of the need.

    A letter of half the height that thread can write is there, and cannot be read (test: tesseract, in benchmarks).
    """
    if feature.kind == "lettering":
        return min(1.0, feature.measure / feature.needs)
    if feature.unit != "dE00" or feature.kind == "shading":
        return 1.0
    lost = float(sized.trade.value("colours.lost_under"))
    return float(np.clip((feature.measure - lost) / max(feature.needs - lost, 1e-6), 0.0, 1.0))


def near_left_out(target: Target, steps: tuple[Step, ...], sized: SizedDrawing) -> NDArray[np.bool_]:
    """(H, W) where a part lies that is to be sewn and that no step sews."""
    sewn = {part for step in steps for part in (step.sewing.part, *step.sewing.also)}
    missing = [index for index, part in enumerate(sized.parts) if part.kind != "drop" and index not in sewn]
    return np.isin(target.parts, missing) if missing else np.zeros(target.parts.shape, np.bool_)


def features_kept(
    stitches: Stitches,
    steps: tuple[Step, ...],
    sized: SizedDrawing,
    *,
    drift_mm: float = 0.0,
    zones: Zones | None = None,
) -> tuple[float, ...]:
    """For each feature that weighs something, 0..1, how much of it holds in the sew-out at arm's length.

    A stroke must be there, as wide as asked and told from what lies beside it; a gap open, with something at its
    edges; two colours shown both; a line of lettering counts over all its length. What lies at a part that is left
    out is lost. zones: `zones_mm(sized)`, where they are known already.
    """
    features = _weighed(sized)
    if not features:
        return ()
    target = shown_right(stitches, steps, sized, drift_mm)
    told = told_apart_by(sized)
    zones, missing = zones_mm(sized) if zones is None else zones, near_left_out(target, steps, sized)
    found = []
    for index, feature in enumerate(features):
        if missing[target.of_place(feature.at_mm, sight_mm(feature) + LEFT_OUT_MM)].any():
            found.append(0.0)
            continue
        seen = line_kept(zones[index], target) if index in zones else feature_kept(feature, target, sized, told)
        found.append(seen * told_apart(feature, sized))
    return tuple(found)


def whole_kept(each: tuple[float, ...], sized: SizedDrawing) -> float:
    """Share of the look, 0..1, by the features' weights; plain shapes, where they count, are kept."""
    weights = [feature.weight for feature in _weighed(sized)]
    plain = max(1.0 - sum(weights), 0.0)
    return min(1.0, plain + sum(weight * seen for weight, seen in zip(weights, each, strict=True)))


def detail_kept(stitches: Stitches, steps: tuple[Step, ...], sized: SizedDrawing, *, drift_mm: float = 0.0) -> float:
    """Share of the look, 0..1, that holds in the sew-out at arm's length: see `features_kept`."""
    return whole_kept(features_kept(stitches, steps, sized, drift_mm=drift_mm), sized)
